"""What the keys do with a draft besides changing it: preview, rehearse, impact, draw.

Each is imported when it is asked for; where a part is not installed, that is said in words.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from consult.content.editing.patching import Refused
from consult.content.editing.sheets import Place

if TYPE_CHECKING:
    from datetime import datetime

    from textual.screen import Screen

    from consult.content.editing.session import EditSession


class Errands:
    """Looks at the draft from other sides."""

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
        """The question as the adviser will see it."""
        from consult.ui.edit.rehearsal import PreviewScreen, previewed

        session = self._session
        if session.entry.kind != "question":
            raise Refused("Go to a question first: the outline marks them with ?.")
        note = "As on the call screen. F4: without the coaching. Esc: back."
        if "<" in session.sheets.value(session.place, "ask"):
            note += " Text in < > is filled in during a call; Alt+E shows how."
        return PreviewScreen(previewed(session.place, session.sheets), note)

    def rehearsal(self) -> Screen[None]:
        """Take a call with the draft, from the current question."""
        from consult.ui.edit.rehearsal import rehearsal

        tree, sheets, entry = self._session.main_tree, self._session.sheets, self._session.entry
        basis, problems = self._session.folder.basis(tree)
        if basis is None:
            errors = sum(one.severity == "error" for one in problems)
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
