"""Nothing typed is lost: saving, undo, changes on disk, what a crash left, leaving."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING

from textual import work

from consult.content.editing.refused import Refused
from consult.ui.edit.letters_screen import LettersScreen
from consult.ui.edit.panes import Panes

if TYPE_CHECKING:
    from datetime import datetime

    from consult.content.editing.folder import DraftFolder

LOOK_EVERY = 3.0
"""Seconds between two looks at the files on disk."""


class Keeping(Panes):
    """What becomes of the text."""

    def __init__(self, folder: DraftFolder, clock: Callable[[], datetime], editor: str) -> None:
        super().__init__(folder, clock, editor)
        self._put_off: set[str] = set()
        """Files changed elsewhere that are decided on at saving."""

    # -- save ---------------------------------------------------------------------------------

    def action_save(self) -> None:
        """Write what was changed to the draft."""
        self.flush()
        self._save()

    def _save(self) -> bool:
        if not self.folder.changed:
            self.tell("Everything is already saved.", "")
            return True
        try:
            saved = self.folder.save()
        except Refused as refused:
            self.tell(str(refused))
            self._put_off.clear()
            self.look_outside()
            return False
        self.show_outline()
        self.show_status()
        self.tell(f"Saved {', '.join(saved.names)}.", "")
        return True

    # -- undo ---------------------------------------------------------------------------------

    def action_undo(self) -> None:
        """Take back the last change."""
        self._step(self.folder.undo, "Undone", "There is nothing to undo.")

    def action_redo(self) -> None:
        """Make it again."""
        self._step(self.folder.redo, "Redone", "There is nothing to redo.")

    def _step(self, do: Callable[[], str | None], done: str, none: str) -> None:
        self.flush()
        before = dict(self.folder.texts)
        what = do()
        if what is None:
            self.tell(none)
            return
        self.changed()
        self.last_typed = ""
        where = _first_change(before, self.folder.texts)
        if where is not None and where[0] not in self.sheets.trouble:
            entry = self.sheets.at_line(*where)
            if entry is not None and entry.place != self.place:
                self.show_place(entry.place)
        self.tell(f"{done}: {what}.", "")

    # -- what others do -----------------------------------------------------------------------

    def look_outside(self) -> None:
        """Notice files that somebody else changed, and ask what to do about them."""
        if self.app.screen is not self:
            return
        try:
            other = sorted(self.folder.outside_changes() - self._put_off)
        except Refused as refused:
            self.tell(str(refused))
            return
        if other:
            self._ask_other(other[0])

    @work(group="outside", exclusive=True)
    async def _ask_other(self, name: str) -> None:
        if name in self.folder.changed:
            told = f"{name} was changed by another program, and by you."
            reload_ = "use the file on disk; your changes are dropped (Ctrl+Z restores them)"
        else:
            told = f"{name} was changed by another program."
            reload_ = "use the file on disk"
        letters = {"r": reload_, "k": "keep my version; saving overwrites the other"}
        pressed = await self.app.push_screen_wait(
            LettersScreen(told, letters, "decide when I save")
        )
        try:
            if pressed == "r":
                self.folder.reload(name)
                said = f"{name} now shows the file on disk."
            elif pressed == "k":
                self.folder.keep_mine(name)
                said = f"Your version of {name} is kept. Ctrl+S saves it."
            else:
                self._put_off.add(name)
                said = f"{name} is different on disk. You will be asked again when you save."
        except Refused as refused:
            said = str(refused)
        self.changed()
        self.tell(said, "")

    # -- what a crash left --------------------------------------------------------------------

    def offer_left(self) -> None:
        """Offer what an earlier run could not save."""
        if self.folder.left:
            self._ask_left()

    @work(group="outside", exclusive=True)
    async def _ask_left(self) -> None:
        names = ", ".join(sorted(self.folder.left))
        told = f"There are unsaved changes from last time: {names}."
        letters = {"g": "continue with them", "d": "drop them and use the files on disk"}
        pressed = await self.app.push_screen_wait(LettersScreen(told, letters, "ask again later"))
        if pressed == "g":
            self.folder.restore()
            self.changed()
            self.tell("Your unsaved changes are restored. Ctrl+S saves them.", "")
        elif pressed == "d":
            self.folder.forget()
            self.tell("Dropped.", "")

    # -- leaving ------------------------------------------------------------------------------

    def leave(self) -> None:
        """Quit; where something is not saved, ask."""
        self.flush()
        if self.folder.changed:
            self._ask_leave()
        else:
            self.app.exit()

    @work(group="outside", exclusive=True)
    async def _ask_leave(self) -> None:
        names = ", ".join(sorted(self.folder.changed))
        letters = {"s": "save and quit", "d": "drop the changes and quit"}
        told = f"Not saved yet: {names}."
        pressed = await self.app.push_screen_wait(
            LettersScreen(told, letters, "stay in the editor")
        )
        if pressed == "s" and self._save():
            self.app.exit()
        elif pressed == "d":
            for name in self.folder.changed:
                self.folder.reload(name)
            self.app.exit()


def _first_change(old: Mapping[str, str], new: Mapping[str, str]) -> tuple[str, int] | None:
    """The file and line where two drafts first differ."""
    for name in new:
        before, after = old.get(name, "").split("\n"), new[name].split("\n")
        if before != after:
            pairs = enumerate(zip(before, after, strict=False), 1)
            line = next((at for at, (one, other) in pairs if one != other), len(after))
            return name, line
    return None
