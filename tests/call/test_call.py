"""Whose numbers a call says: the setting, the caller's answer, the adviser's word."""

from __future__ import annotations

from dataclasses import replace

import pytest

from consult.call.batch import PersonRow, RowDefaults, columns_of, work
from consult.call.call import COUNTRY, Answer, Call, country_of, set_country, without_health
from consult.call.follow_up import begin
from consult.call.session import Session
from consult.call.state import state_so_far
from consult.call.transcript import load_transcript, unknown_questions, write_transcript
from consult.summary.model import summarise
from consult.tree.sources import FROM_MEMORY
from tests.call.calls import TODAY
from tests.call.signs import NOON, give, led, little, say_all

# -- whose numbers a call says: the setting, the caller's answer, the adviser's word --------------


def words(found: Session) -> str:
    """What the stop in force says."""
    return next(one.say for one in found.now.cautions if one.caution.level == "stop")


def test_the_setting_counts_until_something_is_said() -> None:
    """A desk in Ireland says Ireland's numbers."""
    found = led(("signs", "legs"), country="IE")
    assert found.now.country == "IE"
    assert "call 112 or 999" in words(found)


def test_the_callers_answer_is_followed() -> None:
    """Where the chair goes tells whose numbers to say, and the adviser is told of it."""
    found = led(("signs", "none"))
    found.ask(little().tree.questions["delivery_country"])
    reply = found.offer("germany", NOON)
    assert "Germany" in reply.tell
    assert found.now.country == "DE"
    give(found, "signs", "legs")
    assert "call 112 or go" in words(found)
    assert "999" not in words(found)


@pytest.mark.parametrize(("said", "country"), [("elsewhere", "other"), ("?", "IE")])
def test_another_country_and_none(said: str, country: str) -> None:
    """An answer that names none in the file has words of its own; not known is no answer."""
    assert led(("delivery_country", said), country="IE").now.country == country


def test_a_part_of_the_country_named_stands() -> None:
    """The United Kingdom is no reason to send a caller in Northern Ireland to 111."""
    found = led(("delivery_country", "united_kingdom"), ("signs", "not_sure"), country="GB-NIR")
    assert found.now.country == "GB-NIR"
    assert "111" not in words(found)
    assert "out-of-hours" in words(found)


@pytest.mark.parametrize(
    ("typed", "code"),
    [
        ("/country DE", "DE"),
        ("/country: germany", "DE"),
        ("/Country  = deutschland ", "DE"),
        ("/country northern ireland", "GB-NIR"),
        ("/country gb-nir", "GB-NIR"),
        ("/country UK", "GB"),
        ("/ country usa", "US"),
        ("/country fr", "FR"),
    ],
)
def test_typed(typed: str, code: str) -> None:
    """By code or by any name of it; the question at hand stays where it was."""
    found = led()
    turn = found.asking
    assert found.offer(typed, NOON).taken
    assert found.now.country == code
    assert found.asking is turn


def test_a_stop_in_force_changes_its_words() -> None:
    """What was said for one country is not said for another."""
    found = led(("signs", "legs"))
    assert "999" in words(found)
    found.offer("/country us", NOON)
    assert "911" in words(found)
    assert "999" not in words(found)


def test_a_country_that_has_no_entry() -> None:
    """Its code is shown, and the words are those for elsewhere."""
    found = led(("signs", "legs"))
    found.offer("/country FR", NOON)
    assert "local emergency number" in words(found)
    assert little().contacts.name("FR") == "Another country (FR)"


@pytest.mark.parametrize("typed", ["/country", "/country ", "/country Narnia", "/country [b]x"])
def test_no_country(typed: str) -> None:
    """Nothing changes, and the countries there are, are named."""
    found = led()
    reply = found.offer(typed, NOON)
    assert not reply.taken
    assert "Northern Ireland" in reply.tell
    assert found.now.country == "GB"


def test_a_text_that_begins_like_it_is_no_command() -> None:
    """Two slashes stand for one, and a longer word is another name."""
    found = led()
    assert found.offer("//country DE", NOON).taken
    assert found.now.caller_name == "/country DE"
    assert not found.offer("/countryside DE", NOON).taken
    assert found.now.country == "GB"


