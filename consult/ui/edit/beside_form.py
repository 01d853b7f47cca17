"""The panes beside the form: the file as YAML, and what is wrong in all of them."""

from __future__ import annotations

from collections.abc import Sequence
from importlib.util import find_spec

from textual import on
from textual.content import Content
from textual.message import Message
from textual.widgets import OptionList, TextArea
from textual.widgets.option_list import Option

from consult.problems import Problem
from consult.ui.edit.field_widgets import Lines
from consult.ui.literal import literal

MOST_COLOURED = 80_000
"""Letters up to which the text is coloured: past that, colouring takes longer than a key may."""


def _can_colour() -> bool:
    return find_spec("tree_sitter") is not None and find_spec("tree_sitter_yaml") is not None


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
        """Show a file."""
        if file == self.file:
            self.show(text)
            return
        self.file, self.kept = file, text
        coloured = file.endswith(".yaml") and len(text) < MOST_COLOURED and _can_colour()
        self.border_title = file
        self.load_text(text)
        self._shown = self.typed
        self.language = "yaml" if coloured else None

    def put(self, value: str) -> None:
        """Put in what differs, and nothing else."""
        old, new = self.text.split("\n"), value.split("\n")
        first = 0
        while first < min(len(old), len(new)) and old[first] == new[first]:
            first += 1
        last = 0
        while last < min(len(old), len(new)) - first and old[-1 - last] == new[-1 - last]:
            last += 1
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
        """The line the cursor is on, counted from 1."""
        return self.cursor_location[0] + 1

    @on(TextArea.SelectionChanged)
    def cursor_moved(self, event: TextArea.SelectionChanged) -> None:
        """Say where the cursor is, where a person moved it."""
        event.stop()
        if self.has_focus and not self.pending:
            self.post_message(self.Moved())


# -- what is wrong --------------------------------------------------------------------------------


MOST = 200
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
        lines = [
            problem_line(problem, file)
            for problem, file in zip(problems[:MOST], files[:MOST], strict=True)
        ]
        if len(problems) > MOST:
            lines.append(literal(f"... and {len(problems) - MOST} more."))
        plain = [line.plain for line in lines]
        if plain != self._told:
            at = self.highlighted
            self._told = plain
            nothing = [Option(literal("No mistakes."), disabled=True)]
            self.set_options([Option(line) for line in lines] or nothing)
            if at is not None and lines:
                self.highlighted = min(at, len(lines) - 1)
