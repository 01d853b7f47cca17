"""The figures of a report, as values."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

FEW = 5
"""Cautions about health raised fewer times are counted as one: a small figure points at people."""
OTHER = ""
"""In place of a name that may not be shown."""
OTHERWISE = "other"
"""The choice by which a call went with other parts than those recommended."""


@dataclass(frozen=True, slots=True)
class Asks:
    """Questions whose answers are counted by choice; None where the tree has none."""

    reasons: str | None
    """Why people call."""
    agreed: str | None = None
    """Whether they went with the chair recommended."""
    because: str | None = None
    """Why they did not."""


@dataclass(frozen=True, slots=True)
class Asked:
    """The figures of one question."""

    calls: int
    """Calls in which it was answered."""
    unknown: int
    """Of those, where the answer that counts is that the caller does not know."""
    timed: Timed
    """How long an answer took."""


@dataclass(frozen=True, slots=True)
class Timed:
    """How long something took."""

    count: int
    """How often it was timed."""
    calls: int
    """In how many calls."""
    seconds: float | None
    """Median; None where it was never timed."""


@dataclass(frozen=True, slots=True)
class Chosen:
    """What finished calls agreed on."""

    calls: int
    """Finished calls, answered or not."""
    agreed: Mapping[str, int]
    """Choice -> calls; OTHER where the words said are none. Calls that were not asked are not in
    it."""
    because: Mapping[str, int]
    """Reason for other parts than those recommended -> calls."""


@dataclass(frozen=True, slots=True)
class Report:
    """The figures of a period."""

    calls: int
    by_status: Mapping[str, int]
    length: Timed
    """Of finished calls: the answers timed in each, together."""
    reasons: Mapping[str, int]
    """Choice -> calls; OTHER where the words said are no choice."""
    chosen: Chosen | None
    """None where the tree does not ask what was agreed."""
    questions: Mapping[str, Asked]
    cautions: Mapping[str, int]
    """Caution -> how often it was said to a caller; OTHER where its name would tell of health."""
    lifted: Mapping[str, int]
    """Stop -> how often it was lifted. The reasons are free text, so they are only counted."""
    told: tuple[str, ...]
    """What the figures leave out."""
