"""What a chair is chosen for: range, body, workplace and needs, as one value."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, Literal

from consult.fit.bodies import SEED

if TYPE_CHECKING:
    from consult.body.estimate import Estimate
    from consult.fit.range_model import Range
    from consult.fit.workplace import Workplace

NeedLine = tuple[str, Literal["must", "prefer"], str]
"""A feature, how much it matters, and why."""

RATED_FOR = 1.645
"""Standard deviations of a told weight that a rating covers: 95 of 100 weigh less (a normal)."""
NO_ARMS_WANTED = "no_arms"
"""The feature of a chair without armrests, for a caller who never rests on them."""


@dataclass(frozen=True, slots=True, eq=False)
class FitRequest:
    """Same request, same chair."""

    range: Range
    estimate: Estimate
    workplace: Workplace
    needs: Sequence[NeedLine] = ()
    mass: float | None = None
    """kg that a chair must carry besides, as where it is shared."""
    lowest: float | None = None
    """mm that a chair must go up to besides, as where it is shared."""
    n: int | None = None
    """Bodies drawn from the estimate; None: as many as each working out takes."""
    seed: int = SEED
    open_places: bool = False
    """What is not known of the workplace is drawn as workplaces are, and what was told within the
    error of a tape; else the known is exact, and the unknown not tested."""
    kept: dict[str, Any] = field(default_factory=dict, repr=False)
    """What was worked out of it already."""

    @property
    def told_mass(self) -> float:
        """The most that the caller may well weigh by what was said, kg, however odd it was."""
        measures = (*self.estimate.used, *self.estimate.set_aside)
        told = (one.value + RATED_FOR * one.sd for one in measures if one.dimension == "weight")
        return max((self.mass or 0.0, *told))

    @property
    def mass_limit(self) -> float:
        """kg a chair must be rated for before it may be offered at all."""
        return max(self.estimate.dimensions["weight"].high, self.told_mass)

    @property
    def lowest_seat(self) -> float | None:
        """mm that a chair must go up to before it may be offered; None where nobody said."""
        said = [each for each in (self.workplace.lowest_seat, self.lowest) if each is not None]
        return max(said, default=None)

    @property
    def musts(self) -> list[str]:
        """The features a chair may not lack, each once."""
        return list(dict.fromkeys(name for name, strength, _ in self.needs if strength == "must"))

    @property
    def preferred(self) -> list[str]:
        """The features a chair had better have, each once."""
        must = self.musts
        return list(dict.fromkeys(name for name, *_ in self.needs if name not in must))

    @property
    def armless(self) -> bool:
        """Whether the caller wants no armrests."""
        return any(feature == NO_ARMS_WANTED for feature, *_ in self.needs)
