"""The content desk as a program of its own: the folder, the desk over it, and how it is left."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import datetime
from functools import partial
from typing import TYPE_CHECKING, ClassVar

from textual.app import App, SystemCommand
from textual.screen import Screen

from consult.ui.edit.desk_screen import EditScreen
from consult.ui.edit.keys import KEYS
from consult.ui.themes import CONTRAST

if TYPE_CHECKING:
    from consult.content.editing.folder import DraftFolder
    from consult.content.library.publish import Judge


class EditApp(App[None]):
    """One folder of trees, being edited."""

    TITLE = "consult edit"
    CSS_PATH: ClassVar = ["../consult.tcss", "edit.tcss"]

    def __init__(
        self,
        folder: DraftFolder,
        clock: Callable[[], datetime] = datetime.now,
        *,
        editor: str = "",
        judge: Judge | None = None,
    ) -> None:
        """``editor`` is who publishes, unless another name is given then.

        ``judge`` is what is asked of a draft before it goes live.
        """
        super().__init__()
        self.clock = clock
        self.desk = EditScreen(folder, clock, editor)
        self.desk.judge = judge

    def on_mount(self) -> None:
        self.register_theme(CONTRAST)
        self.push_screen(self.desk)

    def action_contrast(self) -> None:
        """High contrast on or off."""
        usual = "textual-dark"
        self.theme = CONTRAST.name if self.theme != CONTRAST.name else usual

    def action_calls(self) -> None:
        """A rehearsal is the only call there is."""
        self.notify("A rehearsal is not kept, so it cannot be held. Ctrl+Q goes back to the desk.")

    async def action_quit(self) -> None:
        """Leave a rehearsal, or else the desk, which asks where something is not saved."""
        if self.screen is self.desk:
            self.desk.leave()
            return
        while self.screen is not self.desk:
            await self.pop_screen()

    def get_system_commands(self, screen: Screen[object]) -> Iterable[SystemCommand]:
        """Everything the keys do, by name."""
        yield from super().get_system_commands(screen)
        if screen is not self.desk:
            return
        for key in KEYS:
            if "(" not in key.action and key.action != "app.quit":
                run = partial(self._run, key.action)
                yield SystemCommand(key.label, f"{key.does} ({key.shown})", run)

    async def _run(self, action: str) -> None:
        await self.desk.run_action(action)
