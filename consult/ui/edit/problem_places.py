"""Where in the outline and the form a problem belongs."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import PurePath
from typing import TYPE_CHECKING

from consult.ui.edit.sheets import Place, Sheets

if TYPE_CHECKING:
    from consult.marked.marks import Steps
    from consult.problems import Problem


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
