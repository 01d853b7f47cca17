"""The seating call keeps its promise: short, safe, and the right chair.

Callers have bodies of the survey (Gordon et al. 2014, NATICK/TR-15/007) and tell their measures
with the error of callers; what else they say is invented. The limits are those of the promise, not
measured here first. ``CONSULT_LONG=1`` leads 400 callers, else 120, for whom shares are known less
well.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

from consult.call.state import State, with_chair
from consult.content.callers.report import OfferedChairs, callers_report, ended_call
from consult.content.callers.simulation import FeaturesKept, came_to
from consult.summary.directions import state_pieces
from tests.call.calls import seating
from tests.content.callers.people import SEED, led, shares, source
from tests.long import LONG

COUNT = 400 if LONG else 120
SLACK = 0.0 if LONG else 0.05
"""What 120 callers may show less than 400, in shares: two standard errors of a share of 0.85."""
ONE_MORE = 0 if LONG else 1
"""Question that their median may be longer by."""


LEADS_ON = {
    ("special_care", "operation_before"): "operation_limits",
    ("operated_on", "other_operation"): "operation_limits",
    ("operated_ago", "within_a_year"): "operation_limits",
    ("operated_ago", "over_a_year"): "operation_limits",
    ("pain_sites", "upper_back"): "upper_back_when",
    ("pain_sites", "hips"): "hips_where",
    ("pain_sites", "tailbone"): "tailbone_when",
    ("pain_sites", "legs"): "legs_feel",
    ("pain_sites", "wrists"): "hands_when",
}
"""Answers that open the next question, which is then asked and has advice of its own."""
STAYS = {("lower_back_runs", "runs_nowhere")}
"""Answers that only say a sign is not there."""
WITH_PAIN = {("special_care", "past_illness"), ("special_care", "new_at_that_age")}
"""Answers that make a pain urgent, and mean nothing for a chair without one."""


@cache
def ended() -> list[tuple[int, State]]:
    """Each caller's number and call."""
    return [
        (number, with_chair(seating(), led("seating", number))) for number in range(1, COUNT + 1)
    ]


@cache
def offered() -> OfferedChairs:
    """The callers who wanted the chair that the call offers."""
    pieces, callers = state_pieces(seating()), source(shares(), SEED)
    found = callers_report(
        seating().tree,
        (
            ended_call(seating().tree, at, now, pieces, came_to(seating(), callers, at, now))
            for at, now in ended()
        ),
    )
    assert not found.troubles
    assert found.offered is not None
    return found.offered


def share(kept: FeaturesKept) -> float:
    """0 to 1."""
    return kept.has / kept.of


def test_a_call_is_short() -> None:
    """Fifteen questions to the chair, twenty in all, ten minutes; nine in ten 20, 26 and 14."""
    found = offered()
    assert found.to_chair.median <= 15 + ONE_MORE
    assert found.to_chair.ninety <= 20
    assert found.questions.median <= 20 + ONE_MORE
    assert found.questions.ninety <= 26
    assert found.minutes.median <= 10
    assert found.minutes.ninety <= 14


def test_the_chair_is_the_right_one() -> None:
    """It fits body and desk where one of the range does, hardly less often than the full call's."""
    found = offered()
    assert share(found.fits) >= 0.97 - SLACK
    assert share(found.fits) >= share(found.fits_in_full) - 0.01 - SLACK


def test_nothing_is_forgotten() -> None:
    """What the full call would have asked of the chair of the same caller, the short one meets."""
    found = offered()
    assert share(found.musts) >= 0.97
    assert share(found.preferences) >= 0.85 - SLACK


def test_everybody_heard_the_warning_signs() -> None:
    """Before any chair is offered."""
    assert offered().heard_signs == offered().callers


def health_told(now: State) -> Iterator[tuple[str, str]]:
    """Each ache, limit, operation and the like that a caller told of: question and choice."""
    for step in now.steps:
        if step.question.private == "health" and step.status == "answered":
            value = step.understood.value if step.understood else None
            said = value if isinstance(value, frozenset) else {value}
            yield from ((step.question.name, one) for one in said if isinstance(one, str))


def followed(now: State, question: str, choice: str) -> bool:
    """Whether something the call says or looks for in a chair reads this answer, and holds."""
    lookup = now.told(seating()).lookup
    whens = [
        *(one.advice.when for one in now.advice),
        *(one.caution.when for one in now.cautions),
        *(one.when for one in now.needs),
    ]
    return any({question, choice} <= one.names and one.evaluate(lookup) is True for one in whens)


def test_what_is_told_of_health_is_followed_by_advice() -> None:
    """No ache, limit or operation is asked for and then left alone."""
    seen = set()
    for number, now in ended():
        if now.stopped is not None:
            continue
        asked = {step.question.name for step in now.steps}
        for question, choice in health_told(now):
            if choice.endswith("none") or followed(now, question, choice):
                seen.add((question, choice))
            elif (question, choice) in LEADS_ON:
                assert LEADS_ON[question, choice] in asked, (number, question, choice)
            else:
                assert (question, choice) in WITH_PAIN | STAYS, (number, question, choice)
    assert len(seen) > 25
