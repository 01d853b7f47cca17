"""What came of the chairs of past calls, counted; no group of fewer than five is given."""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence, Set
from dataclasses import dataclass
from typing import TYPE_CHECKING

from consult.learning.calibration import FEW, OddsBand, bands_of

if TYPE_CHECKING:
    from consult.call.chair_outcome import PastCall


@dataclass(frozen=True, slots=True)
class MeasuredTwice:
    """A body measure of first calls beside what was measured later; mm."""

    calls: int
    mean: float
    """Measured later minus had in the first call."""
    sd: float


@dataclass(frozen=True, slots=True)
class OutcomeGroup:
    """Chairs of one part, or calls of one adviser, of which it is known what came of them."""

    calls: int
    failed: int
    """Exchanged or returned because they do not fit or a part is faulty."""
    stated: float
    """Mean of the odds stated, 0 to 1."""


@dataclass(frozen=True, slots=True)
class Outcomes:
    """The figures of past calls. Counts are exact: they are made coarse where they are shown."""

    calls: int
    """Finished calls with a chair agreed on."""
    came: Mapping[str, int]
    """What came of the chair -> calls; of the others nobody has asked."""
    because: Mapping[str, int]
    """Why chairs were exchanged or returned -> calls."""
    bands: tuple[OddsBand, ...]
    told: Mapping[str, MeasuredTwice]
    """Body dimension that callers told -> how far it was off."""
    estimated: Mapping[str, MeasuredTwice]
    """Body dimension that was estimated -> how far it was off."""
    parts: Mapping[str, OutcomeGroup]
    """Code of a part -> chairs with it."""
    exchanged: Mapping[str, int]
    """Kind of part exchanged -> calls."""
    advisers: Mapping[str, OutcomeGroup]
    would_have_helped: Mapping[str, int]
    """Body dimension that was behind a chair's wrong figure and not asked -> calls."""
    told_wrong: Mapping[str, int]
    """Body dimension that was behind a chair's wrong figure though told -> calls."""
    minutes: tuple[int, ...]
    """Calls of under one minute, one to two, and so on."""


def outcomes_of(past: Sequence[PastCall], agreed: Set[str] = frozenset()) -> Outcomes:
    """The figures of past calls; of advisers only those who ``agreed`` to it."""
    came: Counter[str] = Counter()
    because: Counter[str] = Counter()
    exchanged: Counter[str] = Counter()
    helped: Counter[str] = Counter()
    wrong: Counter[str] = Counter()
    off: dict[str, defaultdict[str, list[float]]] = {
        "told": defaultdict(list),
        "estimated": defaultdict(list),
    }
    for one in past:
        found = one.outcome
        if found is None:
            continue
        came[found.came] += 1
        if found.because:
            because[found.because] += 1
        exchanged.update(found.parts)
        for name, again in found.again.items():
            off[again.origin][name].append(again.later - again.first)
        if found.blamed in found.again:
            asked = found.again[found.blamed].origin == "told"
            (wrong if asked else helped)[found.blamed] += 1
    known = [(one, one.outcome.held) for one in past if one.outcome]
    settled = [(one, held) for one, held in known if held is not None]
    return Outcomes(
        len(past),
        dict(came),
        dict(because),
        bands_of((one.odds.fits, held) for one, held in settled),
        {name: _measured(values) for name, values in sorted(off["told"].items())},
        {name: _measured(values) for name, values in sorted(off["estimated"].items())},
        _groups((part, one, held) for one, held in settled for part in one.odds.parts),
        dict(exchanged),
        _groups((one.adviser, one, held) for one, held in settled if one.adviser in agreed),
        dict(helped),
        dict(wrong),
        _minutes(past),
    )


def _measured(values: Sequence[float]) -> MeasuredTwice:
    mean = sum(values) / len(values)
    spread = sum((one - mean) ** 2 for one in values) / max(1, len(values) - 1)
    return MeasuredTwice(len(values), mean, math.sqrt(spread))


def _groups(calls: Iterable[tuple[str, PastCall, bool]]) -> dict[str, OutcomeGroup]:
    """By name, those of five calls or more."""
    inside: defaultdict[str, list[tuple[float, bool]]] = defaultdict(list)
    for name, one, held in calls:
        inside[name].append((one.odds.fits, held))
    return {
        name: OutcomeGroup(
            len(each),
            sum(not held for _, held in each),
            sum(stated for stated, _ in each) / len(each),
        )
        for name, each in sorted(inside.items())
        if len(each) >= FEW
    }


def _minutes(past: Iterable[PastCall]) -> tuple[int, ...]:
    counted = Counter(one.odds.seconds // 60 for one in past if one.odds.seconds is not None)
    return tuple(counted[at] for at in range(max(counted, default=-1) + 1))
