"""What keys do with a draft besides changing it: save, leave, preview, rehearse, impact, draw."""

from __future__ import annotations

from collections.abc import Callable
from itertools import zip_longest
from pathlib import Path
from textwrap import dedent, wrap
from typing import TYPE_CHECKING

from consult.content.editing.patching import Refused, piece_called
from consult.content.editing.session import EditResult
from consult.content.editing.sheets import Place
from consult.visible import visible

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import datetime

    from textual.screen import Screen

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
                conflict
                for conflict in session.folder.take_in(name, decided).conflicts
                if conflict not in decided
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


class Errands:
    """Looks at the draft from other sides; each is imported when it is asked for."""

    def __init__(
        self,
        session: EditSession,
        clock: Callable[[], datetime],
        editor: str,
        hear: Callable[[str], None],
    ) -> None:
        """``hear`` says how far something has come; it is called in a thread."""
        self._session, self._clock, self._editor, self._hear = session, clock, editor, hear

    def preview(self) -> Screen[None]:
        from consult.ui.edit.rehearsal import PreviewScreen, previewed

        session = self._session
        if session.entry.kind != "question":
            raise Refused("Go to a question first: the outline marks them with ?.")
        note = "As on the call screen. F4: without the coaching. Esc: back."
        if "<" in session.sheets.value(session.place, "ask"):
            note += " Text in < > is filled in during a call; Alt+E shows how."
        return PreviewScreen(previewed(session.place, session.sheets), note)

    def rehearsal(self) -> Screen[None]:
        from consult.ui.edit.rehearsal import rehearsal

        tree, sheets, entry = self._session.main_tree, self._session.sheets, self._session.entry
        basis, problems = self._session.folder.basis(tree)
        if basis is None:
            errors = sum(problem.severity == "error" for problem in problems)
            many = f"{errors} mistake{'s' * (errors != 1)}"
            raise Refused(f"{tree} has {many}, so it cannot be rehearsed. Alt+M goes there.")
        name = entry.name if entry.kind == "question" else ""
        if entry.kind in ("include", "topic"):
            name = sheets.value(Place(f"{sheets.runs(entry)}.yaml"), "first")
        if entry.kind == "pool":
            name = next(iter(sheets.members(entry)), "")
        return rehearsal(basis, name, self._clock, self._editor)

    def impact(self, tree: str, _file: str) -> str:
        """What the draft changes for simulated callers, in words; for a thread."""
        try:
            from consult.content.editing.effect_of import effect_lines
        except ImportError as missing:
            self._hear(f"The impact needs a package that is not installed: {missing.name}.")
            return ""
        today = self._clock().date()
        return "\n".join(effect_lines(self._session.folder, tree, today, self._hear))

    def draw(self, tree: str, file: str) -> str:
        """A file of a tree as a drawing and as a page to walk through; for a thread."""
        self._hear(self._drawn(tree, file.removesuffix(".yaml")))
        return ""

    def _drawn(self, tree: str, part: str) -> str:
        try:
            from consult.content.drawing.layers import INSTALL, layout_installed
            from consult.content.drawing.page import drawing, drawn_page
            from consult.content.drawing.view import view_of
        except ImportError as missing:
            return f"Drawing needs a package that is not installed: {missing.name}."
        basis, _ = self._session.folder.basis(tree)
        if basis is None:
            return f"{tree} has mistakes, so it cannot be drawn. Alt+M goes to them."
        self._hear("Drawing ...")
        view = view_of(basis.tree, part)
        page = Path.cwd() / f"{part}.html"
        pages = {page: drawn_page(view, basis.contacts)}
        if layout_installed():
            pages[page.with_suffix(".svg")] = drawing(view)
        try:
            for file, text in pages.items():
                file.write_text(text, "utf-8", newline="\n")
        except OSError as error:
            return f"Not written: {error.filename}: {error.strerror}."
        told = f"Written: {' and '.join(map(str, pages))}."
        return told if layout_installed() else f"{told} {INSTALL}"
