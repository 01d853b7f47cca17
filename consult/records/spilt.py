"""What deletion must know of recovery files: call, age, health answers."""

from __future__ import annotations

import json
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from consult.records.exact import unescaped
from consult.records.files import write_whole
from consult.records.kept import from_utc, utc
from consult.records.spill import CLAIMED, LOCKED, SUFFIX, claim

if TYPE_CHECKING:
    from collections.abc import Sequence


@dataclass(frozen=True, slots=True)
class Spilt:
    """A recovery file."""

    path: Path
    reference: str | None
    """Of its call; None where that cannot be read."""
    at: str
    """When it was last written, in UTC as the records have it."""
    health: int = 0
    """How many answers about health are in it."""
    summaries: tuple[Path, ...] = ()
    """Files written about its call."""
    whole: bool = True
    """Every line can be read. Of a file that is not, nothing can be taken out."""


def files_in(folders: Sequence[Path]) -> tuple[Path, ...]:
    """Every recovery file; a folder that cannot be looked into has none."""
    found: list[Path] = []
    for folder in folders:
        with suppress(OSError):
            found += sorted(folder.iterdir()) if folder.is_dir() else []
    return tuple(path for path in found if path.suffix in (SUFFIX, CLAIMED, LOCKED))


def spilt_in(folders: Sequence[Path]) -> tuple[Spilt, ...]:
    """Every recovery file, looked into without the key; one just put back is left out."""
    found = []
    for path in files_in(folders):
        with suppress(OSError):
            found.append(_look(path))
    return tuple(found)


def take_health(one: Spilt) -> None:
    """Take the answers about health out of a recovery file; each leaves its place. OSError.

    The file is claimed first, so that nobody puts it back as it was while it is written anew.
    """
    path = claim(one.path)
    head, *rest = path.read_text("utf-8").splitlines()
    lines = [json.loads(line) for line in rest]
    for piece in (piece for line in lines for piece in _pieces(line)):
        piece["health"] = None
    write_whole(path, "\n".join([head, *map(json.dumps, lines), ""]))


def _look(path: Path) -> Spilt:
    written = utc(datetime.fromtimestamp(path.stat().st_mtime, UTC))
    try:
        head, *rest = path.read_text("utf-8").splitlines()
        told = json.loads(head)
        reference, at = str(told["call"]["reference"]), utc(from_utc(told["call"]["at"]))
        summaries = tuple(Path(unescaped(each)) for each in told["summaries"])
    except (ValueError, LookupError, TypeError, AttributeError, OverflowError):
        return Spilt(path, None, written, whole=False)
    try:
        pieces = [piece for line in rest for piece in _pieces(json.loads(line))]
        health = sum(piece["health"] is not None for piece in pieces)
        whole = len(pieces) == told["answers"] + told["handled"]
    except (ValueError, LookupError, TypeError, AttributeError):
        health, whole = 0, False
    return Spilt(path, reference, at, health, summaries, whole)


def _pieces(line: dict[str, Any]) -> list[dict[str, Any]]:
    return [line[kind] for kind in ("answer", "handled") if kind in line]
