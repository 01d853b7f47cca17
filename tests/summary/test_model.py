"""What the summary of a call holds."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from consult.fit.settings import Shortfall
from consult.sentence import Sentence
from consult.summary.lines import CautionLine
from consult.summary.model import Summary, summarise
from consult.summary.readers import STOPPED_NOTE
from consult.summary.specification import NO_CHAIR
from tests.summary.calls import GOOD, REFUSED, UNKNOWN, basis, state_of, summary_of, with_picked


def exported(summary: Summary) -> str:
    """Everything that leaves the program, as one text."""
    return json.dumps(summary.as_json(), allow_nan=False, ensure_ascii=False)


def without_consent(aches: str) -> Summary:
    """A call in which health was told, but nobody has said that it may be kept."""
    return summarise(basis(), replace(state_of({**GOOD, "aches": aches}), consent=None))


def test_whole_call() -> None:
    """A call answered to its end is told in full."""
    told = summary_of(GOOD).as_json()
    assert told["call"] == {
        "date": "2026-11-25",
        "caller": "Ada Fenwick",
        "units": "metric",
        "country": "GB",
        "finished": True,
        "stopped": None,
        "reference": "",
        "adviser": "",
    }
    assert told["made_with"]["tree_version"] == "1.0"
    assert told["follow_up"] == "2026-12-09"
    assert [one["name"] for one in told["advice"]] == [
        "open_hip",
        "seat_first",
        "daylight",
        "quoting",
    ]
    assert {one["name"]: one["met"] for one in told["needs"]} == {"tilting": True, "sliding": True}
    assert told["route"] == list(GOOD)


def test_figures_are_those_of_the_fit() -> None:
    """Every requirement stands under its name with the fit's own numbers, mm; of a desk that does
    not move its own."""
    state = state_of(GOOD)
    told = summarise(basis(), state).as_json()["fit"]
    assert state.fit is not None
    assert state.set_up is not None
    assert set(told) == set(state.fit.requirements)
    assert told["desk_height"]["target"] == 760.0
    for name, one in state.set_up.requirements.items():
        assert (told[name]["target"], told[name]["low"]) == (one.target, one.low)


def test_specification_adds_up() -> None:
    """The parts are those picked, and their prices make the price."""
    found = summary_of(GOOD).as_json()["specification"]
    assert found["currency"] == "GBP"
    assert sum(part["price"] for part in found["parts"]) == pytest.approx(found["price"])
    assert "footrest" in [part["kind"] for part in found["parts"]]


def test_specification_tells_how_sure_it_is() -> None:
    """How often the chair fits, what ties with it and what to ask are those of the choice."""
    state = state_of(GOOD)
    assert state.chosen is not None
    best = state.chosen.choice.best
    assert best is not None
    found = summarise(basis(), state).as_json()["specification"]
    assert (found["p_fits"], found["se"]) == (best.p_fits, best.se)
    assert found["tied"] == state.chosen.choice.tied_count
    assert found["compromises"] == ["footrest"]
    assert [line.split(" (")[0] for line in found["why_not"]] == [
        "The cheapest",
        "Another seat",
        "Another gas lift",
        "Other arms",
    ]
    assert found["settled"] is False
    assert found["ask_next"].startswith("Worth asking: ")


def test_every_measure_taken_leaves_nothing_to_ask() -> None:
    """With nothing left to measure the chair is settled, and the summary says so."""
    state = state_of(GOOD)
    assert state.chosen is not None
    settled = replace(state, chosen=replace(state.chosen, still_open=lambda: ()))
    found = summarise(basis(), settled).as_json()["specification"]
    assert found["settled"] is True
    assert found["ask_next"].startswith("Enough is known")


def test_no_chair_has_no_share() -> None:
    """Where no chair may be offered there is nothing to be sure of, and no other to compare."""
    found = summary_of({**GOOD, "mass": "400 kg"}).as_json()["specification"]
    assert found["parts"] == found["why_not"] == found["compromises"] == []
    assert found["p_fits"] is None
    assert found["se"] is None
    assert found["ask_next"] is None


def test_other_populations_are_told_where_they_differ() -> None:
    """A sentence for every other population that moves something, in the units of the call."""
    (metric,) = summary_of(GOOD).as_json()["specification"]["other_populations"]
    assert metric.startswith("Estimated from British adults")
    assert " cm " in metric
    (inches,) = summary_of(GOOD, "imperial").as_json()["specification"]["other_populations"]
    assert " in " in inches
    assert " cm " not in inches


def test_why_not_tells_nothing_of_health() -> None:
    """Where a need follows from a withheld answer, nothing names what it asks for."""
    state = state_of(GOOD)
    assert state.chosen is not None
    best = state.chosen.choice.best
    assert best is not None
    lacking = replace(best, compromises=("seat_angle", "footrest"))
    choice = replace(state.chosen.choice, best=lacking)
    now = replace(state, chosen=replace(state.chosen, choice=choice))
    kept = summarise(basis(), replace(now, consent=None)).as_json()["specification"]
    assert kept["why_not"] == []
    assert kept["compromises"] == ["footrest"]
    agreed = summarise(basis(), now).as_json()["specification"]
    assert agreed["compromises"] == ["seat_angle", "footrest"]
    assert agreed["why_not"]


def test_no_chair_for_a_need_of_health_does_not_name_it() -> None:
    """That no chair has a feature needed for health is told without the feature."""
    lacking = Sentence("No chair of this range has what is needed: seat angle.")
    short = Shortfall(None, "rating", 0.0, lacking)
    state = with_picked(state_of(GOOD), parts={}, shortfalls=(short,))
    assert state.chosen is not None
    choice = replace(state.chosen.choice, best=None, none_because=lacking)
    now = replace(state, chosen=replace(state.chosen, choice=choice))
    assert "seat angle" in exported(summarise(basis(), now))
    kept = summarise(basis(), replace(now, consent=None))
    assert "seat angle" not in exported(kept)
    assert kept.specification is not None
    assert kept.specification.shortfalls[0].say == NO_CHAIR


def test_no_range_no_specification() -> None:
    """Without a range there are figures and steps, but nothing to order."""
    state = replace(state_of(GOOD), chosen=None)
    told = summarise(replace(basis(), range=None), state).as_json()
    assert told["specification"] is None
    assert told["made_with"]["range"] is None
    assert told["needs"][0]["met"] is None
    assert told["setup_steps"]


def test_answers_as_said_and_as_understood() -> None:
    """An answer keeps the words, its value in mm, kg, choice names, and its note."""
    told = summary_of(GOOD, notes={"height": "against the door"}).as_json()["answers"]
    by_name = {one["question"]: one for one in told}
    assert by_name["height"]["said"] == "157.5"
    assert by_name["height"]["value"] == 1575.0
    assert by_name["height"]["note"] == "against the door"
    assert by_name["aches"]["value"] == ["lower_back"]
    assert by_name["caller"]["private"] == "personal"


def test_personal_answers_need_no_consent() -> None:
    """Name and the like are kept even where nothing about health may be."""
    told = summary_of(REFUSED).as_json()
    assert told["call"]["caller"] == "Ada Fenwick"
    assert "caller" in [one["question"] for one in told["answers"]]


def test_nothing_of_health_without_consent() -> None:
    """Neither the answer nor advice, need or route that follows from it is kept."""
    kept = without_consent("lower back").as_json()
    text = json.dumps(kept)
    for trace in ("aches", "lower_back", "Lower back", "open_hip", "tilting"):
        assert trace not in text
    assert [one["name"] for one in kept["advice"]] == ["seat_first", "daylight"]
    assert all("open_hip" not in step["advice"] for step in kept["setup_steps"])


def test_same_call_with_consent_has_it_all() -> None:
    """The traces looked for above are there once the caller agrees."""
    text = exported(summary_of(GOOD))
    for trace in ("aches", "lower_back", "Lower back", "open_hip", "tilting", "quoting"):
        assert trace in text


def test_text_quoting_a_health_answer_is_left_out() -> None:
    """Advice for everybody that quotes a health answer tells it as well."""
    assert "hurts here" in exported(summary_of(GOOD))
    assert "hurts here" not in exported(without_consent("lower back"))


def test_stop_without_consent_tells_only_that_it_stopped() -> None:
    """Safety outranks: the stop is kept, but neither its name, words nor contact."""
    summary = without_consent("saddle, hands")
    assert summary.call.stopped == "safety"
    assert summary.cautions == (
        # A referral beside it would send the caller to somebody later.
        CautionLine(None, "stop", STOPPED_NOTE, "", ()),
    )
    for trace in ("saddle", "emergency number", "numb", "Hands", "practice"):
        assert trace not in exported(summary)


def test_stop_not_about_health_keeps_its_words() -> None:
    """A caution about anything else is kept in full, consent or not."""
    kept = summary_of({**REFUSED, "mass": "130"}).as_json()["cautions"]
    assert [one["name"] for one in kept] == ["heavy"]


def test_refusal_during_the_call_asks_nothing() -> None:
    """A caller who says no leaves no health question on the way."""
    told = summary_of(REFUSED).as_json()
    assert "aches" not in told["route"]
    assert told["advice"]


def test_stopped_call_offers_nothing() -> None:
    """After a stop there are the caution, whom to contact and the follow-up, and no product."""
    told = summary_of({**GOOD, "aches": "saddle"}).as_json()
    assert told["call"]["stopped"] == "numb_saddle"
    assert told["cautions"][0]["contact"] == "call 999 now"
    assert told["follow_up"] == "2026-12-09"
    assert told["specification"] is None
    for part in ("fit", "body", "notes", "missing", "advice", "needs", "setup_steps"):
        assert not told[part], part
    assert not told["measured"]
    assert not told["estimated"]


def test_unknown_everywhere() -> None:
    """A caller who knows nothing gets figures from the population and is told what is missing."""
    told = summary_of(UNKNOWN).as_json()
    assert told["measured"] == []
    assert told["estimated"][0]["say"].endswith("estimated from the population alone")
    assert told["missing"]
    assert told["follow_up"] is None
    assert told["call"]["caller"] == ""
    assert {one["status"] for one in told["answers"]} == {"unknown", "answered"}


def test_call_just_begun() -> None:
    """A call without a single answer can be summarised."""
    told = summary_of({}).as_json()
    assert told["call"]["finished"] is False
    assert told["answers"] == []


def test_json_has_no_endless_numbers() -> None:
    """A figure without an upper limit is written as null, for JSON knows no infinity."""
    state = state_of(GOOD)
    assert state.fit is not None
    wide = replace(state.fit.requirements["seat_width"], high=float("inf"))
    fit = replace(state.fit, requirements={**state.fit.requirements, "seat_width": wide})
    told = summarise(basis(), replace(state, fit=fit)).as_json()
    assert told["fit"]["seat_width"]["high"] is None
    json.dumps(told, allow_nan=False)


def test_same_call_same_summary() -> None:
    """The summary depends on nothing but the call."""
    assert exported(summary_of(GOOD)) == exported(summary_of(GOOD))
