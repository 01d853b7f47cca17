"""Values in the reader's words."""

from __future__ import annotations

from datetime import date

import pytest

from consult.call.facts import Facts
from consult.call.understand import AnswerValue, Understood
from consult.call.wording import (
    FIGURE_NAMES,
    blank_words,
    format_number,
    how_known,
    in_own_unit,
    value_words,
)
from consult.units import System
from tests.call.calls import question, seating, told
from tests.long import every_case

TASKS = question("choices", choices={"phone": "Telephone", "paper": "Paper"})


@every_case(
    [
        ("yes-no", True, "metric", "yes"),
        ("yes-no", False, "metric", "no"),
        ("length", 1574.8, "metric", "157.5 cm"),
        ("length", 1574.8, "imperial", "62 in"),
        ("mass", 58.967, "imperial", "9 st 4 lb"),
        ("mass", 59.0, "metric", "59 kg"),
        ("count", 7.5, "imperial", "7.5"),
        ("count", 8.0, "metric", "8"),
        ("date", date(2026, 12, 2), "metric", "Wednesday 2 December 2026"),
        ("text", "[as] said", "metric", "[as] said"),
    ]
)
def test_value_words(kind: str, value: AnswerValue, system: System, words: str) -> None:
    """Each kind of value reads as a person would say it, in their units."""
    assert value_words(question(kind), value, system) == words


def test_stature_is_in_feet() -> None:
    """What is asked as the height of a person reads as one."""
    assert value_words(question("length", measures="stature"), 1574.8, "imperial") == "5 ft 2 in"


def test_choices_read_as_their_labels_in_the_order_of_the_tree() -> None:
    """Several choices read in the order they were offered, not in that of their typing."""
    assert value_words(TASKS, frozenset({"paper", "phone"}), "metric") == "Telephone, Paper"
    assert value_words(TASKS, "paper", "metric") == "Paper"


@pytest.mark.parametrize(("number", "words"), [(8.0, "8"), (7.5, "7.5"), (0.04, "0"), (10.0, "10")])
def test_format_number(number: float, words: str) -> None:
    """One decimal at most; a nought that says nothing is left out, one of ten is not."""
    assert format_number(number) == words


def test_in_own_unit() -> None:
    """A measure is repeated in the unit it was asked in."""
    assert in_own_unit(question("length", unit="cm"), 525.0) == "52.5 cm"
    assert in_own_unit(question("length", unit="in"), 254.0) == "10 in"
    assert in_own_unit(question("count"), 9.0) == "9"


def test_blank_words() -> None:
    """Blanks of texts: fit, body and answers in words, None where nothing is known."""
    facts = Facts(seating(), "imperial")
    asked = seating().tree.questions["desk_kind"]
    facts.learn(asked, Understood("fixed"), False)
    assert blank_words("desk_kind", facts) == asked.choices["fixed"]
    assert blank_words("stature", facts) is None
    assert blank_words("fit.footrest_height", facts) is None
    assert blank_words("fit.seat_out_of_reach", facts) == "no"
    assert "in" in str(blank_words("fit.seat_height", facts))
    assert " lb" in str(blank_words("body.weight", facts))
    assert " ft " in str(blank_words("body.stature", facts))
    assert blank_words("fit.footrest_height + 1 cm", facts) is None
    whole = Facts(seating(), "metric")
    part = blank_words("fit.seat_height", whole)
    more = blank_words("fit.seat_height + 3 cm to 1 cm", whole)
    assert part is not None
    assert more is not None
    assert float(more.split()[0]) == round(float(part.split()[0]) + 3)
    assert " kg" in str(blank_words("body.weight / 2", whole))


def test_every_requirement_has_a_name() -> None:
    """Whatever the fit works out has a name on screen and paper."""
    for kind in ("none", "adjustable", "fixed"):
        fit = told(
            seating(),
            who_sits="1",
            consent="no",
            warning_signs="none",
            desk_kind=kind,
            desk_height="76 cm",
        ).fit
        assert fit is not None
        assert fit.requirements.keys() <= FIGURE_NAMES.keys()


# -- measured, partly measured or estimated: what a figure rests on, no more and no less ----------

ON_THE_WAY = {
    "caller_name": "Ada",
    "who_sits": "caller",
    "reasons": "first chair",
    "sex": "female",
    "consent": "no",
    "warning_signs": "none",
}


def known(**answers: str) -> dict[str, str]:
    """How each figure is known after these answers."""
    now = told(seating(), **{**ON_THE_WAY, **answers})
    assert now.fit is not None
    return {name: how_known(now.estimate, one) for name, one in now.fit.requirements.items()}


def test_nothing_measured() -> None:
    """Without a measure every figure is an estimate."""
    assert set(known().values()) == {"estimated"}


def test_a_measured_leg_makes_the_seat_height_measured() -> None:
    """The seat rests on the lower leg, the screen on leg and eye, the depth on neither."""
    found = known(stature="170 cm", lower_leg="43 cm")
    assert found["seat_height"] == "measured"
    assert found["screen_top"] == "partly"
    assert found["seat_depth"] == "estimated"


def test_a_high_desk_makes_the_seat_rest_on_the_elbow() -> None:
    """Raised to meet a fixed desk, the seat no longer rests on the leg alone."""
    found = known(
        stature="157 cm", lower_leg="37 cm", desk_kind="fixed", desk_height="76", desk_thickness="3"
    )
    assert found["seat_height"] == "estimated"
    assert found["footrest_height"] == "partly"
