"""One measure of a body as the call heard it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Sex = Literal["female", "male"]


@dataclass(frozen=True, slots=True)
class Measured:
    """A body dimension that somebody measured (or remembered)."""

    dimension: str
    """A name from the population file, e.g. ``popliteal_height``."""
    value: float
    """mm, or kg for weight."""
    sd: float
    """Standard deviation of the measurement itself, mm or kg, the caller's spread included."""
    confirmed: bool = False
    """The caller measured again and stands by it: it is used however odd it looks."""
    said: float | None = None
    """What the caller said, where ``value`` was corrected for what people usually say."""

    @property
    def heard(self) -> float:
        """The number as it was said."""
        return self.value if self.said is None else self.said
