"""The values that the store reads and writes."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from consult.call.basis import Basis
    from consult.call.call import Call

Status = Literal["open", "held", "finished", "stopped"]
STATUSES: tuple[Status, ...] = ("open", "held", "finished", "stopped")


@dataclass(frozen=True, slots=True)
class Versions:
    """What a call was worked out from; '' where there was none."""

    tree: str
    tree_version: str
    range: str = ""
    range_version: str = ""
    population: str = ""
    population_version: str = ""


def versions_of(basis: Basis) -> Versions:
    """The names and versions of what a call is computed from."""
    tree, chairs, people = basis.tree, basis.range, basis.population
    sold = (chairs.name, chairs.version) if chairs else ("", "")
    return Versions(tree.name, tree.version, *sold, people.id, people.version)


@dataclass(frozen=True, slots=True)
class Opened:
    """A call that this screen may write to."""

    id: int
    reference: str
    token: str
    """This opening of it; another one, here or elsewhere, has another."""


@dataclass(frozen=True, slots=True)
class Listed:
    """A call in a list."""

    id: int
    reference: str
    caller_name: str
    status: Status
    started_at: datetime
    adviser: str


@dataclass(frozen=True, slots=True)
class Kept:
    """A stored call."""

    id: int
    reference: str
    call: Call
    versions: Versions
    status: Status
    consent: bool | None
    caller_name: str
    adviser: str
    started_at: datetime
    updated_at: datetime
    open_since: datetime | None
    """Since when a screen has it open; None if none has."""
    summaries: tuple[str, ...]
    trouble: str = ""
    """Why stored health answers cannot be read here; '' if none are missing."""


def utc(at: datetime) -> str:
    """A time as it is kept; one without a zone is this machine's own."""
    return at.astimezone(UTC).isoformat(timespec="microseconds")


def from_utc(text: str) -> datetime:
    """The time kept; ValueError where it is none."""
    return datetime.fromisoformat(text)
