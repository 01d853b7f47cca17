"""The content desk as a program of its own: keys in their order, and how the desk is left."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from contextlib import suppress
from datetime import datetime
from typing import TYPE_CHECKING, ClassVar

from textual.events import Event, Key, Paste
from textual.screen import Screen
from textual.widgets import Input, TextArea

from consult.ui.app import Program
from consult.ui.edit.desk import EditScreen
from consult.ui.edit.keys import EDIT_KEYS

if TYPE_CHECKING:
    from consult.content.editing.folder import DraftFolder

_QUIET_TURNS = 3
"""Turns of the loop without a message after which nothing more comes of a key."""
_MOST_TURNS = 2000
"""Turns after which it is not waited for any more: a widget that is gone reads nothing."""
_LONGEST = 0.5
"""Seconds that a screen may take to be drawn; one that was closed never is."""
_LOOK = 0.02
"""Seconds between two looks at a page that is opening."""
_MOST_LOOKS = 250
"""Looks after which a key goes to what is there: better in the wrong place than nowhere."""


class EditApp(Program):
    """One folder of trees, being edited; keys and pastes are given one after the other."""

    TITLE = "consult edit"
    CSS_PATH: ClassVar = ["../consult.tcss", "edit.tcss"]
    DESK_KEYS = EDIT_KEYS

    def __init__(
        self, folder: DraftFolder, clock: Callable[[], datetime], *, editor: str = ""
    ) -> None:
        """``editor`` is who publishes, unless another name is given then."""
        super().__init__()
        self._desk = EditScreen(folder, clock, editor)
        self._typed: list[Key | Paste] = []
        self._under_way: asyncio.Task[None] | None = None
        """Runs while a key is being dealt with."""
        self._unread = False
        """Whether a field has letters that it may not have told of yet."""
        self._looks = 0
        """Looks at a page that is opening, in vain."""
        self._seen: Screen[object] | None = None
        """The screen that the last key was for."""

    @property
    def desk(self) -> EditScreen:
        return self._desk

    def on_mount(self) -> None:
        self.push_screen(self.desk)

    @property
    def all_typed(self) -> bool:
        """Whether everything typed so far has had its effect."""
        return not (self._typed or self._under_way)

    async def on_event(self, event: Event) -> None:
        """Take keys and pastes into the line; all else as ever."""
        if not isinstance(event, Key | Paste) or event.is_forwarded or self._for_page_alone():
            await super().on_event(event)
            return
        self._typed.append(event)
        await self._give()

    async def on_program_ready(self) -> None:
        """A screen is ready, or a key is done with: the next."""
        await super().on_program_ready()
        await self._give()

    async def _give(self) -> None:
        while self._typed and self._under_way is None:
            if not self._open() and self._looks < _MOST_LOOKS:
                self._looks += 1
                self.set_timer(_LOOK, self.ready)
                return
            self._looks = 0
            if self.screen is not self._seen:
                # It chooses what has the focus only after it has said that it is ready.
                self._seen = self.screen
                self._finish()
                return
            is_letter = self._is_letter(self._typed[0])
            if self._unread and not is_letter:
                # What was found for the letters decides what Enter opens.
                self._finish()
                return
            await super().on_event(self._typed.pop(0))
            self._unread = is_letter
            if not is_letter:
                self._finish()

    def _is_letter(self, event: Key | Paste) -> bool:
        """Whether it only adds to a text, so that the next need not wait for it."""
        letter = isinstance(event, Paste) or event.is_printable
        return letter and isinstance(self.focused, Input | TextArea)

    def _finish(self) -> None:
        """Go on once all that the keys so far made the widgets post has been read."""
        self._unread = False
        self._under_way = asyncio.create_task(self._settle())

    async def _settle(self) -> None:
        try:
            await self._quiet()
            drawn = asyncio.Event()
            self.screen.call_after_refresh(drawn.set)
            with suppress(TimeoutError):
                await asyncio.wait_for(drawn.wait(), _LONGEST)
        finally:
            self._under_way = None
            self.ready()

    async def _quiet(self) -> None:
        """Until nothing on the screen has a message left to read."""
        quiet = 0
        for _ in range(_MOST_TURNS):
            await asyncio.sleep(0)
            busy = any(
                child.message_queue_size for child in self.screen.walk_children(with_self=True)
            )
            quiet = 0 if busy else quiet + 1
            if quiet == _QUIET_TURNS:
                return

    def _open(self) -> bool:
        """Whether the screen on top is ready, and no page is about to open over it."""
        if self._early or not self._accepts(early=True):
            return False
        if self.screen is not self.desk or self.desk.judging:
            return True
        return all(worker.is_finished for worker in self.workers if worker.group == "flow")

    def action_calls(self) -> None:
        """A rehearsal is the only call there is."""
        self.notify(
            "A rehearsal is not stored, so it cannot be put on hold. Ctrl+Q goes back "
            "to the editor."
        )

    async def action_quit(self) -> None:
        """Leave a rehearsal, or else the desk, which asks where something is not saved."""
        if self.screen is self.desk:
            self.desk.leave()
            return
        while self.screen is not self.desk:
            await self.pop_screen()
