"""One finished exercise as it is kept, and all those of a learner."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from datetime import date

    from consult.practice.levels import Level


class PracticeTrouble(Exception):  # noqa: N818 - it is shown, not only raised
    """Something wrong with what is kept of practice; its text can be shown as it is."""


@dataclass(frozen=True, slots=True)
class Mark:
    """One item of the marks, as ``consult.practice.marking.item.Item`` has it."""

    criterion: str
    name: str
    got: float
    of: float
    fails: bool = False
    """It failed the exercise by itself."""
    turn: int = 0
    """The turn it hangs on."""
    why: str = ""
    better: str = ""
    behaviour: str = ""
    """Of the caller, that it is about; '' where it is about none."""

    @property
    def full(self) -> bool:
        """Nothing was lost on it."""
        return self.got >= self.of and not self.fails


@dataclass(frozen=True, slots=True)
class Met:
    """A behaviour of the caller that showed."""

    name: str
    """As in the caller's file."""
    kind: str
    noticed: bool | None
    """None where neither the marks nor what was done after it tell."""


@dataclass(frozen=True, slots=True)
class Done:
    """One finished exercise."""

    learner: str
    """As the learner wrote it."""
    day: date
    caller: str
    seed: int
    level: Level
    total: float
    out_of: float
    passed: bool
    marks: tuple[Mark, ...] = ()
    met: tuple[Met, ...] = ()
    log: Mapping[str, Any] = field(default_factory=dict)
    """As ``consult.practice.log.log_json`` has it; empty where none was kept."""

    @property
    def of_100(self) -> float:
        """The total as a share of what could be had, 0 to 100."""
        share = self.total / self.out_of if self.out_of > 0 else 0.0
        return 100 * min(max(share, 0.0), 1.0)


@dataclass(frozen=True, slots=True)
class Record:
    """All that is kept of one learner."""

    learner: str
    done: tuple[Done, ...] = ()
    """In the order they were finished."""
    troubles: tuple[str, ...] = ()
    """What could not be read, in words."""
