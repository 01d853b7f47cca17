"""A call desk under test, driven by keys as an adviser drives it."""

from __future__ import annotations

import os
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager, chdir
from datetime import datetime, timedelta
from functools import cache
from pathlib import Path

from textual import events
from textual.app import App
from textual.pilot import Pilot
from textual.screen import Screen
from textual.widgets import Input, Static

from consult.call.basis import Basis
from consult.call.call import Answer, Call
from consult.call.state import state
from consult.call.transcript import Transcript, load_transcript
from consult.paths import demo_folder
from consult.records.desk_calls import Begun, DeskCalls
from consult.records.store import open_store
from consult.ui.app import ConsultApp
from consult.ui.call_screen import CallScreen
from consult.ui.calls import CallsAtDesk
from consult.ui.side_pages import CautionScreen
from consult.ui.widgets.panels import FitPanel, SaidList
from tests.call.calls import seating
from tests.long import LONG
from tests.ready_records import put_records

NOON = datetime(2026, 11, 25, 12, 0)
SIZES = [(80, 24), (120, 40), (200, 60)] if LONG else [(80, 24)]


def demo_basis() -> Basis:
    """The demo tree, range and population."""
    return seating()


def demo(name: str) -> Transcript:
    """The demo call whose file name begins with ``name``."""
    (path,) = demo_folder().glob(f"{name}*.yaml")
    transcript, problems = load_transcript(path)
    assert transcript is not None, problems
    return transcript


SAID = {
    "caller_name": "Ada Fenwick",
    "who_sits": "1",
    "reasons": "feet, home",
    "consent": "yes",
    "warning_signs": "none",
    "pain_sites": "nowhere",
    "special_care": "none",
    "stature": "5ft 2",
    "weight": "9st 4",
    "sex": "women",
    "floor": "wood",
    "desk_kind": "fixed",
    "desk_height": "30 inches",
    "desk_thickness": "1 inch",
    "arm_use": "now and then",
    "stand_up": "just",
    "lower_leg": "14 and a half inches",
    "thigh_length": "46 cm",
    "elbow_height": "22 cm",
    "hip_breadth": "38 cm",
    "thigh_height": "15 cm",
    "heel": "1 inch",
    "tasks": "keyboard, paper",
    "agreed": "as suggested",
    "delivery_address": "12 Mill Lane",
    "caller_contact": "ada at fenwick dot example",
    "follow_up": "in 3 weeks",
    "more_help": "none",
}
"""What a short caller at a high desk says to whatever a call asks."""


@cache
def before(question: str) -> Call:
    """A call up to a question, as the tree asks; up to its end for ''."""
    call = Call(NOON.date(), "imperial")
    while (asked := state(demo_basis(), call).current) is not None and asked.name != question:
        call = call.add(Answer(asked.name, SAID[asked.name]))
    assert (asked.name if asked else "") == question, f"{question} is not asked"
    return call


class Clock:
    """Stands still unless a test moves it."""

    def __init__(self) -> None:
        self.now = NOON

    def __call__(self) -> datetime:
        return self.now

    def move(self, seconds: float) -> None:
        """Let time pass."""
        self.now += timedelta(seconds=seconds)


