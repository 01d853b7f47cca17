"""The content desk as a program of its own: the folder, the desk over it, and how it is left."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import TYPE_CHECKING, ClassVar

from consult.ui.edit.desk_screen import EditScreen
from consult.ui.edit.keys import KEYS
from consult.ui.program import Program

if TYPE_CHECKING:
    from consult.content.editing.folder import DraftFolder


class EditApp(Program):
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
