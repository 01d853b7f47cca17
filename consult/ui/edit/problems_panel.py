"""Everything wrong with the draft, a line each; Enter goes to the mistake."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from pathlib import PurePath
from typing import TYPE_CHECKING

from textual import on
from textual.content import Content
from textual.widgets import OptionList
from textual.widgets.option_list import Option

from consult.problems import Problem
from consult.ui.edit.sheets import Place, Sheets
from consult.ui.literal import literal

if TYPE_CHECKING:
    from consult.marked.marks import Steps

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

    def __init__(self, go: Callable[[int], None]) -> None:
        """``go`` is called with the number of the problem chosen."""
        super().__init__(id="e-problems", markup=False)
        self.go = go
        self._told: list[str] | None = None

    def fill(self, problems: Sequence[Problem], files: Sequence[str], title: str) -> None:
        """Show the problems; ``files`` are their files as the outline calls them."""
        self.border_title = title
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

    @on(OptionList.OptionSelected)
    def chosen(self, event: OptionList.OptionSelected) -> None:
        """Go to it."""
        event.stop()
        self.go(event.option_index)


# -- where in the outline and the form a problem belongs ------------------------------------------


def file_of(problem: Problem, files: Mapping[str, str]) -> str:
    """The file of a problem as the outline calls it."""
    path = PurePath(problem.where.file)
    for name in (str(path), path.name, "/".join(path.parts[-2:])):
        if name in files:
            return name
    return path.name


def place_of(problem: Problem, files: Mapping[str, str], sheets: Sheets) -> Place:
    """The line of the outline a problem belongs to."""
    file = file_of(problem, files)
    entry = sheets.at_line(file, problem.where.line)
    return entry.place if entry else Place(file)


def told_by_steps(
    problems: Iterable[Problem], file: str, files: Mapping[str, str], sheets: Sheets
) -> dict[Steps, str]:
    """What is wrong in a file, by the steps to where it is wrong."""
    told: dict[Steps, str] = {}
    for one in problems:
        if file_of(one, files) == file:
            steps = sheets.steps_at(file, one.where.line, one.where.column)
            said = f"{one.message} {one.fix}".strip()
            told[steps] = f"{told[steps]} {said}" if steps in told else said
    return told
