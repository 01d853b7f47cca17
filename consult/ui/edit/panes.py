"""The panes of the content desk: YAML and mistakes, which pane is in sight, where the cursor is."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from importlib.util import find_spec
from itertools import takewhile
from typing import TYPE_CHECKING

from textual import on
from textual.app import ComposeResult
from textual.content import Content
from textual.events import Resize
from textual.message import Message
from textual.widget import Widget
from textual.widgets import OptionList, TextArea
from textual.widgets.option_list import Option

from consult.content.editing.fields import FIELDS
from consult.content.editing.sheets import Place
from consult.problems import Problem
from consult.ui.edit.field_widgets import Lines
from consult.ui.edit.form_panel import FormPanel
from consult.ui.edit.outline_panel import OutlinePanel
from consult.ui.literal import literal
from consult.ui.widgets.part import ColumnBox, RowBox

if TYPE_CHECKING:
    from consult.content.editing.session import EditSession
    from consult.marked.marks import Steps
    from consult.problems import Problem

MOST_COLOURED = 80_000
"""Letters up to which the text is coloured: past that, colouring takes longer than a key may."""


class YamlPanel(Lines):
    """One file. Changes made elsewhere are put in where they are, so that the cursor stays."""

    class Moved(Message):
        """A person moved the cursor to another place."""

    def __init__(self) -> None:
        super().__init__(
            id="e-yaml", soft_wrap=False, show_line_numbers=True, theme="css", tab_behavior="focus"
        )
        self.file = ""

    def open(self, file: str, text: str) -> None:
        if file == self.file:
            self.show(text)
            return
        self.file, self.kept = file, text
        can_colour = find_spec("tree_sitter") and find_spec("tree_sitter_yaml")
        coloured = file.endswith(".yaml") and len(text) < MOST_COLOURED and can_colour
        self.border_title = file
        self.load_text(text)
        self._shown = self.typed
        self.language = "yaml" if coloured else None

    def put(self, value: str) -> None:
        """Put in what differs, and nothing else."""
        old, new = self.text.split("\n"), value.split("\n")
        first = _alike(old, new)
        last = _alike(old[first:][::-1], new[first:][::-1])
        if last == 0:
            start, end = (first, 0), self.document.end
            if first == len(old):
                start = self.document.end
                changed = "\n" + "\n".join(new[first:])
            elif first == len(new):
                start, changed = (first - 1, len(old[first - 1])), ""
            else:
                changed = "\n".join(new[first:])
        else:
            start, end = (first, 0), (len(old) - last, 0)
            changed = "".join(f"{line}\n" for line in new[first : len(new) - last])
        self.replace(changed, start, end, maintain_selection_offset=True)

    def go(self, line: int, column: int = 1) -> None:
        """The cursor to a place, counted from 1; the text around it in sight."""
        row = max(0, min(line - 1, self.document.line_count - 1))
        with self.prevent(TextArea.SelectionChanged):
            self.move_cursor((row, max(0, column - 1)), center=True)

    @property
    def line(self) -> int:
        return self.cursor_location[0] + 1

    @on(TextArea.SelectionChanged)
    def cursor_moved(self, event: TextArea.SelectionChanged) -> None:
        """Say where the cursor is, where a person moved it."""
        event.stop()
        if self.has_focus and not self.pending:
            self.post_message(self.Moved())


def _alike(lines: Sequence[str], others: Sequence[str]) -> int:
    """How many lines at the beginning are the same."""
    pairs = zip(lines, others, strict=False)
    return len(list(takewhile(lambda pair: pair[0] == pair[1], pairs)))


# -- what is wrong --------------------------------------------------------------------------------


_MOST = 200
"""Lines shown; more are not read before some are repaired."""


def problem_line(problem: Problem, file: str) -> Content:
    """Where, what is wrong, what would be right."""
    sign = "✗" if problem.severity == "error" else "!"
    where = literal(f"{sign} {file}:{problem.where.line}: ", "bold")
    said = " ".join(f"{problem.message} {problem.fix}".split())
    return where + literal(said[:600])


class ProblemsPanel(OptionList):
    """The list. It is drawn again only where it changed."""

    def __init__(self) -> None:
        super().__init__(id="e-problems", markup=False)
        self._told: list[str] | None = None

    def fill(self, problems: Sequence[Problem], files: Sequence[str]) -> None:
        """Show the problems; ``files`` are their files as the outline calls them."""
        self.border_title = "Mistakes: Alt+M or Enter goes there" if problems else "Mistakes"
        lines = list(map(problem_line, problems[:_MOST], files[:_MOST]))
        if len(problems) > _MOST:
            lines.append(literal(f"... and {len(problems) - _MOST} more."))
        plain = [line.plain for line in lines]
        if plain != self._told:
            at, self._told = self.highlighted, plain
            nothing = [Option(literal("No mistakes."), disabled=True)]
            self.set_options([Option(line) for line in lines] or nothing)
            if at is not None and lines:
                self.highlighted = min(at, len(lines) - 1)


CHECK_PAUSE = 0.15
"""Seconds of quiet before the draft is checked again."""
_WIDE = 120
"""Columns from which outline, form and YAML stand side by side."""
LOW = 30
"""Rows below which the mistakes have no room of their own."""
PANES = ("outline", "form", "yaml", "problems")


class Panes(ColumnBox):
    """Side by side where there is room, one at a time where there is not."""

    class Checked(Message):
        """The draft, as it was at a change, has been checked."""

        def __init__(self, session: EditSession, at: int, problems: list[Problem]) -> None:
            super().__init__()
            self.session, self.at, self.problems = session, at, problems

    def __init__(self) -> None:
        super().__init__(id="e-panes")
        self.outline, self.form = OutlinePanel(), FormPanel()
        self.yaml, self.problems = YamlPanel(), ProblemsPanel()
        self._beside = RowBox(self.outline, self.form, self.yaml, id="e-desk")
        self._pane = "outline"
        """The one to be seen where there is room for one."""
        self._with_yaml = True
        self._any_wrong = False

    def compose(self) -> ComposeResult:
        yield self._beside
        yield self.problems

    def on_resize(self, event: Resize) -> None:  # noqa: ARG002
        self._fit()

    # -- what they show -----------------------------------------------------------------------

    def show(self, session: EditSession, *, go: bool) -> None:
        """Everything; ``go``: the cursor of the YAML to the place at hand."""
        self.show_place(session)
        file = session.place.file
        fresh = self.yaml.file != file
        self.yaml.open(file, session.folder.texts.get(file, ""))
        if (go or fresh) and not self.yaml.has_focus:
            self.yaml.go(session.entry.line)

    def show_place(self, session: EditSession) -> None:
        """Outline and form of the place at hand."""
        self._show_outline(session)
        self.form.show(session.entry, session.sheets, session.locked)
        self.form.mark(session.wrong_here)

    def _show_outline(self, session: EditSession) -> None:
        self.outline.fill(session.sheets, session.place, session.wrong, session.folder.changed)

    # -- what is wrong ------------------------------------------------------------------------

    def check_soon(self, session: EditSession) -> None:
        at = session.changes
        self.set_timer(CHECK_PAUSE, lambda: self.check(session) if at == session.changes else None)

    def check(self, session: EditSession) -> None:
        """Beside the typing, which must not wait for it. The desk hears where that fails."""
        at = session.changes

        def found() -> None:
            problems = session.folder.problems()
            with suppress(RuntimeError):
                self.post_message(self.Checked(session, at, problems))

        self.screen.run_worker(found, group="check", thread=True, exit_on_error=False)

    @on(Checked)
    def show_problems(self, event: Checked) -> None:
        """All of it in its own pane, and beside what it is wrong in; unless something changed."""
        session = event.session
        if event.at != session.changes:
            event.stop()
            return
        session.problems = event.problems
        files = [session.file_of(problem) for problem in session.problems]
        with self.app.batch_update():
            self.problems.fill(session.problems, files)
            self._any_wrong = bool(files)
            self._fit()
            self._show_outline(session)
            self.form.mark(session.wrong_here)

    def go_to_problem(self, session: EditSession, index: int) -> str:
        """Its field where there is one, else its place in the YAML; what to say of it."""
        problem = session.visit(index)
        file, said = session.file_of(problem), f"{problem.message} {problem.fix}"
        if file not in session.folder.texts:
            return f"{said} That is in {problem.where.file}."
        line, column = problem.where.line, problem.where.column
        there = session.go(session.place_of(problem)) and file not in session.sheets.trouble
        in_form = there and session.entry.kind in FIELDS
        if in_form:
            self.show(session, go=True)
            self.turn_to("form", focus=False)
            in_form = self.form.focus_at(session.sheets.steps_at(file, line, column))
        if not in_form:
            session.go(Place(file))
            self.show(session, go=True)
            self.turn_to("yaml")
        self.yaml.go(line, column)
        return said

    # -- which are in sight -------------------------------------------------------------------

    @property
    def _is_narrow(self) -> bool:
        return self.screen.size.width < _WIDE

    @property
    def now(self) -> str:
        focused = self.screen.focused
        if focused is self.yaml or focused is self.problems:
            return "yaml" if focused is self.yaml else "problems"
        return "form" if focused is not None and self.form in focused.ancestors else "outline"

    @property
    def field(self) -> Steps | None:
        """The value whose field in the form the cursor is in."""
        return self.form.at() if self.now == "form" else None

    def turn_to(self, pane: str, *, focus: bool = True) -> None:
        self._pane = pane
        self._with_yaml = self._with_yaml or pane == "yaml"
        self._fit()
        panes: dict[str, Widget] = {"yaml": self.yaml, "problems": self.problems}
        if focus and pane == "form":
            self.form.focus_first()
        elif focus:
            self.screen.set_focus(panes.get(pane, self.outline.lines))

    def turn(self) -> None:
        now = self._pane if self._is_narrow else self.now
        self.turn_to(PANES[(PANES.index(now) + 1) % len(PANES)])

    def toggle_yaml(self) -> None:
        if self._is_narrow:
            self.turn_to("form" if self._pane == "yaml" else "yaml")
            return
        self._with_yaml = not self._with_yaml
        self._fit()
        if not self._with_yaml and self.screen.focused is None:
            self.turn_to("form")

    def back(self) -> None:
        """To the outline; there, what is being found is forgotten."""
        if self.now == "outline":
            self.outline.find.value = ""
        self.turn_to("outline")

    def find(self) -> None:
        """To the line above the outline."""
        self.turn_to("outline", focus=False)
        self.screen.set_focus(self.outline.find)
        self.outline.find.action_select_all()

    def keep_focus(self) -> None:
        """Where the field that the cursor was in is gone, it stays in its pane."""
        if self.screen.focused is None and self.app.screen is self.screen:
            self.turn_to(self._pane)

    def on_descendant_focus(self) -> None:
        """A pane that was clicked is the one at hand."""
        now = self.now
        if not self._is_narrow:
            self._pane = now
        colour = self.app.theme_variables["primary"]
        for pane, widget in (("outline", self.outline), ("form", self.form)):
            widget.styles.border = ("heavy" if pane == now else "round", colour)

    def _fit(self) -> None:
        """By hand: another class on the desk would style every field again."""
        narrow, low = self._is_narrow, self.screen.size.height < LOW
        self.set_class(narrow, "e-narrow")
        here = self._pane
        shown = {
            self.outline: not narrow or here == "outline",
            self.form: not narrow or here == "form",
            self.yaml: here == "yaml" or (not narrow and self._with_yaml),
            self.problems: here == "problems" or (not narrow and not low and self._any_wrong),
            self._beside: not narrow or here != "problems",
        }
        for widget, display in shown.items():
            if widget.display != display:
                widget.display = display
