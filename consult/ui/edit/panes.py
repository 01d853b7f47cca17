"""Moving about the content desk: which pane is in sight, and the way to a mistake."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual import on
from textual.events import Resize
from textual.widgets import Input

from consult.ui.edit.beside_form import ProblemsPanel, YamlPanel, file_of, place_of
from consult.ui.edit.fields import FIELDS
from consult.ui.edit.form_panel import FormPanel
from consult.ui.edit.outline_panel import FindLine
from consult.ui.edit.sheets import OutlineEntry, Place
from consult.ui.edit.views import Views

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import datetime

    from consult.content.editing.folder import DraftFolder
    from consult.problems import Problem

WIDE = 120
"""Columns from which outline, form and YAML stand side by side."""
LOW = 30
"""Rows below which the mistakes have no room of their own."""
PANES = ("outline", "form", "yaml", "problems")


class Panes(Views):
    """Side by side where there is room, one at a time where there is not."""

    def __init__(self, folder: DraftFolder, clock: Callable[[], datetime], editor: str) -> None:
        super().__init__(folder, clock, editor)
        self.pane = "outline"
        self.with_yaml = True

    def go_to_problem(self, index: int) -> None:
        """Go to a mistake: its field where there is one, else its place in the YAML."""
        problem = self.found[index]
        self.visited.add(problem)
        file = file_of(problem, self.folder.texts)
        if file not in self.folder.texts:
            self.tell(f"{problem.message} {problem.fix} That is in {problem.where.file}.")
            return
        line, column = problem.where.line, problem.where.column
        place = place_of(problem, self.folder.texts, self.sheets)
        entry = self.sheets.entry(place)
        if file not in self.sheets.trouble and entry is not None and entry.kind in FIELDS:
            self.show_place(place)
            steps = self.sheets.steps_at(file, line, column)
            self.turn_to("form", focus=False)
            if self.query_one(FormPanel).focus_at(steps):
                self.query_one(YamlPanel).go(line, column)
                self.tell(f"{problem.message} {problem.fix}")
                return
        self.show_place(Place(file))
        self.turn_to("yaml")
        self.query_one(YamlPanel).go(line, column)
        self.tell(f"{problem.message} {problem.fix}")

    def on_resize(self, event: Resize) -> None:
        """Side by side where there is room, one at a time where there is not."""
        self.set_class(event.size.width < WIDE, "e-narrow")
        self.fit_panes()

    def turn_to(self, pane: str, *, focus: bool = True) -> None:
        """Show a pane, and go there."""
        self.pane = pane
        if pane == "yaml":
            self.with_yaml = True
        self.fit_panes()
        if not focus:
            return
        if pane == "outline":
            self.set_focus(self.query_one("#e-lines"))
        elif pane == "form":
            self.query_one(FormPanel).focus_first()
        elif pane == "yaml":
            self.set_focus(self.query_one(YamlPanel))
        else:
            self.set_focus(self.query_one(ProblemsPanel))

    def fit_panes(self) -> None:
        """Show the panes there is room for.

        By hand: another class on the screen would style every field again.
        """
        narrow, low = self.size.width < WIDE, self.size.height < LOW
        here = self.pane
        shown = {
            "#e-outline": not narrow or here == "outline",
            "#e-form": not narrow or here == "form",
            "#e-yaml": here == "yaml" or (not narrow and self.with_yaml),
            "#e-problems": here == "problems" or (not narrow and not low and bool(self.found)),
            "#e-desk": not narrow or here != "problems",
        }
        for id_, display in shown.items():
            widget = self.query_one(id_)
            if widget.display != display:
                widget.display = display

    def on_descendant_focus(self) -> None:
        """A pane that was clicked is the one at hand."""
        now = self.pane_now()
        if not self.has_class("e-narrow"):
            self.pane = now
        for pane in ("outline", "form"):
            colour = self.app.theme_variables["primary"]
            widget = self.query_one(f"#e-{pane}")
            widget.styles.border = ("heavy", colour) if pane == now else ("round", colour)

    def keep_focus(self) -> None:
        """Where the field that the cursor was in is gone, it stays in its pane."""
        if self.focused is None and self.app.screen is self:
            self.turn_to(self.pane)

    def into_form(self) -> None:
        """Enter in the outline."""
        self.turn_to("form" if self.entry.kind in FIELDS else "yaml")

    def pane_now(self) -> str:
        """The pane the cursor is in."""
        focused = self.focused
        if isinstance(focused, YamlPanel):
            return "yaml"
        if isinstance(focused, ProblemsPanel):
            return "problems"
        if focused is not None and self.query_one(FormPanel) in focused.ancestors:
            return "form"
        return "outline"

    def action_turn(self) -> None:
        """The next pane."""
        self.flush()
        now = self.pane_now() if not self.has_class("e-narrow") else self.pane
        self.turn_to(PANES[(PANES.index(now) + 1) % len(PANES)])

    def action_yaml(self) -> None:
        """Show or hide the YAML."""
        if self.has_class("e-narrow"):
            self.turn_to("form" if self.pane == "yaml" else "yaml")
            return
        self.with_yaml = not self.with_yaml
        self.fit_panes()
        if not self.with_yaml and self.focused is None:
            self.turn_to("form")

    def action_back(self) -> None:
        """Back to the outline; there, what is being found is forgotten."""
        self.flush()
        find = self.query_one(FindLine)
        if self.pane_now() == "outline" and find.value:
            find.value = ""
        self.turn_to("outline")

    def action_find(self) -> None:
        """Find in the outline."""
        self.flush()
        self.turn_to("outline", focus=False)
        find = self.query_one(FindLine)
        self.set_focus(find)
        find.action_select_all()

    @on(Input.Changed, "#e-find")
    def sought(self, event: Input.Changed) -> None:
        """Show what goes with what is typed."""
        event.stop()
        self.show_outline()

    def action_next_problem(self) -> None:
        """Go to the nearest mistake not gone to yet; to warnings once there is none left."""
        self.flush()
        if not self.found:
            self.tell("There are no mistakes.", "")
            return
        if self.visited.issuperset(self.found):
            self.visited.clear()
        here = self.entry
        left = [at for at, problem in enumerate(self.found) if problem not in self.visited]
        self.go_to_problem(min(left, key=lambda at: self._distance(self.found[at], here)))

    def _distance(self, problem: Problem, here: OutlineEntry) -> tuple[bool, bool, int]:
        elsewhere = file_of(problem, self.folder.texts) != here.place.file
        way = 0 if elsewhere else abs(problem.where.line - here.line)
        return problem.severity != "error", elsewhere, way
