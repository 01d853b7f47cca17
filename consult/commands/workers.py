"""The same work for each of many things, done by one process per core."""

from __future__ import annotations

import gc
import os
import signal
import sys
from collections.abc import Callable, Generator, Sequence
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import active_children, get_context, parent_process
from multiprocessing.connection import wait
from threading import Thread
from typing import Any, TypeVar

_T = TypeVar("_T")
_R = TypeVar("_R")

_MANY = 60
"""Things from which it pays to begin processes."""
_LARGE = 24 << 20
"""Bytes; glibc learns from blocks of up to 32 MiB."""
_AT_ONCE = 16
"""Things that a process is handed together; fewer where they are few."""

_work: Callable[[int], Any]
"""In a process of its own: what it does with the thing at a place."""


def in_processes(work: Callable[[_T], _R], things: Sequence[_T]) -> Generator[_R]:
    """The result of each, in their order; only results pass from process to process."""
    # Only a fork has everything that is loaded; elsewhere one process does it all.
    cores = len(os.sched_getaffinity(0)) if sys.platform == "linux" else 1
    if len(things) < _MANY or cores == 1:
        _keep_memory()
        yield from map(work, things)
        return
    pool = ProcessPoolExecutor(
        cores, get_context("fork"), _begin, (lambda place: work(things[place]),)
    )
    at_once = min(_AT_ONCE, len(things) // (4 * cores) + 1)
    try:
        yield from pool.map(_at, range(len(things)), chunksize=at_once)
    except BaseException:
        # Else they go on with what they have, and a pool that is left meanwhile, as by a second
        # Ctrl+C, never tells them to end.
        for worker in active_children():
            worker.kill()
        raise
    finally:
        pool.shutdown(cancel_futures=True)


def _begin(work: Callable[[int], Any]) -> None:
    """Ignore Ctrl+C in a worker: the parent process handles it and ends its workers."""
    global _work
    _work = work
    # Tree, range and survey stay: the collector need not look through them again and again.
    gc.freeze()
    _keep_memory()
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    Thread(target=_end_with_parent, daemon=True).start()


def _keep_memory() -> None:
    """Once a block as large as this was freed, the C library keeps what is freed. Else it gives the
    arrays of every body back to the system and asks for them again."""
    bytes(_LARGE)


def _end_with_parent() -> None:
    parent = parent_process()
    if parent is not None:
        wait([parent.sentinel])
        os._exit(1)


def _at(place: int) -> Any:
    return _work(place)
