"""The content desk as a program of its own: the folder, the desk over it, and how it is left."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from contextlib import suppress
from datetime import datetime
from typing import TYPE_CHECKING, ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.events import Event, Key, Paste
from textual.screen import Screen
from textual.widgets import Input, Static, TextArea

from consult.ui.edit.beside_form import ProblemsPanel, YamlPanel
from consult.ui.edit.doings import Doings
from consult.ui.edit.errands import Errands
from consult.ui.edit.form_panel import Doing, FormPanel
from consult.ui.edit.keeping import LOOK_EVERY
from consult.ui.edit.keys import KEYS, bindings, foot
from consult.ui.edit.outline_panel import OutlinePanel
from consult.ui.edit.publishing import Publishing
from consult.ui.program import Program
from consult.ui.widgets.part import RowBox, TextPart

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


class InOrder(Program):
    """A program whose keys and pastes are given to the screen one after the other."""

    def __init__(self) -> None:
        super().__init__()
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
    def all_typed(self) -> bool:
        """Whether everything typed so far has had its effect."""
        return not (self._typed or self._under_way)

    async def on_event(self, event: Event) -> None:
        """Take keys and pastes into the line; all else as ever."""
        if not isinstance(event, Key | Paste) or event.is_forwarded or self._for_this_page_alone():
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
            busy = any(one.message_queue_size for one in self.screen.walk_children(with_self=True))
            quiet = 0 if busy else quiet + 1
            if quiet == _QUIET_TURNS:
                return

    def _open(self) -> bool:
        """Whether the screen on top is ready, and no page is about to open over it."""
        if self._early or not self._accepts(early=True):
            return False
        desk = self.desk
        if self.screen is not desk or not isinstance(desk, Publishing) or desk.judging:
            return True
        return not any(one.group == "flow" and not one.is_finished for one in self.workers)

    def _for_this_page_alone(self) -> bool:
        """Whether the page on top takes only what is pressed while it is open."""
        return self._accepts(early=False) and not self._accepts(early=True)


# -- the content desk: outline, form, YAML and mistakes over one draft ----------------------------


class EditScreen(Doings, Publishing, Errands):
    """The desk over one draft.

    Form and YAML change the same text, and all that is shown is drawn from that text alone.
    """

    BINDINGS: ClassVar[list[BindingType]] = [*bindings()]
    AUTO_FOCUS = "#e-lines"

    def compose(self) -> ComposeResult:
        yield TextPart("e-status")
        doing = Doing(
            self.field_edited,
            self.pick_asked,
            self.build_asked,
            self.meaning,
            self.add_asked,
            self.show_place,
        )
        with RowBox(id="e-desk"):
            yield OutlinePanel(self.show_place, self.into_form)
            yield FormPanel(doing)
            yield YamlPanel(self.yaml_edited, self.yaml_moved)
        yield ProblemsPanel(self.go_to_problem)
        yield TextPart("e-told")
        yield Static(foot(), id="e-keys")

    def on_mount(self) -> None:
        self.stands = True
        self.refresh_bindings()
        self.query_one("#e-outline").border_title = "Outline"
        self.query_one("#e-form").border_title = "Form"
        self.show_all()
        self.check()
        self.set_interval(LOOK_EVERY, self.look_outside)
        self.call_after_refresh(self.offer_left)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool:  # noqa: ARG002
        """A desk just opened has its keys once it has its screen."""
        return self.stands


# -- app ------------------------------------------------------------------------------------------
# The content desk as a program of its own: the folder, the desk over it, and how it is left.


class EditApp(InOrder):
    """One folder of trees, being edited."""

    TITLE = "consult edit"
    CSS_PATH: ClassVar = ["../consult.tcss", "edit.tcss"]
    DESK_KEYS = KEYS

    def __init__(
        self,
        folder: DraftFolder,
        clock: Callable[[], datetime],
        *,
        editor: str = "",
    ) -> None:
        """``editor`` is who publishes, unless another name is given then."""
        super().__init__()
        self.clock = clock
        self._desk = EditScreen(folder, clock, editor)

    @property
    def desk(self) -> EditScreen:
        """The content desk."""
        return self._desk

    def on_mount(self) -> None:
        self.push_screen(self.desk)

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
