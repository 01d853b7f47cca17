"""A content desk under test, driven by keys as a content lead drives it."""

from __future__ import annotations

from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager, chdir
from pathlib import Path
from shutil import copytree

from textual import events
from textual.pilot import Pilot
from textual.screen import Screen
from textual.widgets import Static

from consult.content.editing import session
from consult.content.editing.folder import DraftFolder
from consult.content.editing.session import EditSession
from consult.ui.edit import field_widgets, panes
from consult.ui.edit.app import EditApp
from consult.ui.edit.desk import EditScreen
from consult.ui.edit.field_widgets import Control
from consult.ui.edit.form_panel import FormPanel
from consult.ui.edit.panes import YamlPanel
from tests.ui.desk import Clock, draw_last

PAUSE = 0.003
"""Seconds that stand for a pause in the typing; a test need not wait as long as a person."""


def trees(folder: Path) -> Path:
    """A copy of the small trees to edit."""
    copytree(Path(__file__).with_name("sample"), folder / "trees")
    return folder / "trees"


class ContentDesk:
    """The desk and its pilot."""

    def __init__(self, pilot: Pilot[None], folder: Path) -> None:
        self.pilot = pilot
        self.path = folder

    @property
    def app(self) -> EditApp:
        """The program."""
        assert isinstance(self.pilot.app, EditApp)
        return self.pilot.app

    @property
    def desk(self) -> EditScreen:
        """The content desk."""
        return self.app.desk

    @property
    def session(self) -> EditSession:
        """The draft, and where in it the desk is."""
        return self.desk.session

    @property
    def top(self) -> Screen[object]:
        """Whatever is on top."""
        return self.app.screen

    @property
    def home(self) -> bool:
        """Whether the content desk is on top."""
        return self.app.screen is self.app.desk

    @property
    def form(self) -> FormPanel:
        """The form."""
        return self.desk.query_one(FormPanel)

    @property
    def yaml(self) -> YamlPanel:
        """The text."""
        return self.desk.query_one(YamlPanel)

    @property
    def told(self) -> str:
        """What is said at the bottom."""
        return str(self.desk.query_one("#e-told", Static).content)

    @property
    def status(self) -> str:
        """What is said at the top."""
        return str(self.desk.query_one("#e-status", Static).content)

    @property
    def mistakes(self) -> list[str]:
        """What is wrong, without what is only a warning."""
        return [one.message for one in self.session.problems if one.severity == "error"]

    def text(self, file: str) -> str:
        """A file as edited now."""
        return self.session.folder.texts[file]

    def on_disk(self, file: str) -> str:
        """A file as it is saved."""
        return (self.path / file).read_text("utf-8")

    def page(self) -> str:
        """Everything that a page on top says."""
        return "\n".join(str(one.content) for one in self.top.query(Static))

    async def until(self, holds: Callable[[], bool]) -> None:
        """Wait for something; a busy machine may take its time."""
        for _ in range(400):
            if holds():
                return
            await self.pilot.pause(0.01)
        assert holds()

    async def press(self, *keys: str) -> None:
        """Press keys and let the screen settle."""
        await self.pilot.press(*keys)
        await self.done()

    async def done(self) -> None:
        """Until all keys have had their effect."""
        await self.until(lambda: self.app.all_typed)

    async def type(self, text: str) -> None:
        """Put text into whatever has the focus and wait for the pause in which it is taken.

        In one go, as a terminal pastes it: keys one by one take the pilot ten times as long.
        """
        self.app.screen.post_message(events.Paste(text))
        await self.pilot.pause()
        await self.pause()

    async def pause(self) -> None:
        """Until what was typed is taken and the draft is checked again."""
        await self.pilot.pause(PAUSE)
        await self.settle()

    async def settle(self) -> None:
        """Until the draft is checked again."""
        await self.pilot.pause(PAUSE)
        checks = [one for one in self.app.workers if one.group == "check"]
        if checks:
            # Without any it would wait for every worker, those that ask a person too.
            await self.app.workers.wait_for_complete(checks)
        await self.pilot.pause()

    async def find(self, typed: str) -> None:
        """Find something in the outline and go to its form."""
        await self.press("ctrl+f")
        self.app.screen.post_message(events.Paste(typed))
        await self.pilot.pause()
        await self.press("enter")

    async def field(self, *steps: str | int) -> Control:
        """Go to a field of the form."""
        at = (*self.form.entry.place.steps, *steps) if self.form.entry else steps
        assert self.form.focus_at(at), steps
        await self.pilot.pause()
        control = self.app.focused
        assert isinstance(control, Control)
        return control

    async def choose(self, typed: str) -> None:
        """Narrow the list on top to what is typed and take its first line."""
        await self.until(lambda: not self.home)
        self.app.screen.post_message(events.Paste(typed))
        await self.pilot.pause()
        await self.press("enter")
        await self.pilot.pause()

    def value(self, *steps: str | int) -> str:
        """What a field of the form shows."""
        at = (*self.form.entry.place.steps, *steps) if self.form.entry else steps
        return next(one.typed for one in self.form.controls() if one.at == at)


@asynccontextmanager
async def content_desk(
    folder: Path, size: tuple[int, int] = (120, 26)
) -> AsyncIterator[ContentDesk]:
    """A running desk over the trees in ``folder``."""
    field_widgets.PAUSE = panes.CHECK_PAUSE = PAUSE
    # On a busy machine two pieces of typing are far apart, yet typed in one go.
    session.ONE_GO = 3600.0
    app = EditApp(DraftFolder.open(folder), Clock(), editor="Ann")
    with chdir(folder.parent):
        async with app.run_test(size=size) as pilot:
            at = ContentDesk(pilot, folder)
            await pilot.pause()
            await at.settle()
            yield at
            draw_last(app)
