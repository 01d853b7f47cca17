"""The results of a batch in the order of its rows."""

from __future__ import annotations

import json
import os
import stat
import sys
from collections import Counter
from collections.abc import Callable, Collection, Generator, Mapping, Sequence
from contextlib import ExitStack, closing
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any, BinaryIO

from consult.call.batch import BatchColumn, PersonRow
from consult.commands.workers import in_processes
from consult.problems import CannotDoError, listed

Result = tuple[dict[str, Any], bool]
"""What may be told of a row, and whether its person was sent to somebody qualified."""


def results(
    rows: Sequence[PersonRow], columns: Sequence[BatchColumn], work: Callable[[PersonRow], Result]
) -> Generator[Result]:
    """One result per row; rows that differ only in reference and note are computed once."""
    own = {one.own: one.place for one in columns if one.own in ("reference", "note")}
    firsts: dict[tuple[str, ...], PersonRow] = {}
    left: Counter[tuple[str, ...]] = Counter()
    for row in rows:
        key = _asked(row, own.values())
        firsts.setdefault(key, row)
        left[key] += 1
    known: dict[tuple[str, ...], Result] = {}
    with closing(in_processes(work, [*firsts.values()])) as found:
        for row in rows:
            key = _asked(row, own.values())
            if key not in known:
                known[key] = next(found)
            left[key] -= 1
            result, elsewhere = known[key] if left[key] else known.pop(key)
            words = {name: _cell(row, place).strip() for name, place in own.items()}
            yield {**result, "line": row.line, **words}, elsewhere


def _asked(row: PersonRow, own: Collection[int]) -> tuple[str, ...]:
    return tuple(cell for place, cell in enumerate(row.cells) if place not in own)


def _cell(row: PersonRow, place: int) -> str:
    return row.cells[place] if place < len(row.cells) else ""


# -- batch part -----------------------------------------------------------------------------------
# Partial results of a batch: an append-only file, so that an interrupted run can be resumed.
#
# The first line describes the inputs. Every line is ASCII JSON ending in a line feed, so a row
# that was cut short is recognised and dropped. The file is locked while a run has it open; the
# operating system releases the lock when the process ends, however it ends.

Json = dict[str, Any]

SUFFIX = ".part"
_MARK = b'{"consult_batch": 1, '
_TODAY, _FROM = "today", "made_from"


@dataclass(frozen=True, slots=True)
class PartialResults:
    """An open partial results file and the rows in it."""

    file: BinaryIO
    today: date
    """The day it was begun; "in two weeks" counts from it, on whatever day it is gone on with."""
    done: list[Json]

    def add(self, row: Json) -> None:
        """Append a row and flush it to disk."""
        self.file.write(line_of(row))
        self.done.append(row)


def line_of(row: Mapping[str, Any]) -> bytes:
    """A row as one line of JSON."""
    return json.dumps(row, allow_nan=False).encode("ascii") + b"\n"


def open_part(
    path: Path, made_from: Mapping[str, str], today: date, lines: Sequence[int], *, fresh: bool
) -> PartialResults:
    """Create the partial results file, or resume it after its last complete row.

    ``made_from`` maps each input, in words, to its version or digest; ``lines`` are the line
    numbers of the rows to process, in order.

    Raises:
        CannotDoError: it belongs to other inputs, is not such a file, or is locked by another run.
        OSError: the file cannot be read or written.
    """
    with ExitStack() as on_failure:
        file = on_failure.enter_context(_locked(path))
        data = b"" if fresh else file.read()
        first, ended, rest = data.partition(b"\n")
        if data[: len(_MARK)] != _MARK[: len(data)]:
            raise CannotDoError(
                f"{path} exists but is not an unfinished batch. Move it, or overwrite it with "
                "--fresh."
            )
        begun, whole = today, 0
        done: list[Json] = []
        if ended:
            begun = _begun(path, first, made_from)
            done, whole = _whole_rows(rest, lines)
            whole += len(first) + 1
        file.truncate(whole)
        file.seek(whole)
        if not whole:
            file.write(line_of({"consult_batch": 1, _TODAY: begun.isoformat(), _FROM: made_from}))
        on_failure.pop_all()
        return PartialResults(file, begun, done)


def _locked(path: Path) -> BinaryIO:
    """Open the file, creating it if needed, and lock it."""
    while True:
        # Nobody but this user reads the measures of people.
        handle = os.open(path, os.O_RDWR | os.O_CREAT | getattr(os, "O_BINARY", 0), 0o600)
        file = os.fdopen(handle, "r+b", buffering=0)
        try:
            if not stat.S_ISREG(os.fstat(handle).st_mode):
                raise CannotDoError(f"{path} is a device or a pipe. Name another file with --out.")
            if not _lock(handle):
                raise CannotDoError(
                    f"Another run is writing {path} at this moment. Wait for it to end, or name "
                    "another file with --out."
                )
            # Another run may have ended in between, and taken its file away.
            if path.exists() and os.path.samestat(os.fstat(handle), path.stat()):
                return file
        except BaseException:
            file.close()
            raise
        file.close()


def _lock(handle: int) -> bool:
    """Lock an open file; False if another process holds the lock.

    Where the file system has no locks, as on some network drives, it counts as locked.
    """
    if sys.platform == "win32":
        return True
    import fcntl

    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    except OSError:
        return True
    return True


def _begun(path: Path, first: bytes, made_from: Mapping[str, str]) -> date:
    """The day the file was created, if it was made from the same inputs."""
    try:
        head = json.loads(first)
        begun, states = date.fromisoformat(head[_TODAY]), dict(head[_FROM])
    except (ValueError, LookupError, TypeError):
        raise CannotDoError(f"{path} is damaged. Start again with --fresh.") from None
    changed = [what for what, state in made_from.items() if states.get(what) != state]
    if changed:
        raise CannotDoError(
            f"{path} was started before a change to {listed(changed)}, so it cannot be "
            "continued. Start again with --fresh, or undo the change."
        )
    return begun


def _whole_rows(rest: bytes, lines: Sequence[int]) -> tuple[list[Json], int]:
    """The complete rows in the expected order, and their length in bytes."""
    done: list[Json] = []
    whole = 0
    for line in lines:
        end = rest.find(b"\n", whole) + 1
        if not end:
            break
        try:
            row = json.loads(rest[whole:end])
        except ValueError:
            break
        if not isinstance(row, dict) or row.get("line") != line:
            break
        done.append(row)
        whole = end
    return done, whole
