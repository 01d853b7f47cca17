"""What the keys do with a draft besides changing it: preview, rehearse, effect, draw, publish.

Each is imported when it is asked for; where a part is not installed, that is said in words.
"""

from __future__ import annotations

from pathlib import Path

from textual import work
from textual.worker import Worker, WorkerState

from consult.ui.dialogs import TextScreen
from consult.ui.edit.keys import HELP
from consult.ui.edit.panes import Panes
from consult.ui.edit.sheets import Place

_NO_QUESTION = "Go to a question first: the outline marks them with ?."


class Errands(Panes):
    """Looks at the draft from other sides."""

    def action_help(self) -> None:
        """Every key, and how a tree is put together."""
        self.app.push_screen(TextScreen("Help", HELP))

    def action_preview(self) -> None:
        """The question as the adviser will see it."""
        from consult.ui.edit.rehearsal import PreviewScreen, previewed

        self.flush()
        if self.entry.kind != "question":
            self.tell(_NO_QUESTION)
            return
        note = "As on the call screen. F4: without the coaching. Esc: back."
        if "<" in self.sheets.value(self.place, "ask"):
            note += " Text in < > is filled in during a call; Alt+E shows how."
        self.app.push_screen(PreviewScreen(previewed(self.place, self.sheets), note))

    def main_tree(self) -> str:
        """The main tree in which the current piece is asked, without .yaml."""
        file = self.place.file if self.sheets.is_tree(self.place.file) else self.sheets.files[0]
        return self.sheets.mains(file)[0].removesuffix(".yaml")

    def action_rehearse(self) -> None:
        """Take a call with the draft, from the current question."""
        from consult.ui.edit.rehearsal import rehearsal

        self.flush()
        tree = self.main_tree()
        basis, problems = self.folder.basis(tree)
        if basis is None:
            errors = sum(one.severity == "error" for one in problems)
            many = f"{errors} mistake{'s' * (errors != 1)}"
            self.tell(f"{tree} has {many}, so it cannot be rehearsed. Alt+M goes there.")
            return
        name = self.entry.name if self.entry.kind == "question" else ""
        if self.entry.kind in ("include", "topic"):
            name = self.sheets.value(Place(f"{self.sheets.runs(self.entry)}.yaml"), "first")
        if self.entry.kind == "pool":
            name = next(iter(self.sheets.members(self.entry)), "")
        screen = rehearsal(basis, name, self.clock, self.editor)
        self.app.push_screen(screen)
        screen.call_after_refresh(
            screen.tell,
            "This is a rehearsal: nothing is stored. Esc or Ctrl+Q goes back to the editor.",
            "",
        )

    # -- effect -------------------------------------------------------------------------------

    def action_effect(self) -> None:
        """What the draft changes for simulated callers."""
        self.flush()
        self._effect(self.main_tree())

    @work(thread=True, group="errand", exclusive=True, exit_on_error=False)
    def _effect(self, tree: str) -> None:
        try:
            from consult.ui.edit.effect_of import effect_lines
        except ImportError as missing:
            self.hear(f"The impact needs a package that is not installed: {missing.name}.")
            return
        lines = effect_lines(self.folder, tree, self.clock().date(), self.hear)
        self.app.call_from_thread(self._show_effect, lines)

    def _show_effect(self, lines: list[str]) -> None:
        self.tell("")
        self.app.push_screen(TextScreen("Impact of the draft", "\n".join(lines)))

    # -- draw ---------------------------------------------------------------------------------

    def action_draw(self) -> None:
        """The current tree as a drawing and as a page to walk through."""
        self.flush()
        file = self.place.file if self.sheets.is_tree(self.place.file) else self.sheets.files[0]
        self._draw(self.main_tree(), file.removesuffix(".yaml"))

    @work(thread=True, group="errand", exclusive=True, exit_on_error=False)
    def _draw(self, tree: str, part: str) -> None:
        try:
            from consult.content.drawing.layers import INSTALL, layout_installed
            from consult.content.drawing.page import drawing, drawn_page
            from consult.content.drawing.view import view_of
        except ImportError as missing:
            self.hear(f"Drawing needs a package that is not installed: {missing.name}.")
            return
        basis, _ = self.folder.basis(tree)
        if basis is None:
            self.hear(f"{tree} has mistakes, so it cannot be drawn. Alt+M goes to them.")
            return
        self.hear("Drawing ...")
        view, written = view_of(basis.tree, part), []
        page = Path.cwd() / f"{part}.html"
        pages = {page: drawn_page(view, basis.contacts)}
        if layout_installed():
            pages[page.with_suffix(".svg")] = drawing(view)
        try:
            for file, text in pages.items():
                file.write_text(text, "utf-8", newline="\n")
                written.append(str(file))
        except OSError as error:
            self.hear(f"Not written: {error.filename}: {error.strerror}.")
            return
        told = f"Written: {' and '.join(written)}."
        self.hear(told if layout_installed() else f"{told} {INSTALL}")

    def on_worker_state_changed(self, event: Worker.StateChanged) -> None:
        """An errand that fails must not end the desk."""
        if event.state is WorkerState.ERROR and event.worker.group in ("errand", "check"):
            self.tell(f"That went wrong ({event.worker.error!r}). The draft is as it was.")
