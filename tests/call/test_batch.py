"""A row of answers as a call."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from consult.call.batch import (
    OWN,
    BatchColumn,
    PersonRow,
    RowDefaults,
    Worked,
    columns_of,
    letter,
    to_ask,
    work,
)
from consult.call.call import READ_OUT, THOROUGH
from consult.call.state import state, with_chair
from consult.call.transcript import Transcript, load_transcript
from consult.fit.worth import HOME_MEASURES
from consult.paths import demo_folder
from tests.call.calls import HOSTILE, TODAY, choice_of, derived, seating, whole_call
from tests.long import every_case, examples

DEMOS = [one for one in sorted(demo_folder().glob("*.yaml")) if "tree: seating" in one.read_text()]
"""Those that a chair comes of."""
TERMS = RowDefaults(TODAY)
GOOD = {"who sits": "caller", "sex": "women", "consent": "no", "height": "162", "leg": "41"}
HEALTH = {
    "consent": "yes",
    "pains": "lower back",
    "signs": "none",
    "pain list": "none",
    "care": "none",
}


def worked(cells: Mapping[str, str], terms: RowDefaults = TERMS, *, health: bool = False) -> Worked:
    """What becomes of one row whose columns are these."""
    columns = columns_for(list(cells), health=health)
    return work(seating(), columns, PersonRow(2, tuple(cells.values())), terms)


def columns_for(headings: list[str], *, health: bool = False) -> tuple[BatchColumn, ...]:
    """Columns that must be in order."""
    columns, problems = columns_of(seating().tree, headings, "people.csv", with_health=health)
    assert problems == []
    return columns


def wrong(*headings: str, health: bool = False) -> list[str]:
    """What is said about these headings."""
    _, problems = columns_of(seating().tree, headings, "people.csv", with_health=health)
    return [str(one) for one in problems]


def said(row: Worked) -> dict[str, str]:
    """What is wrong, by heading."""
    return {one.heading: one.say for one in row.bad}


def transcript(path: Path) -> Transcript:
    """A demo call."""
    found, problems = load_transcript(path)
    assert found is not None, problems
    return found


# -- columns ----------------------------------------------------------------------------------


def test_a_column_is_known_by_any_name_in_any_case() -> None:
    """A question's own name, its short names, in capitals, with spaces or underscores."""
    for heading in ("lower_leg", "Lower Leg", " LEG ", "popliteal height"):
        (column,) = columns_for([heading])
        assert column.question is seating().tree.questions["lower_leg"]


def test_every_name_of_every_question_is_a_column_unless_it_means_something_else() -> None:
    """Nothing an adviser may type at the desk is unknown here."""
    for question in seating().tree.questions.values():
        for name in question.names:
            (column,) = columns_for([name], health=True)
            assert column.question is (None if name in OWN else question)


def test_an_unknown_column_is_told_by_letter_with_the_nearest_name() -> None:
    """The person who made the file sees which column and what it should be called."""
    (problem,) = wrong("reference", "lower lge")
    assert problem.startswith("people.csv:1:2: error: Column B, “lower lge”,")
    assert "Did you mean 'lower leg'?" in problem


def test_two_columns_of_one_question() -> None:
    """Which of the two would count cannot be known, so neither is guessed."""
    (problem,) = wrong("leg", "sex", "lower_leg")
    assert "Column C" in problem
    assert "the same as column A" in problem


def test_health_columns_are_refused() -> None:
    """An employer has no business collecting answers about health; the sentence says so."""
    health = [q for q in seating().tree.questions.values() if q.private == "health"]
    assert health
    for question in health:
        (problem,) = wrong(question.name)
        assert "may not collect this" in problem
        assert wrong(question.name, health=True) == []


@pytest.mark.parametrize(("place", "name"), [(0, "A"), (25, "Z"), (26, "AA"), (701, "ZZ")])
def test_letters(place: int, name: str) -> None:
    """Columns are named as spreadsheets name them."""
    assert letter(place) == name


@given(st.lists(st.text(max_size=30) | st.sampled_from(HOSTILE), max_size=6))
@settings(max_examples=examples(50), deadline=None)
def test_any_heading_is_known_or_told(headings: list[str]) -> None:
    """No heading makes it fail, and none but an empty one is silently left out."""
    columns, problems = columns_of(seating().tree, headings, "people.csv")
    assert len(columns) + len(problems) == len([one for one in headings if one.strip()])


