"""When to ring back where nobody said: two weeks after the chair that was agreed on comes."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest

from consult.call.basis import Basis
from tests.call.calls import TODAY, small, told
from tests.fit.slow_choose import part, range_of

TREE = """
tree: little
title: Little
version: 1
first: fever
after_stop: number
questions:
  fever: {ask: Do you have a fever?, answer: yes-no, next: weight}
  weight: {ask: How heavy?, answer: mass, unit: kg, measures: weight, next: agreed}
  agreed: {ask: Shall I note it?, answer: choice, sets: agreed, next: parts,
           choices: {recommended: Yes, other: Other parts, none: No}}
  parts: {ask: Which?, answer: text, sets: agreed_parts, ask_when: agreed == other, next: number}
  number: {ask: Which number?, answer: text, sets: caller_contact, next: ring}
  ring: {ask: When shall we ring?, answer: date, sets: follow_up, ask_when: known(ring), next: end}
cautions:
  - {name: ill, level: stop, when: fever, say: Please see a doctor., source: invented}
"""
SAID = {"fever": "no", "weight": "70 kg", "agreed": "recommended", "number": "a@example"}
RANGE = range_of(
    part("gas_lift", "SOON", price=9.0, lead_days=3),
    part("gas_lift", "LATE", price=99.0, lead_days=20),
    part("gas_lift", "MIDDLE", price=99.0, lead_days=12),
    part("seat", "SEAT", rating=150.0, lead_days=4),
)


@cache
def basis() -> Basis:
    with TemporaryDirectory() as folder:
        return replace(small(Path(folder), TREE), range=RANGE)


def day(**said: str) -> date | None:
    """When to ring; '' leaves a question open."""
    return told(
        basis(), **{name: words for name, words in (SAID | said).items() if words}
    ).follow_up


def test_two_weeks_after_the_slowest_part() -> None:
    """By hand: 5 working days from a Wednesday are a week, and two weeks are 14 days."""
    assert date(2026, 11, 25) == TODAY
    assert day() == TODAY + timedelta(days=7 + 14) == date(2026, 12, 16)


def test_other_parts_come_when_they_come() -> None:
    """The chair agreed on counts, not the one that was offered: 20 working days are four weeks."""
    assert day(agreed="other", parts="LATE") == TODAY + timedelta(weeks=6)


def test_nobody_is_rung_at_christmas() -> None:
    """12 working days and two weeks from 25 November are 25 December; then it is the Monday."""
    assert TODAY + timedelta(days=16 + 14) == date(2026, 12, 25)
    assert day(agreed="other", parts="MIDDLE") == date(2026, 12, 28)


def test_a_day_that_was_said_stands() -> None:
    """Whatever the chair takes."""
    assert day(ring="2 December") == date(2026, 12, 2)
    assert day(ring="2 December", agreed="none") == date(2026, 12, 2)


@pytest.mark.parametrize(
    "said",
    [
        {"agreed": "none"},
        {"agreed": "?"},
        {"agreed": ""},
        {"number": "?"},
        {"number": ""},
        {"weight": "220 kg"},
        {"fever": "yes"},
    ],
)
def test_nobody_is_rung(said: dict[str, str]) -> None:
    """Without a chair that comes, or without a way to reach the caller, no day is proposed."""
    assert day(**said) is None


def test_without_a_range() -> None:
    """Where no chair is chosen none comes."""
    assert told(replace(basis(), range=None), **SAID).follow_up is None
