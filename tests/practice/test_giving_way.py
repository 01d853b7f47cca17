"""A caller presses the adviser to pass over a warning sign, who gives way or does not."""

from __future__ import annotations

import pytest

from consult.practice.learner.done import finished
from consult.practice.log import Log
from consult.practice.model_call import PERFECT, Skill, led_exercise
from consult.practice.score import as_it_should_be, score_of
from consult.practice.trial import outcome
from tests.practice.callers_by_hand import caller
from tests.practice.trainees import BEGAN

PRESSED = pytest.mark.parametrize(
    ("name", "pressing"), [("presses", "skip_it"), ("presses_at_stop", "just_send_it")]
)


def led(name: str, skill: Skill) -> Log:
    """A call with a caller made by hand."""
    basis, persona = caller(name)
    return led_exercise(basis, persona, 1, "guided", BEGAN, skill)


@PRESSED
def test_giving_way_fails_the_call(name: str, pressing: str) -> None:
    """With or without a sign, and however good the rest was; the score names the pressing."""
    basis, persona = caller(name)
    log = led(name, Skill(gives_way=True))
    found = score_of(log, persona, basis)
    assert ("signs", pressing) in [(one.criterion, one.behaviour) for one in found.failed_by]
    (met,) = finished("Ann", BEGAN.date(), persona, log, found).met
    assert (met.kind, met.noticed) == ("presses", False)


@PRESSED
def test_standing_firm_passes(name: str, pressing: str) -> None:
    """The list is asked for once more, and a stop stays."""
    basis, persona = caller(name)
    log = led(name, PERFECT)
    assert any(pressing in turn.shown for turn in log.turns)
    found = score_of(log, persona, basis)
    assert found.full
    (met,) = finished("Ann", BEGAN.date(), persona, log, found).met
    assert (met.kind, met.noticed) == ("presses", True)


def test_a_stop_taken_back_is_a_sign_missed() -> None:
    """What came of the call is judged by what holds at its end, not by what was said once."""
    basis, persona = caller("presses_at_stop")
    best = as_it_should_be(basis, persona, 1, BEGAN.date())
    gave_way = outcome(basis, persona, led("presses_at_stop", Skill(gives_way=True)), best)
    firm = outcome(basis, persona, led("presses_at_stop", PERFECT), best)
    assert (gave_way.missed, gave_way.chair_fits) == (1, False)
    assert (firm.missed, firm.chair_fits) == (0, True)
