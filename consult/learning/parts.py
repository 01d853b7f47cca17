"""Parts that come back with a fault more often than the others of their kind."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import TYPE_CHECKING

from consult.learning.calibration import FEW
from consult.learning.intervals import as_often, more_than_others
from consult.learning.proposals import Comparison, shrunk

if TYPE_CHECKING:
    from consult.call.chair_outcome import ChairOutcome, PastCall

LEAST_CHAIRS = 10
"""Chairs followed up, below which a part is not looked at."""
NO_FAULT_COUNTS = 1
"""Chairs without a fault that are assumed beforehand: of no part is a share of faults shipped, so
there is little to draw the own one towards. Of simulated parts that sink in a quarter of chairs,
those found at 200 calls came out right on average with one, a point and a half too low with four.
"""
MATTERS = 5.0
"""Of 100 chairs that a difference must be."""


def compare_parts(
    past: Iterable[PastCall], kinds: Mapping[str, str], in_use: Mapping[str, float]
) -> Iterator[Comparison]:
    """The share of faults of every part on sale, against the other parts of its kind.

    ``kinds`` gives the kind of each code, ``in_use`` the share in use, of 100 chairs (0 if left
    out). A part that has a share in use is held against that.
    """
    chairs: dict[str, list[bool]] = {code: [] for code in kinds}
    for one in past:
        if one.outcome is not None and one.outcome.held is not None:
            for code in one.odds.parts:
                if code in chairs:
                    chairs[code].append(_faulty(one.outcome, kinds[code]))
    for code, faults in chairs.items():
        others = [
            bad
            for other, each in chairs.items()
            if other != code and kinds[other] == kinds[code]
            for bad in each
        ]
        now, count, failed = in_use.get(code, 0.0), len(faults), sum(faults)
        if 0 < failed < FEW or count < LEAST_CHAIRS or (not now and len(others) < LEAST_CHAIRS):
            continue
        if now:
            chance = as_often(failed, count, now / 100)
        else:
            chance = more_than_others(failed, count, sum(others), len(others))
        value = round(shrunk(0.0, 100 * failed / count, count, NO_FAULT_COUNTS), 1)
        usual = 100 * sum(others) / len(others) if others else 0.0
        matters = abs(value - now) >= MATTERS and (now > 0 or value - usual >= MATTERS)
        yield Comparison(f"fault.{code}", chance, 0.0, now, value, count, matters)


def _faulty(outcome: ChairOutcome, kind: str) -> bool:
    """Whether a part of this kind may have been at fault; of a chair sent back it may be any."""
    return outcome.because == "fault" and (kind in outcome.parts or not outcome.parts)
