"""Calls kept and read back, in a file and in a shared database."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import timedelta, timezone
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import event, select

from consult.call.call import READ_OUT, Answer
from consult.records.appending import insert_plain
from consult.records.call_snapshot import Stored, StoredPiece, plain_answer
from consult.records.errors import Conflict, NoSuchCall, OpenElsewhere
from consult.records.kept import escaped, unescaped
from consult.records.rows import call_row, rewrite_call
from consult.records.schema import answers
from consult.records.store import Store, open_store
from tests.call.calls import HOSTILE
from tests.long import examples
from tests.records.samples import NOW, append, begin, call_of, keep, words

ODD = (
    *HOSTILE,
    "\ud800",
    "\ud83d\ude42",
    "half \udfff of one",
    "a\0b",
    "\\0000",
    "\\ud800",
    "😀" * 3_000,
)


def test_a_call_comes_back_as_it_was_said(store: Store) -> None:
    """Every answer comes back, in order, with its note, its time, and how long it took."""
    call = replace(
        call_of(("who", "caller"), ("stature", "157 cm"), ("stature", "158")),
        country="IE",
        system="imperial",
    )
    noted = replace(call.answers[1], note="by the door", confirmed=True)
    call = replace(call, answers=(call.answers[0], noted, call.answers[2]))
    opened = keep(store, call, name="Ada")
    kept = store.read(opened.reference)
    assert kept.call == call
    assert kept.caller_name == "Ada"
    assert kept.adviser == "Ann"
    assert kept.versions.population == "us_army_2012"
    assert store.read(opened.id) == kept


def test_any_text_comes_back_to_the_character(store: Store) -> None:
    """NUL, half characters, emoji and 10,000 characters are kept exactly; health answers too."""
    said = [("open", text) for text in ODD] + [("pain", text) for text in ODD]
    call = call_of(*said)
    call = replace(call, answers=tuple(replace(one, note=one.said) for one in call.answers))
    for text in ODD:
        call = call.handle("back_stop", lifted=text or "x", at=NOW).handle(f"n{text}", at=NOW)
    opened = begin(store)
    append(store, opened, call, True, name=ODD[-4])
    for text in ODD:
        append(store, opened, call := call.add(Answer("b", text, note=text)), True, name=ODD[-4])
    kept = store.read(opened.id)
    assert kept.call == call
    assert kept.caller_name == ODD[-4]


@given(st.text(st.characters(exclude_categories=()), max_size=40))
@settings(max_examples=examples(300))
def test_escaping_is_exact(text: str) -> None:
    """Whatever is escaped comes back, and holds nothing a database refuses."""
    kept = escaped(text)
    assert unescaped(kept) == text
    assert "\0" not in kept
    kept.encode("utf-8")


@pytest.mark.parametrize("torn", ["\\", "\\12", "\\zzzz", "a\\0"])
def test_what_was_never_escaped_is_noticed(torn: str) -> None:
    """A stray backslash cannot have been written here."""
    with pytest.raises(ValueError, match="stray"):
        unescaped(torn)


def test_times_are_kept_in_utc_and_order_is_not_theirs(store: Store) -> None:
    """A clock that goes back leaves the answers in the order in which they were given."""
    east = timezone(timedelta(hours=9))
    call = call_of(("a", "1"))
    for question, hours in (("b", -5), ("c", 3), ("d", -9)):
        at = (NOW + timedelta(hours=hours)).astimezone(east)
        call = call.add(Answer(question, "x", at=at))
    opened = begin(store)
    for count in range(1, 5):
        back = NOW - timedelta(hours=count)
        append(store, opened, replace(call, answers=call.answers[:count]), at=back)
    kept = store.read(opened.id)
    assert kept.call == call
    assert all(one.at and one.at.utcoffset() == timedelta(0) for one in kept.call.answers)
    assert kept.updated_at == NOW


def test_a_time_without_a_zone_is_this_machines(store: Store) -> None:
    """A desk whose clock gives no zone can go on with its own call."""
    call = call_of(("a", "1"))
    call = replace(call, answers=(replace(call.answers[0], at=NOW.replace(tzinfo=None)),))
    opened = begin(store)
    append(store, opened, call)
    append(store, opened, call.add(Answer("b", "2")))
    assert len(store.read(opened.id).call.answers) == 2


def test_the_same_again_changes_nothing(store: Store) -> None:
    """Giving what is already kept is no mistake and writes no answer twice."""
    call = call_of(("a", "1"), ("b", "2")).handle("note", at=NOW)
    opened = keep(store, call)
    append(store, opened, call)
    assert store.read(opened.id).call == call


@pytest.mark.parametrize(
    "other",
    [
        call_of(("a", "1"), ("b", "other"), ("c", "3")),
        call_of(("a", "1")),
        call_of(),
        call_of(("a", "1"), ("b", "2")).handle("other", at=NOW),
        call_of(("a", "1"), ("b", "2")),
        call_of(("a", "1"), ("b", "other")).handle("note", at=NOW),
    ],
    ids=["differs", "shorter", "empty", "other caution", "caution missing", "caution alike"],
)
def test_a_lost_update_is_impossible(store: Store, other: object) -> None:
    """What does not begin with what is kept is refused, and nothing of it is written."""
    call = call_of(("a", "1"), ("b", "2")).handle("note", at=NOW)
    opened = keep(store, call)
    with pytest.raises(Conflict):
        append(store, opened, other)  # type: ignore[arg-type]
    assert store.read(opened.id).call == call


def test_a_call_open_twice_is_noticed(store: Store) -> None:
    """A second desk is told who has the call and since when."""
    opened = keep(store, call_of(("a", "1")))
    with pytest.raises(OpenElsewhere, match=f"Ann since {NOW.astimezone():%Y-%m-%d %H:%M}"):
        store.take_over(opened.reference, "Bea", NOW + timedelta(seconds=59))


def test_a_crashed_desks_call_can_be_taken_over(store: Store) -> None:
    """After a minute of silence anybody may go on, and the old desk is then refused."""
    call = call_of(("a", "1"))
    opened = keep(store, call)
    later = NOW + timedelta(seconds=61)
    mine = store.take_over(opened.reference, "Bea", later)
    append(store, mine, call.add(Answer("b", "2")), at=later)
    with pytest.raises(OpenElsewhere, match="Bea"):
        append(store, opened, call.add(Answer("b", "3")))
    with pytest.raises(OpenElsewhere):
        store.beat(opened, later)
    with pytest.raises(OpenElsewhere):
        store.finish(opened, later)
    assert words(store.read(opened.id).call.answers) == [("a", "1"), ("b", "2")]


def test_a_beat_keeps_the_call(store: Store) -> None:
    """A desk that says it is alive is not taken from, but for a person who insists."""
    opened = keep(store, call_of(("a", "1")))
    store.beat(opened, NOW + timedelta(seconds=50))
    late = NOW + timedelta(seconds=100)
    with pytest.raises(OpenElsewhere):
        store.take_over(opened.id, "Bea", late)
    assert store.take_over(opened.id, "Bea", late, anyway=True).token != opened.token


def test_held_and_finished(store: Store) -> None:
    """A call put aside is offered again; one that ended is not; a stop is told apart."""
    one, two, three = (keep(store, call_of(("a", str(n)))) for n in range(3))
    store.hold(one, NOW)
    store.finish(two, NOW)
    store.finish(three, NOW, stopped=True)
    assert [listed.reference for listed in store.held()] == [one.reference]
    statuses = [store.read(opened.id).status for opened in (one, two, three)]
    assert statuses == ["held", "finished", "stopped"]
    again = store.take_over(one.reference, "Bea", NOW)
    assert store.read(again.id).status == "open"


def test_a_call_left_by_nobody_goes_on(store: Store) -> None:
    """An answer amended after the end is kept, and the call is open again."""
    call = call_of(("a", "1"))
    opened = keep(store, call)
    store.finish(opened, NOW)
    append(store, opened, call.add(Answer("a", "2")))
    assert store.read(opened.id).status == "open"


def test_a_reference_nobody_has(store: Store) -> None:
    """It is said so in a sentence."""
    with pytest.raises(NoSuchCall, match="No call with the reference"):
        store.read("ZZZ-ZZZ")
    with pytest.raises(NoSuchCall):
        store.read(4711)


def test_a_reference_is_read_as_people_write_it(store: Store) -> None:
    """Small letters, blanks and a missing dash are no matter."""
    opened = keep(store, call_of(("a", "1")))
    loose = f" {opened.reference[:3].lower()} {opened.reference[4:].lower()} "
    assert store.read(loose).id == opened.id


def test_a_reference_told_is_kept_unless_taken(store: Store) -> None:
    """The desk may give the reference; one that is taken is replaced."""
    call = call_of(("a", "1"))
    from tests.records.samples import VERSIONS

    one = store.begin(call, VERSIONS, "Ann", NOW, "234-567")
    two = store.begin(call, VERSIONS, "Ann", NOW, "234-567")
    assert one.reference == "234-567" != two.reference


def test_it_is_there_after_opening_again(place: str) -> None:
    """What was kept is there for the next start."""
    first = open_store(place)
    opened = keep(first, call_of(("a", "1")))
    first.close()
    again = open_store(place)
    assert words(again.read(opened.reference).call.answers) == [("a", "1")]
    again.close()


@given(
    st.lists(st.tuples(st.sampled_from("abps"), st.sampled_from([True, False, None])), max_size=12)
)
@settings(
    max_examples=15,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
def test_any_course_of_consent_is_kept(
    file_store: Store, steps: list[tuple[str, bool | None]]
) -> None:
    """After every answer the records hold all plain answers, and health just while consented.

    In place of a list that everybody hears there is a mark, and of all stops one mark.
    """
    names = {"a": "a", "b": "b", "p": "pain", "s": "signs"}
    opened, call = begin(file_store), call_of()
    for letter, consent in steps:
        call = call.add(Answer(names[letter], letter))
        if letter not in "ab" or not call.handled:
            call = call.handle("back_stop", at=NOW)
        append(file_store, opened, call, consent)
        kept = file_store.read(opened.id).call
        if consent:
            assert kept == call
        else:
            plain = [words for words in kept.answers if words.question in "ab"]
            assert plain == [one for one in call.answers if one.question in "ab"]
            marks = [one for one in kept.answers if one.question not in "ab"]
            first = next((one for one in call.answers if one.question == "signs"), None)
            assert marks == ([Answer("signs", READ_OUT, at=first.at)] if first else [])
            assert [(one.caution, one.lifted) for one in kept.handled] == [("", "")]


def test_a_call_read_without_health_goes_on(store: Store) -> None:
    """Another desk goes on with what was kept; cautions stay after the answers before them."""
    call = call_of(("a", "1"), ("pain", "back"), ("b", "2")).handle("back_stop", lifted="r", at=NOW)
    call = call.add(Answer("pain", "neck")).handle("plain", at=NOW)
    opened = keep(store, call, None)
    store.hold(opened, NOW)
    mine = store.take_over(opened.reference, "Bea", NOW)
    resumed = store.read(mine.id).call
    assert [(one.caution, one.after) for one in resumed.handled] == [("", 2), ("plain", 2)]
    resumed = resumed.add(Answer("pain", "again")).add(Answer("c", "3")).handle("later", at=NOW)
    append(store, mine, resumed, None)
    append(store, mine, resumed, True)
    assert store.read(mine.id).call == resumed


def test_an_answer_is_added_without_reading_the_call_again(store: Store) -> None:
    """However long the call; what another screen changed meanwhile is read, once."""
    selected: list[str] = []

    @event.listens_for(store.database.engine, "before_cursor_execute")
    def note(*given: object) -> None:
        if re.search(r"FROM (answers|handled|health)\b", str(given[2])):
            selected.append(str(given[2]))

    opened, said = begin(store), [("a", "1"), ("pain", "back"), ("b", "2"), ("c", "3")]
    for count in (1, 2):
        append(store, opened, call_of(*said[:count]), True)
    selected.clear()
    append(store, opened, call_of(*said[:3]), True)
    assert selected == []
    again = store.take_over(opened.id, "Bo", NOW, anyway=True)
    selected.clear()
    append(store, again, call_of(*said), True)
    assert selected != []
    assert words(store.read(opened.id).call.answers) == said
    with pytest.raises(OpenElsewhere):
        append(store, opened, call_of(*said[:3], ("d", "4")), True)


def test_a_plain_answer_takes_two_statements(file_store: Store) -> None:
    """However long the call: one changes its row where that is as this screen left it."""
    store, done = file_store, list[str]()
    opened, call = begin(store), call_of(("pain", "back"), ("a", "0"))
    append(store, opened, call, True)
    with store.database.engine.connect() as connection:
        driver: Any = connection.connection.driver_connection
        driver.set_trace_callback(done.append)
    for number in range(1, 4):
        done.clear()
        append(store, opened, call := call.add(Answer("a", str(number))), True)
        assert [one.split()[0] for one in done] == ["BEGIN", "UPDATE", "INSERT", "COMMIT"]
    append(store, opened, call := call.add(Answer("a", "4")), None, "Ada Newname")
    kept = store.read(opened.id)
    assert words(kept.call.answers) == words(call.answers)[1:]
    assert (kept.consent, store.find("newname")[0].id) == (None, opened.id)


def test_a_plain_answer_after_somebody_else(store: Store) -> None:
    """One to a call that was taken, or changed by another program, is refused."""
    opened, call = begin(store), call_of(("a", "1"))
    append(store, opened, call)
    mine = store.take_over(opened.id, "Bo", NOW, anyway=True)
    append(store, mine, call)
    store.take_over(opened.id, "Cy", NOW, anyway=True)
    with pytest.raises(OpenElsewhere):
        append(store, mine, call.add(Answer("a", "2")))
    mine = store.take_over(opened.id, "Bo", NOW, anyway=True)
    append(store, mine, call)
    with store.database.writing() as connection:
        row = call_row(connection, opened.id)
        assert row is not None
        other = Stored(1, StoredPiece(plain_answer(Answer("b", "other"))))
        insert_plain(connection, answers, opened.id, [other])
        rewrite_call(connection, row, answer_count=2)
    with pytest.raises(Conflict):
        append(store, mine, call.add(Answer("a", "2")))
    assert words(store.read(opened.id).call.answers) == [("a", "1"), ("b", "other")]


def test_a_plain_answer_stays_behind_what_was_not_kept(store: Store) -> None:
    """Taken over where the last answer told of health: its place stays free for it."""
    opened, call = begin(store), call_of(("a", "1"), ("pain", "back"))
    append(store, opened, call.handle("note", at=NOW))
    mine = store.take_over(opened.id, "Bo", NOW, anyway=True)
    resumed = store.read(mine.id).call
    append(store, mine, resumed)
    append(store, mine, resumed := resumed.add(Answer("a", "2")))
    with store.database.reading() as connection:
        assert list(connection.scalars(select(answers.c.seq).order_by(answers.c.seq))) == [0, 2]
    assert store.read(opened.id).call == resumed


def test_what_was_added_meanwhile_and_left_is_noticed(store: Store) -> None:
    """A screen that wrote a call last knows when another one took it, went on and left it."""
    opened = begin(store)
    append(store, opened, call_of(("a", "1")))
    again = store.take_over(opened.id, "Bo", NOW, anyway=True)
    append(store, again, call_of(("a", "1"), ("b", "2")))
    store.hold(again, NOW)
    with pytest.raises(Conflict):
        append(store, opened, call_of(("a", "1"), ("c", "3")))
    append(store, opened, call_of(("a", "1"), ("b", "2"), ("c", "3")))
    assert words(store.read(opened.id).call.answers) == [("a", "1"), ("b", "2"), ("c", "3")]
