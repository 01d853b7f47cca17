"""Nothing typed is lost: saving, undo, changes on disk, what a crash left, leaving."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from itertools import zip_longest
from textwrap import dedent, wrap
from typing import TYPE_CHECKING

from textual import work

from consult.content.editing.patching import Refused, piece_called
from consult.ui.dialogs import LettersScreen, SuddenScreen
from consult.ui.edit.panes import Panes
from consult.visible import visible

if TYPE_CHECKING:
    from datetime import datetime

    from consult.content.editing.folder import DraftFolder
    from consult.content.editing.merging import EditConflict, Merge

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
        self._put_off.clear()
        self.contested.clear()
        taken = self.look_outside(saving=True)
        if taken is None:
            return False
        if not self.folder.changed:
            self.tell("Everything is already saved.", "")
            return True
        try:
            saved = self.folder.save()
        except Refused as refused:
            self.tell(str(refused))
            return False
        self.show_outline()
        self.show_status()
        many = len(saved.calls)
        named = [f"{many} demo call{'s' * (many != 1)} renamed too."] if many else []
        self.tell(" ".join([f"Saved {', '.join(saved.names)}.", *named, *taken]), "")
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

    def look_outside(self, *, saving: bool = False) -> list[str] | None:
        """Take in what somebody else saved, and say so; None where that is to be decided first.

        It is asked for only where one saves: a page that opens by itself would take letters that
        were meant for the form.
        """
        taken: list[str] = []
        if self.app.screen is not self:
            return taken
        try:
            others = self.folder.outside_changes() - self._put_off
        except Refused as refused:
            self.tell(str(refused))
            return None
        for name in sorted(others):
            # What is being typed belongs to the text as it was before.
            self.flush()
            try:
                merge = self.folder.take_in(name, {})
            except Refused as refused:
                self._put_off.add(name)
                taken.append(str(refused))
                continue
            if merge.conflicts and saving:
                self._ask_other(name)
                return None
            if merge.conflicts:
                self._put_off.add(name)
                self.contested.add(name)
                self.show_status()
                continue
            taken.append(_taken_words(name, merge))
        if taken:
            self.changed()
            self.tell(" ".join(taken), "")
        return taken

    @work(group="outside", exclusive=True)
    async def _ask_other(self, name: str) -> None:
        decided: dict[EditConflict, bool] = {}
        letters = {"m": "mine", "t": "theirs (Ctrl+Z brings mine back)"}
        try:
            while left := [
                each for each in self.folder.take_in(name, decided).conflicts if each not in decided
            ]:
                told = both_wordings(name, left[0], self.app.size.width - 10)
                pressed = await self.app.push_screen_wait(
                    LettersScreen(told, letters, "decide when I save")
                )
                if pressed is None:
                    self._put_off.add(name)
                    self.contested.add(name)
                    self.show_status()
                    self.tell(f"{name} is as you have it. You will be asked again when you save.")
                    return
                decided[left[0]] = pressed == "t"
            said = f"{name} has what you chose, and all else that either of you changed."
        except Refused as refused:
            self._put_off.add(name)
            said = str(refused)
        self.contested.discard(name)
        self.changed()
        self.tell(f"{said} Ctrl+S saves it." if self.folder.changed else said, "")

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
        pressed = await self.app.push_screen_wait(SuddenScreen(told, letters, "ask again later"))
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
            self.folder.drop()
            self.app.exit()


def _taken_words(name: str, merge: Merge) -> str:
    """What came from somebody else, in one line."""
    if merge.text is None:
        return f"{name} was deleted by somebody else."
    pieces = [piece_called(way) for way in merge.taken if way]
    shown = ", ".join(pieces[:3]) + (f" and {len(pieces) - 3} more" if len(pieces) > 3 else "")
    return f"{name} was changed by somebody else too" + (
        f": {shown} now as they have it." if shown else "."
    )


def both_wordings(name: str, conflict: EditConflict, width: int) -> str:
    """The two wordings of a piece, side by side."""
    column = max(20, (width - 3) // 2)
    piece = f"{piece_called(conflict.way)} in {name}" if conflict.way else name
    lines = [f"Both you and somebody else changed {piece}.", ""]
    sides = [
        [title, "", *(_wrapped(text, column) if text else ["(deleted)"])]
        for title, text in (("MINE", conflict.ours), ("THEIRS", conflict.theirs))
    ]
    for mine, theirs in zip_longest(*sides, fillvalue=""):
        lines.append(f"{mine:{column}} | {theirs}".rstrip())
    return "\n".join([*lines, ""])


def _wrapped(text: str, column: int) -> list[str]:
    lines = dedent(visible(text.rstrip("\n"))).split("\n")
    return [part for line in lines for part in wrap(line, column) or [""]]


def _first_change(old: Mapping[str, str], new: Mapping[str, str]) -> tuple[str, int] | None:
    """The file and line where two drafts first differ."""
    for name in new:
        before, after = old.get(name, "").split("\n"), new[name].split("\n")
        if before != after:
            pairs = enumerate(zip(before, after, strict=False), 1)
            line = next((at for at, (one, other) in pairs if one != other), len(after))
            return name, line
    return None