# -- rows -------------------------------------------------------------------------------------


@every_case(DEMOS)
def test_a_demo_call_as_a_row_gets_its_chair(path: Path) -> None:
    """A call turned into a row comes to what the call itself comes to, its chair and what to ask
    next included, although a row looks at no measure once one can hardly add anything."""
    call = transcript(path).call
    latest = call.latest()
    # A row holds nothing about health without consent.
    health = {q.name for q in seating().tree.questions.values() if q.private == "health"}
    unread = health if latest.get("consent") is None or latest["consent"].said != "yes" else set()
    # Nor does it say how a call is led.
    apart = {*unread, THOROUGH}
    cells = {name: answer.said for name, answer in latest.items() if name not in apart}
    stand = any(answer.confirmed for answer in latest.values())
    row = worked(cells, RowDefaults(call.today, call.system, call.country, stand), health=True)
    assert row.bad == ()
    assert row.state is not None
    # What is asked only because of an ache counts as not used where nothing is told of health.
    assert [name for name in row.not_used if row.state.step(name) is None] == []
    told = tuple(one for one in call.answers if one.question in cells)
    expected = state(seating(), replace(call, answers=told, handled=()))
    assert to_ask(seating(), row) == to_ask(seating(), replace(row, state=expected))
    found, wanted = derived(row.state), derived(expected)
    for one in (found, wanted):
        one["choice"] = one["choice"] and one["choice"] | {"gains": None}
    assert found == wanted


@given(st.permutations(list(GOOD)))
@settings(max_examples=6, deadline=None)
def test_the_order_of_columns_tells_nothing(order: list[str]) -> None:
    """The same cells in other columns are the same call."""
    expected, found = worked(GOOD), worked({name: GOOD[name] for name in order})
    assert expected.state is not None
    assert found.state is not None
    assert found.state.call == expected.state.call
    assert expected.state.chosen is not None
    assert found.state.chosen is not None
    assert choice_of(found.state.chosen) == choice_of(expected.state.chosen)


def test_an_empty_cell_was_not_asked() -> None:
    """Empty is not "not known": the question stays open; "?" answers it."""
    row = worked({**GOOD, "weight": " ", "heel": "?"})
    assert row.state is not None
    answered = row.state.call.latest()
    assert "weight" not in answered
    assert answered["heel"].said == "?"


def test_what_cannot_be_understood_is_asked_back_for_every_cell() -> None:
    """All the bad cells of a row are told at once, each with what would be right."""
    told = said(worked({**GOOD, "leg": "16.5", "desk type": "triangular"}))
    assert "16.5 in (41.9 cm)?" in told["leg"]
    assert "is not one of the answers" in told["desk type"]


def test_outside_what_is_usual() -> None:
    """A measure nobody has is not taken, unless it is said to stand."""
    odd = {**GOOD, "heel": "9 cm"}
    assert "outside the usual" in said(worked(odd))["heel"]
    stood = worked(odd, replace(TERMS, stand=True))
    assert stood.state is not None
    answers = stood.state.call.latest()
    assert answers["heel"].confirmed
    assert not answers["stature"].confirmed


def test_at_odds_with_the_other_measures() -> None:
    """Each measure is usual alone; together they are nobody's."""
    odd = {**GOOD, "height": "150", "leg": "50", "upper leg": "42"}
    row = worked(odd)
    assert row.bad
    assert row.state is None
    stood = worked(odd, replace(TERMS, stand=True))
    assert stood.bad == ()
    assert stood.state is not None
    assert all(doubt.confirmed for doubt in stood.state.doubts)


def test_units_and_country_of_a_row() -> None:
    """They come before those of the whole file, and a word that is neither is told."""
    row = worked({**GOOD, "units": "Imperial", "country": "ie"})
    assert row.state is not None
    assert (row.state.call.system, row.state.call.country) == ("imperial", "IE")
    told = said(worked({**GOOD, "units": "imperal", "country": "Irland"}))
    assert "Did you mean 'imperial'?" in told["units"]
    assert "“Irland” is not a known country" in told["country"]
    named = worked({**GOOD, "country": "Ireland"})
    assert named.state is not None
    assert named.state.call.country == "IE"


def test_a_cell_under_no_heading() -> None:
    """A comma too many moves every cell after it, so nothing of the row is trusted."""
    row = work(seating(), columns_for(["sex"]), PersonRow(7, ("women", "spilt")), TERMS)
    assert row.line == 7
    assert "has no heading" in said(row)["column B"]


