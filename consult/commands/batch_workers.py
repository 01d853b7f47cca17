"""The results of a batch in the order of its rows, computed by one process per core."""

from __future__ import annotations

import os
import signal
import sys
from collections import Counter
from collections.abc import Callable, Collection, Generator, Sequence
from concurrent.futures import ProcessPoolExecutor
from contextlib import closing
from multiprocessing import get_context, parent_process
from multiprocessing.connection import wait
from threading import Thread
from typing import Any

from consult.call.batch import Row
from consult.call.batch_columns import Column

Result = tuple[dict[str, Any], bool]
"""What may be told of a row, and whether its person was sent to somebody qualified."""

MANY = 200
"""Rows from which it pays to begin processes."""
_AT_ONCE = 16
"""Rows handed to a process together."""

_work: Callable[[Row], Result]
"""In a process of its own: what it does with a row."""


def results(
    rows: Sequence[Row], columns: Sequence[Column], work: Callable[[Row], Result]
) -> Generator[Result]:
    """One result per row; rows that differ only in reference and note are computed once."""
    own = {one.own: one.place for one in columns if one.own in ("reference", "note")}
    firsts: dict[tuple[str, ...], Row] = {}
    left: Counter[tuple[str, ...]] = Counter()
    for row in rows:
        key = _asked(row, own.values())
        firsts.setdefault(key, row)
        left[key] += 1
    known: dict[tuple[str, ...], Result] = {}
    with closing(_worked([*firsts.values()], work)) as found:
        for row in rows:
            key = _asked(row, own.values())
            if key not in known:
                known[key] = next(found)
            left[key] -= 1
            result, elsewhere = known[key] if left[key] else known.pop(key)
            words = {name: _cell(row, place).strip() for name, place in own.items()}
            yield {**result, "line": row.line, **words}, elsewhere


def _asked(row: Row, own: Collection[int]) -> tuple[str, ...]:
    return tuple(cell for place, cell in enumerate(row.cells) if place not in own)


def _cell(row: Row, place: int) -> str:
    return row.cells[place] if place < len(row.cells) else ""


def _worked(rows: Sequence[Row], work: Callable[[Row], Result]) -> Generator[Result]:
    # Only a fork has everything that is loaded; elsewhere one process does it all.
    cores = len(os.sched_getaffinity(0)) if sys.platform == "linux" else 1
    if len(rows) < MANY or cores == 1:
        yield from map(work, rows)
        return
    pool = ProcessPoolExecutor(cores, get_context("fork"), _begin, (work,))
    try:
        yield from pool.map(_one, rows, chunksize=_AT_ONCE)
    finally:
        pool.shutdown(cancel_futures=True)


def _begin(work: Callable[[Row], Result]) -> None:
    """Ignore Ctrl+C in a worker: the parent process handles it and ends its workers."""
    global _work
    _work = work
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    Thread(target=_end_with_parent, daemon=True).start()


def _end_with_parent() -> None:
    parent = parent_process()
    if parent is not None:
        wait([parent.sentinel])
        os._exit(1)


def _one(row: Row) -> Result:
    return _work(row)
