"""Counting what came of simulated calls, and what is the matter with one."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from consult.call.basis import Basis
from consult.call.state import Given, State
from consult.content.callers.report import OfferedChairs, Spread, callers_report, ended_call, faults
from consult.content.callers.simulation import CallResult, FeaturesKept
from consult.moves import MovePiece
from tests.call.calls import seating, small, told

LITTLE = """\
tree: little
title: A little tree
version: 3
first: tired
after_stop: reach
works_out: nothing
questions:
  tired:
    ask: Are you tired?
    answer: yes-no
    next:
      - when: tired
        go: hours
      - otherwise: reach
  hours:
    ask: For how many hours did you sleep?
    answer: count
    next: reach
  reach:
    ask: How can we reach you?
    answer: text
    read_by: people
    next: end
cautions:
  - name: no_sleep
    level: stop
    when: hours < 2
    say: Please sleep first.
    source: common_practice
advice:
  - name: sleep_more
    topic: sleep
    when: hours < 6
    contradicts: sleep_less
    say: Sleep for longer.
    because: It helps.
    source: common_practice
  - name: sleep_less
    topic: sleep
    when: hours > 5
    say: Sleep for less long.
    because: It helps.
    source: common_practice
"""


@pytest.fixture
def little(tmp_path: Path) -> Basis:
    """Whoever slept more than five hours and less than six is told two things."""
    return small(tmp_path, LITTLE)


def whole(basis: Basis, hours: str) -> State:
    return told(basis, tired="yes", hours=hours, reach="here")


def test_nothing_wrong(little: Basis) -> None:
    """A call that ends, with one piece of advice, has no fault."""
    for hours in ("1", "4", "6", "8", "?"):
        assert list(faults(little.tree, whole(little, hours))) == []


def test_contradictory_advice(little: Basis) -> None:
    """Two pieces of advice of which one says it contradicts the other are told by name."""
    (fault,) = faults(little.tree, whole(little, "5.5"))
    assert (fault.kind, fault.what) == ("contradiction", "'sleep_more' with 'sleep_less'")
    assert fault.about == {"hours"}


def test_opposed_advice(tmp_path: Path) -> None:
    """Two pieces of advice that move one thing opposed ways are told; documents add theirs."""
    text = LITTLE.replace("    contradicts: sleep_less\n", "    moves: {seat: lower}\n")
    text = text.replace("    when: hours > 5\n", "    when: hours > 5\n    moves: {seat: raise}\n")
    tree = small(tmp_path, text)
    (fault,) = faults(tree.tree, whole(tree, "5.5"))
    assert fault.kind == "opposed"
    assert fault.what == "advice 'sleep_more' with advice 'sleep_less': seat lower and raise"
    assert fault.about == {"hours"}
    assert list(faults(tree.tree, whole(tree, "4"))) == []
    paper = [MovePiece("step 'seat'", {"seat": "leave"}), MovePiece("note 'seat'", {"seat": "set"})]
    (fault,) = faults(tree.tree, whole(tree, "4"), lambda _: paper)
    assert fault.what == "step 'seat' with note 'seat': seat leave and set"


def test_a_call_that_does_not_end(little: Basis) -> None:
    """A question whose answer cannot be taken is where a caller is stuck."""
    (fault,) = faults(little.tree, told(little, tired="yes", hours="many many"))
    assert (fault.kind, fault.what) == ("stuck", "'hours'")


def test_advice_after_a_stop(little: Basis) -> None:
    """Advice left in a stopped call is told, whatever let it through."""
    now = whole(little, "1")
    assert now.stopped is not None
    advice = little.tree.advice[0]
    (fault,) = faults(little.tree, replace(now, given=lambda: (Given(advice, str),)))
    assert (fault.kind, fault.what) == ("advice after a stop", "'sleep_more' after 'no_sleep'")


def test_health_before_consent() -> None:
    """A health answer on the way before a clear yes is told; after it, it is as it should be."""
    tree = seating().tree
    now = told(seating(), caller_name="Ada", who_sits="caller", consent="yes", pain_sites="neck")
    assert list(_health(now)) == []
    consent = now.step("consent")
    pain = now.step("pain_sites")
    assert consent is not None
    assert pain is not None
    turned = replace(now, steps=(pain, consent))
    assert list(_health(turned)) == ["'pain_sites'"]
    kinds = {fault.kind for fault in faults(tree, turned)}
    assert "health before consent" in kinds


def _health(now: State) -> list[str]:
    found = faults(seating().tree, now)
    return [one.what for one in found if one.kind == "health before consent"]


def test_how_long_and_how_often(little: Basis) -> None:
    """Lengths, stops, and every piece with its callers, by hand."""
    calls = [
        whole(little, "1"),  # tired, hours, reach: stopped
        whole(little, "4"),  # the same three
        told(little, tired="no", reach="here"),  # two
    ]
    counted = (ended_call(little.tree, number, now) for number, now in enumerate(calls, 1))
    found = callers_report(little.tree, counted)
    assert (found.tree, found.version, found.callers, found.stopped) == ("little", "3", 3, 1)
    lengths = found.lengths
    assert (lengths.shortest, lengths.median, lengths.longest, lengths.of) == (2, 3, 3, 3)
    assert lengths.share == 1.0
    assert {piece.name: count for piece, count in found.met.items()} == {
        "tired": 3,
        "hours": 2,
        "reach": 3,
        "no_sleep": 1,
        "sleep_more": 1,
        "sleep_less": 0,
    }
    assert [piece.name for piece in found.unmet] == ["sleep_less"]
    assert found.troubles == ()


def offered_of(little: Basis, results: list[CallResult]) -> OfferedChairs | None:
    """As one call had come to all of these."""
    call = ended_call(little.tree, 1, whole(little, "4"), results=results)
    return callers_report(little.tree, [call]).offered


def came(**changed: Any) -> CallResult:
    """A call that ended with a chair."""
    usual = CallResult(
        to_chair=14,
        questions=19,
        seconds=540.0,
        could_fit=True,
        fits=True,
        fits_in_full=True,
        musts=FeaturesKept(1, 1),
        preferences=FeaturesKept(2, 3),
        heard_signs=True,
    )
    return replace(usual, **changed)


@pytest.mark.parametrize(
    ("values", "median", "ninety"),
    [
        ([7], 7, 7),
        ([9, 1], 5, 9),
        (list(range(10, 0, -1)), 5.5, 9),
        (list(range(1, 12)), 6, 10),
        ([1] * 9 + [50], 1, 1),
    ],
)
def test_a_middle_and_nine_in_ten(values: list[float], median: float, ninety: float) -> None:
    """In whatever order; nine in ten stay within the second, which is one of them."""
    found = Spread.of(values)
    assert (found.median, found.ninety) == (median, ninety)


def test_calls_with_a_chair_are_summed_up(little: Basis) -> None:
    """By hand: who can be fitted counts for fits, and calls led in full where those came to one."""
    results = [
        came(),
        came(to_chair=16, questions=25, seconds=900.0, fits=False, heard_signs=False),
        came(fits=False, fits_in_full=False, musts=FeaturesKept(0, 2)),
        came(fits_in_full=None, preferences=FeaturesKept(0, 1)),
        # Nothing of the range fits, so no chair of it is the wrong one.
        came(could_fit=False, fits=False, fits_in_full=False),
    ]
    found = offered_of(little, results)
    assert found is not None
    assert found.callers == 5
    assert found.to_chair == Spread(14, 16)
    assert found.questions == Spread(19, 25)
    assert found.minutes == Spread(9, 15)
    assert found.fits == FeaturesKept(2, 4)
    assert found.fits_in_full == FeaturesKept(2, 3)
    assert found.musts == FeaturesKept(4, 6)
    assert found.preferences == FeaturesKept(8, 13)
    assert found.heard_signs == 4


def test_troubles_are_gathered(little: Basis) -> None:
    """The same fault of several callers is one trouble, with the first of them as the sample."""
    calls = [ended_call(little.tree, number, whole(little, "5.5")) for number in (4, 9, 12)]
    (trouble,) = callers_report(little.tree, calls).troubles
    assert (trouble.kind, trouble.callers, trouble.sample) == ("contradiction", 3, 4)
    assert trouble.answers == ("hours: 5.5",)


def test_what_the_chair_came_to(little: Basis) -> None:
    """By hand: who counts for the fit, features added up, the middle and the ninth tenth."""
    plain = CallResult(
        to_chair=14,
        questions=20,
        seconds=540.0,
        could_fit=True,
        fits=True,
        fits_in_full=True,
        musts=FeaturesKept(2, 2),
        preferences=FeaturesKept(1, 3),
        heard_signs=True,
    )
    results = [
        plain,
        replace(plain, to_chair=16, seconds=600.0, fits=False),
        # Nothing of the range fits: neither chair is to blame.
        replace(plain, to_chair=18, could_fit=False, fits=False, fits_in_full=False),
        # The full call offers no chair; the short one counts all the same.
        replace(plain, to_chair=30, fits_in_full=None, musts=FeaturesKept(0, 1), heard_signs=False),
    ]
    found = offered_of(little, results)
    assert found is not None
    assert (found.callers, found.heard_signs) == (4, 3)
    assert (found.to_chair, found.questions) == (Spread(17, 30), Spread(20, 20))
    assert found.minutes == Spread(9.0, 10.0)
    assert (found.fits, found.fits_in_full) == (FeaturesKept(2, 3), FeaturesKept(2, 2))
    assert (found.musts, found.preferences) == (FeaturesKept(6, 7), FeaturesKept(4, 12))
    assert Spread.of([float(at) for at in range(1, 11)]) == Spread(5.5, 9)


def test_nobody_was_offered_a_chair(little: Basis) -> None:
    """Where no call ended with a chair there is nothing to count."""
    assert offered_of(little, []) is None
