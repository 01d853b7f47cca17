"""Nothing typed is lost: saving, changes on disk, what a crash left, leaving."""

from __future__ import annotations

from itertools import zip_longest
from textwrap import dedent, wrap
from typing import TYPE_CHECKING

from consult.content.editing.patching import Refused, piece_called
from consult.content.editing.session import EditResult
from consult.visible import visible

if TYPE_CHECKING:
    from collections.abc import Callable

    from consult.content.editing.merging import EditConflict
    from consult.content.editing.session import EditSession
    from consult.ui.edit.asking import Asker


class Keeping:
    """What becomes of the text."""

    def __init__(self, session: EditSession, ask: Asker, width: Callable[[], int]) -> None:
        """``width`` is that of the screen, for two wordings side by side."""
        self._session, self._ask, self._width = session, ask, width

    async def save(self) -> tuple[bool, str]:
        """Write what was changed to the draft; whether all is saved, and what to say."""
        session, folder, taken = self._session, self._session.folder, []
        session.decide_anew()
        for name in session.others():
            words = session.take_in(name)
            if words is None:
                return False, await self._decided(name)
            taken.append(words)
        if not folder.changed:
            return True, "Everything is already saved."
        saved = folder.save()
        many = len(saved.calls)
        named = [f"{many} demo call{'s' * (many != 1)} renamed too."] if many else []
        return True, " ".join([f"Saved {', '.join(saved.names)}.", *named, *taken])

    async def saved(self) -> EditResult:
        """The same, where only what to say counts."""
        return EditResult((await self.save())[1])

    def look(self) -> EditResult:
        """Take in what somebody else saved.

        What has to be decided is asked only where one saves: a page that opens by itself would take
        letters that were meant for the form.
        """
        taken = [self._session.take_in(name) for name in self._session.others()]
        return EditResult(" ".join(said for said in taken if said))

    async def _decided(self, name: str) -> str:
        """Ask of each piece that both changed whose it is to be."""
        session = self._session
        left: list[EditConflict] = []
        decided: dict[EditConflict, bool] = {}
        letters = {"m": "mine", "t": "theirs (Ctrl+Z brings mine back)"}
        try:
            while left := [
                each
                for each in session.folder.take_in(name, decided).conflicts
                if each not in decided
            ]:
                told = both_wordings(name, left[0], self._width() - 10)
                pressed = await self._ask.letter(told, letters, "decide when I save")
                if pressed is None:
                    break
                decided[left[0]] = pressed == "t"
            said = f"{name} has what you chose, and all else that either of you changed."
        except Refused as refused:
            said = str(refused)
        if left:
            raise Refused(f"{name} is as you have it. You will be asked again when you save.")
        session.contested.discard(name)
        session.take_changes()
        return f"{said} Ctrl+S saves it." if session.folder.changed else said

    async def left(self) -> EditResult | None:
        """Offer what an earlier run could not save."""
        folder = self._session.folder
        told = f"There are unsaved changes from last time: {', '.join(folder.left)}."
        letters = {"g": "continue with them", "d": "drop them and use the files on disk"}
        pressed = await self._ask.letter(told, letters, "ask again later", sudden=True)
        if pressed == "g":
            folder.restore()
            self._session.take_changes()
            return EditResult("Your unsaved changes are restored. Ctrl+S saves them.")
        if pressed == "d":
            folder.forget()
            return EditResult("Dropped.")
        return None

    async def leave(self) -> tuple[bool, str]:
        """Where something is not saved, ask; whether to quit, and what to say where not."""
        folder = self._session.folder
        letters = {"s": "save and quit", "d": "drop the changes and quit"}
        told = f"Not saved yet: {', '.join(sorted(folder.changed))}."
        pressed = await self._ask.letter(told, letters, "stay in the editor")
        if pressed == "s":
            return await self.save()
        if pressed == "d":
            folder.drop()
        return pressed == "d", ""


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
