"""Screens under test take a caution's letter at once: a pilot presses faster than people do."""

from __future__ import annotations

import asyncio
from time import process_time
from typing import Any

import pytest
from textual import app, pilot
from textual._context import active_app

from consult.ui.page import Page

LOOK = 0.02
"""Seconds between two looks at a thread, and how far ahead a timer is waited for."""
TIMERS = 50
"""That many timers one after the other are a clock, which goes on for ever."""


@pytest.fixture(autouse=True)
def at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """No waiting for a letter that may follow; the tests of that wait set it themselves."""
    monkeypatch.setattr(Page, "PAUSE", 0.0)
    for waits in (app, pilot):
        monkeypatch.setattr(waits, "wait_for_idle", until_quiet)


async def until_quiet(_least: float = 0.0, most: float = 1.0) -> None:
    """Wait until nothing is left to do: no message, no timer that is nearly due, no busy thread.

    The pilot's own wait sleeps 20 ms twice for every key, and takes a process that is kept from
    its processor for that long for one that has nothing to do. ``most`` is in seconds of work.
    """
    loop: Any = asyncio.get_running_loop()
    begun, calm, timers = process_time(), 0, 0
    while calm < 3 and timers < TIMERS and process_time() - begun < most:
        looked, spent = loop.time(), process_time()
        if any(one.is_running and one._thread_worker for one in active_app.get().workers):
            await asyncio.sleep(LOOK)
            in_time = loop.time() - looked < 2 * LOOK
            if in_time and process_time() - spent < LOOK / 20:
                return  # the thread waits for something itself
            calm = 0
            continue
        await asyncio.sleep(0)
        due = [one.when() - loop.time() for one in loop._scheduled if not one.cancelled()]
        if (soonest := min(due, default=LOOK)) < LOOK:
            timers += 1
            await asyncio.sleep(max(soonest, 0.0))
        calm = 0 if loop._ready or soonest < LOOK else calm + 1
