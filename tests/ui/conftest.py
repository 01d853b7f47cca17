"""Screens under test: a caution's letter is taken at once, and cells are drawn where looked at."""

from __future__ import annotations

import asyncio
from functools import lru_cache
from threading import enumerate as enumerate_threads
from typing import Any

import pytest
from textual import _callback, app, pilot, screen
from textual._compositor import Compositor
from textual._context import active_app
from textual.css.model import RuleSet
from textual.css.stylesheet import Stylesheet

from consult.ui.dialogs import Page
from tests.long import AT_MOST, LONG
from tests.records.patience import patient

__all__ = ["patient"]

NEAR = 0.04
"""How far ahead a timer is waited for, in seconds: longer than anything is gathered here."""
GATHERED = 0.0005
"""Seconds from a change to the drawing of it: so few that Textual does not wait for them at all."""
TIMERS = 50
"""That many timers one after the other are a clock, which goes on for ever."""
OPENING = 0.002
"""Seconds between two looks at records that are being opened."""
TURNS = 5_000
"""So many turns of the loop without a pause are a mistake of the program."""


@pytest.fixture(autouse=True)
def at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """No waiting for a letter that may follow; the tests of that wait set it themselves."""
    monkeypatch.setattr(Page, "PAUSE", 0.0)
    # A screen gathers what changed for a sixtieth of a second, and a test waits for it each time.
    monkeypatch.setattr(screen, "UPDATE_PERIOD", GATHERED)
    for waits in (app, pilot):
        monkeypatch.setattr(waits, "wait_for_idle", until_quiet)
    # The pilot's own sends each part of the screen a message and waits for all: where nothing is
    # left to do that is known, and for every key it was half of what a screen under test did.
    monkeypatch.setattr(pilot.Pilot, "_wait_for_screen", until_quiet)


@pytest.fixture(scope="module")
def drawn() -> set[object]:
    """The kinds of screens that were drawn as they opened, in one file of tests."""
    return set()


@pytest.fixture(autouse=True)
def seldom_drawn(monkeypatch: pytest.MonkeyPatch, drawn: set[object]) -> None:
    """A screen is drawn by whoever looks at its cells, last of all, and as the first of its kind.

    What would be sent to the terminal after every key is seen by nobody in a test, and takes half
    of its time. Where each piece stands is worked out all the same.
    """
    if LONG:
        return
    draw = Compositor.render_update

    def once(compositor: Compositor, full: bool = False, **how: Any) -> object:
        if full or (compositor.root and type(compositor.root) not in drawn):
            drawn.add(type(compositor.root))
            return draw(compositor, full, **how)
        compositor._dirty_regions.clear()
        return None

    monkeypatch.setattr(Compositor, "render_update", once)


@pytest.fixture(autouse=True)
def styles_read_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Programs of the same colours share what they read of the style sheets: it never changes."""
    monkeypatch.setattr(Stylesheet, "_parse_rules", parse_rules)
    # Rules are told apart by what they are, as here; and callbacks take what they took before.
    monkeypatch.setattr(RuleSet, "__hash__", object.__hash__)
    monkeypatch.setattr(_callback, "_count_parameters", count_parameters)


count_parameters = lru_cache(maxsize=4096)(_callback._count_parameters)
_parse, _parsed = Stylesheet._parse_rules, dict[tuple[object, ...], list[RuleSet]]()


def parse_rules(sheet: Stylesheet, css: str, **more: Any) -> list[RuleSet]:
    """The rules of a style sheet, read once in a process."""
    key = (*sheet._variables.items(), css, *more.items())
    if key not in _parsed:
        _parsed[key] = _parse(sheet, css, **more)
    return _parsed[key]


async def until_quiet(*_how: object) -> None:
    """Wait until nothing is left to do: no message, no timer that is nearly due, no thread at work.

    The pilot's own wait sleeps 20 ms twice for every key, and takes a process that is kept from
    its processor for that long for one that has nothing to do.
    """
    loop: Any = asyncio.get_running_loop()
    calm = timers = turns = 0
    while calm < 3 and timers < TIMERS:
        turns += 1
        assert turns < TURNS, "The program never comes to rest"
        at_work = [one for one in active_app.get().workers if one.is_running and one._thread_worker]
        if threads := [one._task for one in at_work if one._task is not None]:
            _, left = await asyncio.wait(threads, timeout=AT_MOST)
            assert not left, f"Still at work: {at_work}"
            calm = timers = 0
        if any(one.name == "records" for one in enumerate_threads()):
            await asyncio.sleep(OPENING)
            calm = timers = turns = 0
        await asyncio.sleep(0)
        due = [one.when() - loop.time() for one in loop._scheduled if not one.cancelled()]
        if (soonest := min(due, default=NEAR)) < NEAR:
            timers += 1
            await asyncio.sleep(max(soonest, 0.0))
        calm = 0 if loop._ready or soonest < NEAR else calm + 1
