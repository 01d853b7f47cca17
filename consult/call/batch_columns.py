"""The columns of a file of answers: each is a question, or says something else about the person."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from consult.call.by_name import names
from consult.problems import Problem, Where, nearest
from consult.tree.model import Question, plain_name

if TYPE_CHECKING:
    from consult.tree.model import Tree

OWN = {"reference": "reference", "id": "reference", "note": "note"} | {
    "units": "units",
    "country": "country",
}
"""Headings that are no questions -> what they hold. They come before a question of that name:
``country`` is whom a caution says to ring, not where the chair goes."""

_HEALTH = "asks about health. A buyer of chairs may not collect this, so the column is not read."
_TAKE_OUT = (
    "Delete the column; those people can call us themselves. If each person has consented "
    "(column consent), use --with-health."
)


@dataclass(frozen=True, slots=True)
class Column:
    """The heading and meaning of one column."""

    place: int
    """From 0."""
    heading: str
    """As the file has it."""
    own: str = ""
    """One of the values of ``OWN``; '' for a question."""
    question: Question | None = None

    @property
    def measures(self) -> str | None:
        """The body dimension it measures."""
        return self.question.measures if self.question else None

    @property
    def health(self) -> bool:
        """Whether it is about health."""
        return self.question is not None and self.question.private == "health"

    @property
    def _means(self) -> tuple[str, str]:
        return self.own, self.question.name if self.question else ""


def letter(place: int) -> str:
    """How a spreadsheet names the column at a place from 0: A, Z, AA."""
    before, last = divmod(place, 26)
    return (letter(before - 1) if before else "") + chr(ord("A") + last)


def columns_of(
    tree: Tree, headings: Sequence[str], file: str, *, with_health: bool = False
) -> tuple[tuple[Column, ...], list[Problem]]:
    """The columns of a file in the order of the tree, and what is wrong with its first line.

    A column without a heading is left out; a row that has something in it will be bad.
    """
    known = names(tree)
    found: dict[tuple[str, str], Column] = {}
    problems: list[Problem] = []
    for place, heading in enumerate(headings):
        if not heading.strip():
            continue
        column = _column(tree, known, place, heading)
        twin = found.get(column._means)
        if not any(column._means):
            hint = nearest(plain_name(heading)[:60], [*known, *OWN])
            wrong = "is not the name of a question.", hint or "Delete or rename it."
        elif twin is not None:
            wrong = f"means the same as column {letter(twin.place)}.", "Delete one of the two."
        elif column.health and not with_health:
            wrong = _HEALTH, _TAKE_OUT
        else:
            found[column._means] = column
            continue
        message = f"Column {letter(place)}, “{short(heading)}”, {wrong[0]}"
        problems.append(Problem(Where(file, 1, place + 1), message, wrong[1], "column"))
    own = [column for column in found.values() if column.own]
    asked = [found["", name] for name in tree.questions if ("", name) in found]
    return (*own, *asked), problems


def short(text: str) -> str:
    """The beginning of a text on one line, to quote it."""
    return " ".join(text[:200].split())[:40]


def _column(tree: Tree, known: Mapping[str, str], place: int, heading: str) -> Column:
    name = plain_name(heading)
    own = OWN.get(name, "")
    question = None if own else tree.questions.get(known.get(name, ""))
    return Column(place, heading.strip(), own, question)
