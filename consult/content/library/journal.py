"""The journal of a library: what became live, when, by whom and why; JSON lines."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from datetime import date
from pathlib import Path
from typing import Any, Literal, cast, get_args

from consult.content.library.files import READABLE
from consult.content.library.trouble import LibraryTrouble
from consult.durable import write_whole

FILE = "journal.jsonl"
Kind = Literal["begun", "published", "brought back"]


@dataclass(frozen=True, slots=True)
class Accepted:
    """Something that protects callers less than before, and why that is right."""

    what: str
    """As "caution.numb_legs"."""
    reason: str


@dataclass(frozen=True, slots=True)
class Entry:
    """One version becoming live."""

    version: str
    kind: Kind
    """``begun``: the trees that came with the program, kept so that they can be brought back."""
    day: date
    by: str
    reason: str
    changes: tuple[str, ...]
    """Against what was live before, in plain words."""
    accepted: tuple[Accepted, ...]
    digest: str
    """Of the files of the version."""


def read_journal(library: Path) -> tuple[Entry, ...]:
    """Every entry, the oldest first; LibraryTrouble where the journal cannot be read."""
    path = library / FILE
    try:
        lines = path.read_bytes().split(b"\n")
    except FileNotFoundError:
        return ()
    except OSError as error:
        raise LibraryTrouble(f"The journal {path} cannot be read: {error.strerror}.") from error
    return tuple(_entry(line, f"{path}:{n}") for n, line in enumerate(lines, 1) if line.strip())


def write_journal(library: Path, entries: Sequence[Entry]) -> None:
    """Put the journal in place whole."""
    lines = [json.dumps({**asdict(entry), "day": entry.day.isoformat()}) for entry in entries]
    content = "".join(f"{line}\n" for line in lines).encode("ascii")
    write_whole(library / FILE, content, mode=READABLE)


def _accepted(found: dict[str, Any]) -> Accepted:
    # Journals of earlier versions know of lost cautions only, by their bare names.
    what = found["what"] if "what" in found else f"caution.{found['caution']}"
    return Accepted(what, found["reason"])


def _entry(line: bytes, where: str) -> Entry:
    try:
        found: dict[str, Any] = json.loads(line)
        texts = {name: found[name] for name in ("version", "by", "reason", "digest")}
        changes = tuple(found["changes"])
        accepted = tuple(map(_accepted, found["accepted"]))
        said = [*texts.values(), *changes, *(t for a in accepted for t in (a.what, a.reason))]
        if found["kind"] not in get_args(Kind) or not all(isinstance(each, str) for each in said):
            raise ValueError(found["kind"])
        kind = cast("Kind", found["kind"])
        day = date.fromisoformat(found["day"])
        return Entry(kind=kind, day=day, changes=changes, accepted=accepted, **texts)
    except (ValueError, KeyError, TypeError, RecursionError) as error:
        raise LibraryTrouble(
            f"{where}: this line of the journal is damaged. Restore the journal from a backup; "
            "the versions and calls are not affected."
        ) from error