def test_the_advisers_word_outranks_the_answer() -> None:
    """Who is in Germany and orders to London hears Germany's numbers, whichever was said first."""
    found = led(("delivery_country", "united_kingdom"))
    found.offer("/country DE", NOON)
    assert found.now.country == "DE"
    give(found, "delivery_country", "elsewhere")
    assert found.now.country == "DE"
    found.offer("/country IE", NOON)
    assert found.now.country == "IE"


def test_elsewhere_is_said_with_an_emergency_alone() -> None:
    """Who may be in another country hears what holds there, in the words of the stop."""
    found = led(("signs", "legs, not_sure, ache"))
    said = {one.caution.name: one.say for one in found.now.cautions}
    assert "112 works" in said["emergency"]
    assert "112 works" not in said["unsure"]
    assert "112 works" not in said["aching"]


def test_the_source_belongs_to_the_country() -> None:
    """On the screen and in the file: who says so, or that it is from memory."""
    found = led(("signs", "legs"))
    assert found.now.cautions[0].contact_sources[0].publisher == "NHS"
    found.offer("/country DE", NOON)
    assert [one.id for one in found.now.cautions[0].contact_sources] == [FROM_MEMORY]
    give(found, "consent", "yes")
    (line,) = summarise(little(), found.now).as_json()["cautions"]
    assert [one["id"] for one in line["contact_sources"]] == [FROM_MEMORY]
    give(found, "consent", "no")
    (line,) = summarise(little(), found.now).as_json()["cautions"]
    assert line["contact_sources"] == []


def test_the_summary_names_the_country_said() -> None:
    """Not the setting."""
    found = led()
    found.offer("/country DE", NOON)
    assert summarise(little(), found.now).as_json()["call"]["country"] == "DE"


def test_it_is_kept_and_comes_back(tmp_path: object) -> None:
    """Where the caller is, is in the call file and the stored call, with consent or without."""
    from pathlib import Path

    found = led(("caller_name", "Ada"))
    found.offer("/country DE", NOON)
    kept = without_health(little().tree, found.now.call)
    assert state_so_far(little(), kept).country == "DE"
    path = Path(str(tmp_path)) / "call.yaml"
    path.write_text(write_transcript(kept, "little", "A call"))
    transcript, problems = load_transcript(path)
    assert transcript is not None
    assert problems == []
    assert unknown_questions(transcript, little().tree.questions) == []
    assert transcript.call == kept


def test_a_second_call_begins_where_the_caller_was() -> None:
    """And the adviser's new setting counts over it."""
    first = Call(TODAY, country="GB").add(Answer(COUNTRY, "DE"))
    second = begin(little().tree, first, "Ada", "234-567", TODAY)
    assert state_so_far(little(), second).country == "DE"
    assert state_so_far(little(), set_country(second, "IE")).country == "IE"
    assert state_so_far(little(), set_country(Call(TODAY), "IE")).country == "IE"
    assert set_country(Call(TODAY), "IE").answers == ()


def test_a_country_in_a_row_is_where_the_person_is() -> None:
    """It outranks where the chair of that row goes; the option does not."""
    basis = little()
    head = ["caller name", "delivery country", "country"]
    columns, problems = columns_of(basis.tree, head, "rows.csv")
    assert problems == []
    terms = RowDefaults(TODAY, "metric", "GB")
    for cell, country in (("IE", "IE"), ("", "DE")):
        row = PersonRow(2, ("Ada", "germany", cell))
        state = work(basis, columns, row, terms).state
        assert state is not None
        assert state.country == country


def test_country_of_alone() -> None:
    """A code that the file lost since still is where the adviser said."""
    contacts = little().contacts
    call = Call(TODAY, country="GB").add(Answer(COUNTRY, "ZZ"))
    assert country_of(contacts, call, "germany") == "ZZ"
    assert country_of(contacts, replace(call, answers=()), frozenset({"germany"})) == "GB"
    assert country_of(contacts, replace(call, answers=()), None) == "GB"
    assert country_of(contacts, Call(TODAY, country="GBX"), "united_kingdom") == "GB"


def test_saying_it_keeps_the_time() -> None:
    """A caution said before and after the change is said once."""
    found = led(("signs", "legs"))
    assert say_all(found) == ["emergency"]
    found.offer("/country DE", NOON)
    assert found.now.to_say == ()
