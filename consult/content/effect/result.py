"""The impact of an edit as values: rows of a table, removed warnings, length of calls."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from typing import Literal, get_args

Level = Literal["stop", "refer", "note"]

Kind = Literal[
    "caution lost",
    "caution gained",
    "stopped now",
    "stopped no more",
    "stuck now",
    "stuck no more",
    "chair",
    "part",
    "setting",
    "need lost",
    "need gained",
    "advice lost",
    "advice gained",
    "question gone",
    "question new",
    "not as expected",
]
"""What can change for a caller, the most serious first."""

KINDS: tuple[Kind, ...] = get_args(Kind)


@dataclass(frozen=True, slots=True)
class Sample:
    """One call that shows a change."""

    who: str
    """ "simulated caller 17", or a demo call by its title."""
    number: int | None
    """Of the simulated caller; None for a demo call."""
    answers: tuple[str, ...]
    """The answers that bear on it, in plain words: "pain sites: Lower back"."""


@dataclass(frozen=True, slots=True)
class ImpactRow:
    """One change for some callers."""

    kind: Kind
    what: str
    """Name of the caution, question, advice, setting; "seat: SEAT-M, now SEAT-L" of a part."""
    callers: int
    """Number of simulated callers it changes for."""
    of: int
    demos: tuple[str, ...]
    """Titles of the demo calls it changes for."""
    sample: Sample
    level: Level | None = None
    """Of a caution."""
    by: tuple[float, float] | None = None
    """Of a setting that both have: the least and the most it moves, mm; upwards is positive."""

    @property
    def share(self) -> float:
        """The part of the simulated callers, 0 to 1."""
        return self.callers / self.of if self.of else 0.0


@dataclass(frozen=True, slots=True)
class Lost:
    """A caution that some callers would no longer hear."""

    caution: str
    level: Level
    """As it was."""
    callers: int
    """Simulated callers who lose it; 0 where only demo calls do, or where nobody met it."""
    of: int
    demos: tuple[str, ...]
    sample: Sample | None
    """None where it is gone or milder in the tree, though nobody who was led through met it."""
    now: Level | None = None
    """The level it has been lowered to for them; None: it is not said at all."""
    stopped: int = 0
    """Of the callers, those whom a stop now ends the call for before."""
    gone: bool = False
    """It is no longer in the tree."""
    when: str = ""
    """Its condition as it was, in words that follow "when"."""
    now_when: str = ""
    """Its condition as it is now; '' where it is gone."""
    instead: str = ""
    """A caution, no milder, that all of them newly hear; '' where there is none."""


@dataclass(frozen=True, slots=True)
class Lengths:
    """How many questions the simulated callers are asked."""

    old_mean: float
    new_mean: float
    old_most: int
    new_most: int


@dataclass(frozen=True, slots=True)
class Effect:
    """Every change for any caller."""

    tree: str
    old_version: str
    new_version: str
    callers: int
    seed: int | None
    """None if the sample has no simulated caller."""
    demos: tuple[str, ...]
    """Titles of the demo calls in the sample."""
    rows: tuple[ImpactRow, ...]
    """The gravest kind first, then by how many callers."""
    lost_cautions: tuple[Lost, ...]
    """Stops first."""
    changed: int
    """Number of simulated callers with any change."""
    lengths: Lengths
    stopped: tuple[int, int]
    """Simulated callers whom a stop ends the call for, before and now."""
    renamed: Mapping[str, str]
    """Question, as it was called -> as it is called now; taken for the same question."""
    unmet: tuple[str, ...]
    """Cautions of the new tree that no call met, so that nothing is known of them."""
    never: tuple[str, ...] = ()
    """Codes of parts on sale that some callers got, and none gets any more."""

    @property
    def nothing(self) -> bool:
        """Whether nothing changes for any caller in the sample."""
        return not self.rows and not self.lost_cautions

    def as_json(self) -> dict[str, object]:
        """The same as plain data; lengths in mm, shares from 0 to 1."""
        rows = [{**asdict(row), "share": round(row.share, 4)} for row in self.rows]
        return {**asdict(self), "renamed": dict(self.renamed), "rows": rows}