def test_a_row_that_ends_early() -> None:
    """Programs leave out the empty cells at the end of a row."""
    row = work(seating(), columns_for(["sex", "leg", "note"]), PersonRow(2, ("women",)), TERMS)
    assert row.bad == ()
    assert row.note == ""


def test_an_answer_the_way_does_not_come_to() -> None:
    """It is said, so that nobody believes it counted."""
    row = worked({**GOOD, "desk type": "adjustable", "desk": "73"})
    assert row.not_used == ("desk",)


def test_a_young_person_is_stopped() -> None:
    """A stop ends a row as it ends a call: no chair, nothing to ask."""
    row = worked({**GOOD, "who sits": "young_person"})
    assert row.state is not None
    assert row.state.stopped is not None
    assert row.state.chosen is None
    assert to_ask(seating(), row) == ()


def test_what_to_ask_next() -> None:
    """What the call cannot do without comes first, then the answer that tells most."""
    row = worked({"sex": "women"})
    asks = to_ask(seating(), row)
    assert asks[:2] == ("who_sits", "consent")
    assert asks[2:] == ("desk_kind",)
    row = worked({"sex": "women", "desk height": "73 cm"})
    assert seating().tree.questions[to_ask(seating(), row)[-1]].measures


def test_a_row_is_not_asked_for_a_measure_that_can_hardly_add_anything() -> None:
    """What would be asked of every row is what the whole search says, sure of its chair or not;
    of a row that is sure, and whose weight is known, no measure is searched."""
    sure = {"weight": "70 kg", "leg": "41 cm", "thigh length": "47 cm", "elbow": "24 cm"}
    searched = {}
    for name, more in {"sure": sure, "light": {**sure, "weight": "?"}, "open": {}}.items():
        row = worked(GOOD | {"desk height": "73 cm"} | more)
        assert row.state is not None
        assert row.state.chosen is not None
        full = with_chair(seating(), replace(row.state, chosen=None))
        assert to_ask(seating(), row) == to_ask(seating(), replace(row, state=full))
        asking = {one.dimension for one in row.state.chosen.asking}
        searched[name] = not asking.isdisjoint(HOME_MEASURES)
    assert searched == {"sure": False, "light": True, "open": True}


def test_health_without_consent() -> None:
    """Nobody's health is read who has not said yes, and it is not repeated either."""
    for consent in ("no", ""):
        row = worked({**GOOD, **HEALTH, "consent": consent}, health=True)
        assert said(row).keys() == HEALTH.keys() - {"consent"}
        assert not any("lower back" in say for say in said(row).values())


def test_health_that_is_not_understood_is_not_repeated() -> None:
    """What is wrong with a health answer is told without what was typed."""
    told = said(worked({**GOOD, **HEALTH, "pains": "sciatica"}, health=True))
    assert list(told) == ["pains"]
    assert "sciatica" not in told["pains"]


def test_health_with_consent_counts_for_the_chair() -> None:
    """It is what the person said yes to; the state that may be told knows nothing of it."""
    row = worked({**GOOD, **HEALTH}, health=True)
    assert row.state is not None
    assert row.told is not None
    assert any(need.name == "support_in_the_hollow" for need in row.state.needs)
    assert not any(need.name == "support_in_the_hollow" for need in row.told.needs)
    health = {q.name for q in seating().tree.questions.values() if q.private == "health"}
    left = health & row.told.call.latest().keys()
    assert {row.told.call.latest()[name].said for name in left} <= {READ_OUT}


@given(whole_call(seating(), junk=True), st.booleans())
@settings(max_examples=15, deadline=None)
def test_no_row_makes_it_fail(cells: dict[str, str], stand: bool) -> None:
    """Whatever stands in the cells, a row is bad or worked out, never both."""
    row = worked(cells, replace(TERMS, stand=stand), health=True)
    assert bool(row.bad) == (row.state is None)
    if stand and row.state is not None:
        assert all(doubt.confirmed for doubt in row.state.doubts)


@given(whole_call(seating()))
@settings(max_examples=15, deadline=None)
def test_a_row_taken_unstood_holds_no_doubt(cells: dict[str, str]) -> None:
    """Nothing odd goes through unless it is said to stand."""
    row = worked(cells, health=True)
    if row.state is not None:
        assert row.state.doubts == ()
        assert not any(answer.confirmed for answer in row.state.call.answers)
