"""What it costs to have chosen a chair before it was heard which features are needed.

A feature that must be there and is not costs all of a chair's P(fits); one that is preferred
costs as little as a footrest counts.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

import numpy as np

from consult.fit.request import NO_ARMS_WANTED
from consult.fit.weigh import FOOTREST_WORTH, having, weigh

if TYPE_CHECKING:
    from consult.fit.chairs import Array, Index
    from consult.fit.request import FitRequest, NeedLine


@dataclass(slots=True, eq=False)
class NeedsPrice:
    """The chair chosen now, held against what would be chosen for other needs."""

    request: FitRequest
    """With the needs known now."""
    _weighed: dict[bool, tuple[Index, Array]] = field(default_factory=dict)
    """Armless or not -> rows of all chairs that may be offered, and their P(fits)."""
    _rises: dict[frozenset[tuple[str, str]], float] = field(default_factory=dict)
    """Needs -> rise: many answers call for the same."""
    _best: int = field(init=False)
    _slack: float = field(init=False)

    def __post_init__(self) -> None:
        weighed = weigh(self.request)
        self._best = int(weighed.rows[weighed.ranking()[0][0]]) if len(weighed.rows) else -1
        # Of chairs that cannot be told apart the likeliest is not always the one chosen.
        self._slack = self._lost(self.request.needs)

    def rise(self, needs: Sequence[NeedLine]) -> float:
        """How much better the best chair for these needs is than the one chosen now, 0 to 1."""
        key = frozenset((feature, strength) for feature, strength, _ in needs)
        if key not in self._rises:
            self._rises[key] = max(0.0, self._lost(needs) - self._slack)
        return self._rises[key]

    def _lost(self, needs: Sequence[NeedLine]) -> float:
        heard = replace(self.request, needs=needs, kept={})
        rows, fits = self._fits(heard)
        if not len(rows):
            return 0.0
        chairs = weigh(self.request).chairs
        value = fits.copy()
        for feature in heard.preferred:
            value -= FOOTREST_WORTH * ~chairs.having(feature)[rows]
        value = np.where(having(chairs, heard.musts)[rows], np.maximum(value, 0.0), 0.0)
        return float(value.max() - value[rows == self._best].sum())

    def _fits(self, heard: FitRequest) -> tuple[Index, Array]:
        if heard.armless not in self._weighed:
            # Only the wish for no armrests changes which bodies a chair fits.
            wished: list[NeedLine] = [(NO_ARMS_WANTED, "prefer", "")] if heard.armless else []
            alike = heard.armless == self.request.armless and not self.request.musts
            weighed = weigh(self.request if alike else replace(heard, needs=wished, kept={}))
            fits = weighed.fits[weighed.set_of] / weighed.n
            self._weighed[heard.armless] = weighed.rows, fits
        return self._weighed[heard.armless]
