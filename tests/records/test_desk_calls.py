"""Calls of a desk in the records: found, gone on with, handed over, and private."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime
from pathlib import Path

import pytest
from cryptography.fernet import Fernet

from consult.call.basis import Basis
from consult.call.call import READ_OUT, Answer, Call
from consult.call.state import State, state_so_far
from consult.records.desk_calls import IN_RECOVERY, CallRefused, DeskCalls, KeptCall
from consult.records.encryption import MISSING, WRONG_KEY
from consult.records.store import open_store
from tests.call.calls import HOSTILE, TODAY, call_of, derived, seating
from tests.records.samples import on_disk

NOON = datetime(2026, 11, 25, 12, 0)
ACHES = {
    "who_sits": "caller",
    "pain_sites": "lower back",
    "warning_signs": "none",
    "pain_signs": "none",
    "special_care": "none",
    "stature": "157 cm",
}
Desk = Callable[..., DeskCalls]


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    """Desks over one file of records."""

    def opened(adviser: str = "Ann", basis: Basis | None = None) -> DeskCalls:
        found = DeskCalls(basis or seating(), tmp_path / "r.db", adviser, lambda: NOON)
        found.start()
        return found

    return opened


def so_far(**answers: str) -> State:
    return state_so_far(seating(), call_of(answers))


def opened(kept: DeskCalls, name: str) -> Call:
    found = kept.open(name, anyway=True)
    assert isinstance(found, Call), found
    return found


def test_with_consent_everything_is_kept(desk: Desk) -> None:
    """A call with consent goes on in the very same state."""
    kept, now = desk(), so_far(consent="yes", **ACHES)
    name = kept.new(NOON)
    assert kept.keep(name, now) == ""
    assert derived(state_so_far(seating(), opened(kept, name))) == derived(now)


def test_how_a_call_is_stored_where_it_could_not_be(shared: str, tmp_path: Path) -> None:
    """In records that can be read alone: a recovery file is said to have it, and has it."""
    store = open_store(shared)
    with store.database.engine.connect() as connection:
        name = connection.exec_driver_sql("SELECT current_database()").scalar()
        connection.exec_driver_sql(f"ALTER DATABASE {name} SET default_transaction_read_only = on")
        connection.commit()
    store.close()
    kept = DeskCalls(seating(), shared, "Ann", lambda: NOON)
    name = kept.new(NOON)
    assert "The shared records are read-only" in kept.keep(name, so_far(stature="157 cm"))
    assert kept.stored_as(name) == IN_RECOVERY
    assert b"157 cm" in on_disk(tmp_path)
    kept.close()


@pytest.mark.parametrize("consent", [None, "no", "maybe"])
def test_without_consent_no_health_is_kept(desk: Desk, consent: str | None, tmp_path: Path) -> None:
    """Consent refused, unclear or not asked: not a word about health reaches the disk."""
    answers = dict(ACHES) if consent is None else {**ACHES, "consent": consent}
    kept = desk()
    name = kept.new(NOON)
    kept.keep(name, so_far(**answers))
    assert b"lower back" not in on_disk(tmp_path)
    health = {q.name for q in seating().tree.questions.values() if q.private == "health"}
    left = [one for one in opened(kept, name).answers if one.question in health]
    assert [(one.question, one.said) for one in left] == [("warning_signs", READ_OUT)]
    assert opened(kept, name).latest()["stature"].said == "157 cm"


def test_consent_taken_back_takes_health_off_the_disk(desk: Desk, tmp_path: Path) -> None:
    """What was written a moment ago is nowhere in the folder any more."""
    kept, now = desk(), so_far(consent="yes", **ACHES)
    call = now.call.add(Answer("pain_sites", "neck", note="since the zzaccident"))
    name = kept.new(NOON)
    kept.keep(name, state_so_far(seating(), call))
    assert b"zzaccident" in on_disk(tmp_path)
    assert kept.keep(name, state_so_far(seating(), call.add(Answer("consent", "no")))) == ""
    assert b"zzaccident" not in on_disk(tmp_path)


@pytest.mark.parametrize("said", HOSTILE)
def test_hostile_answers_survive(desk: Desk, said: str) -> None:
    """Every awkward text is kept to the character, and a list of calls can be shown."""
    kept = desk()
    name = kept.new(NOON)
    kept.keep(name, state_so_far(seating(), call_of({"who_sits": "1", "caller_name": said})))
    assert opened(kept, name).latest()["caller_name"].said == said
    assert [one.name for one in kept.find("")] == [name]


def test_nothing_said_is_not_kept(desk: Desk) -> None:
    """A desk that was only looked at leaves no call."""
    kept = desk()
    kept.keep(kept.new(NOON), so_far())
    assert kept.find("") == []


def test_found_by_name_and_reference(desk: Desk) -> None:
    """By the beginning of any word of the name, in any case, or of the reference."""
    kept = desk()
    name = kept.new(NOON)
    kept.keep(name, so_far(caller_name="Ada Fenwick"))
    for typed in ("ada", "FEN", name, name[:3].lower()):
        assert [one.name for one in kept.find(typed)] == [name], typed
    assert kept.find("nobody") == []


def test_open_at_another_desk(desk: Desk) -> None:
    """The same call open twice is noticed, and can be taken over; the first desk is told."""
    first, second = desk("Ann"), desk("Ben")
    name = first.new(NOON)
    first.keep(name, so_far(caller_name="Ada"))
    refused = second.open(name)
    assert isinstance(refused, CallRefused)
    assert refused.elsewhere
    assert "Ann" in refused.text
    assert isinstance(second.open(name, anyway=True), Call)
    told = first.keep(name, so_far(caller_name="Ada", who_sits="caller"))
    assert "Ben" in told
    assert "recovery file" in told


def test_a_call_put_aside_is_anybodys(desk: Desk) -> None:
    """On hold, another desk goes on with it without being asked."""
    first, second = desk("Ann"), desk("Ben")
    name = first.new(NOON)
    first.keep(name, so_far(caller_name="Ada"))
    assert first.hold(name) == ""
    assert isinstance(second.open(name), Call)


def test_a_reference_that_is_none(desk: Desk) -> None:
    """Is refused in words."""
    refused = desk().open("ZZZ-ZZZ")
    assert isinstance(refused, CallRefused)
    assert not refused.elsewhere


def test_other_versions_are_told(desk: Desk) -> None:
    """A call led with another version of the tree says so when it is opened, once."""
    older = replace(seating(), tree=replace(seating().tree, version="2026.01"))
    first = desk("Ann", older)
    name = first.new(NOON)
    first.keep(name, so_far(caller_name="Ada"))
    first.hold(name)
    second = desk("Ben")
    assert isinstance(second.open(name), Call)
    assert "2026.01" in second.unsaid(name)
    assert second.unsaid(name) == ""


def test_unfinished_calls_are_told_at_the_start(desk: Desk) -> None:
    """Who left a call open, or whose desk was cut off, is told so; others are not."""
    first = desk("Ann")
    first.keep(first.new(NOON), so_far(caller_name="Ada"))
    again, other = desk("Ann"), desk("Ben")
    again.find("")
    other.find("")
    assert any("not finished" in line for line in again.notices)
    assert not any("not finished" in line for line in other.notices)


def test_records_that_cannot_be_opened(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The call goes to a recovery file, the adviser is told, and it comes back by itself."""
    monkeypatch.setenv("CONSULT_RECOVERY", str(tmp_path / "state"))
    (tmp_path / "file").write_text("in the way")
    kept = DeskCalls(seating(), tmp_path / "file" / "r.db", "Ann", lambda: NOON)
    kept.start()
    name = kept.new(NOON)
    assert "recovery file" in kept.keep(name, so_far(caller_name="Ada"))
    (line,) = kept.find("")
    assert isinstance(line, KeptCall)
    assert line.name == ""
    (tmp_path / "file").unlink()
    again = DeskCalls(seating(), tmp_path / "file" / "r.db", "Ann", lambda: NOON)
    again.start()
    assert [one.name for one in again.find("ada")] == [name]


def test_summaries_are_remembered(desk: Desk, tmp_path: Path) -> None:
    """A file written about a call stands with it, to be erased with it."""
    kept = desk()
    name = kept.new(NOON)
    kept.keep(name, so_far(caller_name="Ada"))
    assert kept.note_summary(name, tmp_path / "summary.txt") == ""
    store = open_store(tmp_path / "r.db")
    assert store.read(name).summaries == (str(tmp_path / "summary.txt"),)
    store.close()
    assert store.read(name).call.today == TODAY


def test_a_wrong_key_is_said_before_the_first_answer(
    desk: Desk, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The desk that opens the records says at once that health is neither shown nor stored."""
    first, second = (Fernet.generate_key().decode() for _ in range(2))
    open_store(tmp_path / "r.db", first).close()
    for key, why in ((second, WRONG_KEY), ("abc", "is not valid"), ("", MISSING)):
        monkeypatch.setenv("CONSULT_KEY", key)
        kept = desk()
        assert kept.find("") == []
        assert [why in notice for notice in kept.notices] == [True]
