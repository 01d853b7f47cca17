"""The score and what came of the call: advisers of known skill with drawn callers."""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import cache
from itertools import pairwise
from statistics import correlation

import pytest

from consult.practice.load import load_persona
from consult.practice.model import Persona
from consult.practice.trial import (
    ADVISERS,
    BY_THE_SCREEN,
    AdviserSummary,
    AdviserTrial,
    CallEnd,
    adviser_summaries,
    passed_with_a_sign_missed,
    rank_correlation,
    trials,
)
from tests.call.calls import basis_of
from tests.long import LONG
from tests.practice.callers import CALLERS, survey

SEEDS = range(0, 200) if LONG else range(25, 200, 50)
"""Callers drawn; the usual run leads every fiftieth."""


def drawn() -> Iterator[tuple[int, Persona]]:
    """Somebody else with every seed."""
    tree = basis_of("seating").tree
    for seed in SEEDS:
        persona, problems = load_persona(CALLERS / "somebody_new.yaml", tree, survey(), seed)
        assert persona is not None, problems
        yield seed, persona


@cache
def found() -> tuple[AdviserTrial, ...]:
    """Every adviser with every caller."""
    return tuple(trials(basis_of("seating"), drawn()))


@cache
def row(adviser: str) -> AdviserSummary:
    """How one adviser did."""
    return next(one for one in adviser_summaries(found()) if one.adviser == adviser)


def test_who_does_everything_right_passes_all() -> None:
    """No caller is drawn whom nobody could advise well."""
    assert row("perfect").passed == row("perfect").calls == len(SEEDS)
    assert row("perfect").missed == 0
    assert row("perfect").fits == len(SEEDS)


@pytest.mark.parametrize(
    ("adviser", "most"),
    [
        ("never notices", 0.15),
        ("hasty", 0.15),
        ("hint before everything", 0.3),
        ("measures all twice", 0.3),
        ("random", 0.0),
    ],
)
def test_nothing_else_passes_for_skill(adviser: str, most: float) -> None:
    """A pass means that it went well for the caller; ways round that seldom pass."""
    assert row(adviser).passed <= most * row(adviser).calls


def test_a_sign_missed_never_passes() -> None:
    """Whoever led the call, and however good the rest of it was."""
    assert any(one.outcome.missed for one in found())
    assert not passed_with_a_sign_missed(found())


def test_who_gives_way_passes_nobody_who_presses() -> None:
    """Whether or not there was a sign to find; callers who never press are led like any other."""
    tree = basis_of("seating").tree
    for one in (one for one in found() if one.adviser == "gives way"):
        persona, _ = load_persona(CALLERS / "somebody_new.yaml", tree, survey(), one.seed)
        assert persona is not None
        pressed = {"skip_the_list"} & {each.name for each in persona.behaviours}
        assert not (pressed and one.passed)
    assert row("gives way").passed < row("perfect").passed


def test_the_screen_alone_keeps_the_promise() -> None:
    """Who does what the screen says and enters what is said finds a chair as good as any, after
    few questions, and misses no sign."""
    kept = row(BY_THE_SCREEN)
    assert 0 < kept.chairs < len(SEEDS)
    assert kept.as_good >= 0.95 * kept.chairs - 0.5
    assert kept.questions <= (20 if LONG else 24)
    assert kept.signs > kept.signs_missed == 0


def test_score_and_outcome_go_together() -> None:
    """By ranks, over all calls of all advisers."""
    assert rank_correlation(found()) >= 0.8


def test_a_better_adviser_has_the_better_score() -> None:
    """In the order of what came of their calls."""
    order = [row(name).score for name in ("perfect", "measures all twice", "never notices")]
    assert all(better > worse for better, worse in pairwise(order))
    assert {one.adviser for one in found()} == set(ADVISERS)


def trial(share: float, missed: int, fits: bool, slower: float) -> AdviserTrial:
    """One call made by hand."""
    return AdviserTrial(
        "somebody", 1, share, True, CallEnd(1, missed, fits, fits, 20, 10.0, slower)
    )


def test_the_rank_correlation_is_that_of_the_books() -> None:
    """Spearman's, ties sharing their ranks: by hand the correlation of the ranks below."""
    made = [
        trial(0.9, 0, True, 1.0),
        trial(0.9, 0, True, 1.3),
        trial(0.3, 1, False, 1.0),
        trial(0.5, 0, False, 1.0),
        trial(0.6, 0, False, 2.0),
    ]
    of_score, of_outcome = [4.5, 4.5, 1, 2, 3], [5, 4, 1, 3, 2]
    assert rank_correlation(made) == pytest.approx(correlation(of_score, of_outcome))
    assert math.isnan(rank_correlation(made[:1]))


def test_harm_comes_before_the_chair_and_the_chair_before_time() -> None:
    """A sign missed is worst, then a chair that does not fit, then minutes."""
    worst = trial(1, 1, True, 1.0).outcome.order
    misfit = trial(1, 0, False, 1.0).outcome.order
    slow = trial(1, 0, True, 2.0).outcome.order
    best = trial(1, 0, True, 1.0).outcome.order
    assert worst < misfit < slow < best