class Desk:
    """The desk and its pilot."""

    def __init__(self, pilot: Pilot[None], clock: Clock, folder: Path) -> None:
        self.pilot = pilot
        self.folder = folder
        self.clock = clock

    @property
    def app(self) -> ConsultApp:
        """The program."""
        assert isinstance(self.pilot.app, ConsultApp)
        return self.pilot.app

    @property
    def screen(self) -> CallScreen:
        """The call at hand."""
        return self.calls.screen

    @property
    def calls(self) -> CallsAtDesk:
        """All the calls."""
        assert self.app.at_desk is not None
        return self.app.at_desk

    @property
    def top(self) -> Screen[object]:
        """Whatever is on top."""
        return self.app.screen

    def saved(self, name: str = "") -> Call:
        """A call as it is kept; the one at hand if none is named."""
        desk = self.calls.open[name] if name else self.screen
        store = open_store(self.folder / "records.db")
        try:
            return store.read(desk.reference).call
        finally:
            store.close()

    async def settle(self) -> None:
        """Wait for the chair."""
        await self.app.workers.wait_for_complete()
        await self.pilot.pause()

    async def press(self, *keys: str) -> None:
        """Press keys and let the screen settle."""
        await self.pilot.press(*keys)

    async def paste(self, text: str) -> None:
        """Put text into whatever has the focus, as a terminal pastes it."""
        if text:
            self.pilot.app.screen.post_message(events.Paste(text))
        await self.pilot.pause()

    async def answer(self, said: str) -> None:
        """Answer the question at hand, and say any caution that interrupts."""
        await self.paste(said)
        await self.press("enter")
        while isinstance(self.pilot.app.screen, CautionScreen):
            await self.press("s")

    async def amend(self, question: str, said: str) -> None:
        """Amend an earlier answer through the list."""
        await self.press("f3")
        said_list = self.screen.query_one(SaidList)
        rows = [option.id for option in said_list.options]
        while said_list.highlighted != rows.index(question):
            await self.press("up")
        await self.press("enter")
        self.screen.query_one("#answer", Input).clear()
        await self.answer(said)

    async def give(self, answer: Answer) -> None:
        """Give one answer of a transcript, amending where it was answered before, and by name
        where it was told before its turn."""
        question = self.screen.now.current
        # What was given back the time before still stands there.
        self.screen.query_one("#answer", Input).clear()
        if question is not None and question.name == answer.question:
            await self.answer(answer.said)
        elif answer.question in self.screen.now.call.latest():
            await self.amend(answer.question, answer.said)
        else:
            await self.answer(f"/{answer.question} {answer.said}")
        if answer.confirmed:
            await self.press("enter")

    def text(self, selector: str) -> str:
        """What a part of the desk shows; of the figures, one part: fit, chair, notes."""
        figures = self.screen.query_one(FitPanel).texts
        if selector in figures:
            return figures[selector].plain
        return str(self.screen.query_one(selector, Static).content)

    @property
    def typed(self) -> str:
        """What stands in the answer line."""
        return self.screen.query_one("#answer", Input).value


def draw(program: App[None]) -> None:
    """Draw whatever is on top to its last cell: nothing that was shown may be wrong to draw."""
    program.screen._compositor.render_strips()


_DRAWN: set[tuple[str, type[Screen[object]], object]] = set()
"""File of tests, kind of screen and size: what was drawn last of all in this process."""


def draw_last(program: App[None]) -> None:
    """Draw what a test ends with: once for each file, kind of screen and size; always in a long
    run. To draw costs a sixth of a test, and one plain text is drawn as any other."""
    file = os.environ.get("PYTEST_CURRENT_TEST", "").split("::")[0]
    key = (file, type(program.screen), program.size)
    if LONG or key not in _DRAWN:
        _DRAWN.add(key)
        draw(program)


@asynccontextmanager
async def desk(
    folder: Path,
    call: Call | None = None,
    size: tuple[int, int] = (80, 24),
    adviser: str = "Ann",
    basis: Basis | None = None,
    app: type[ConsultApp] = ConsultApp,
) -> AsyncIterator[Desk]:
    """A running desk whose call is kept in ``folder``; of the demo tree unless one is given."""
    call, clock, basis = call or Call(NOON.date()), Clock(), basis or demo_basis()
    if folder.is_dir() and not (folder / "records.db").exists():
        put_records(folder / "records.db")
    kept = DeskCalls(basis, folder / "records.db", adviser, clock)
    program = app(Begun(basis, call, kept, clock))
    # Whatever a test saves must not land in the checkout.
    with chdir(folder if folder.is_dir() else folder.parent):
        async with program.run_test(size=size) as pilot:
            await pilot.pause()
            yield Desk(pilot, clock, folder)
            draw_last(program)
