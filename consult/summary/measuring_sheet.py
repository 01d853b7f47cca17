"""The measuring sheet: which lengths a caller is to measure, and under which names to tell them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from consult.call.by_name import fact_named
from consult.picture.measures import MEASURES
from consult.tree.model import Question, Tree
from consult.units import System, Unclear

_TOGETHER = {"desk_lowest": "desk_height", "desk_highest": "desk_height"}
"""Facts that are measured in the same way as another, and stand beside it."""
_IN_FEET = "stature"
_THINGS = frozenset({"desk_height", "desk_thickness", "heel"})
"""Measures of no body."""


@dataclass(frozen=True, slots=True)
class Blank:
    """A figure to be written down."""

    name: str
    """A short name of its question; typed with the figure at a call, it is the answer."""
    units: str
    """As ``blocks.BlankField`` has them: "cm", "in" or "ft, in"."""


@dataclass(frozen=True, slots=True)
class Measure:
    """One way to hold the tape, with the figures it gives."""

    name: str
    """A body dimension or a fact of the workplace; its drawing is called the same."""
    blanks: tuple[Blank, ...]


@dataclass(frozen=True, slots=True)
class MeasuringSheet:
    """All there is to measure, the body before the desk; all of it in one unit system."""

    measures: tuple[Measure, ...]
    metric: bool
    reference: str = ""
    """Of the call it belongs to; '' before one."""

    @property
    def body(self) -> bool:
        """Whether something of the body is measured, and not the desk and shoes alone."""
        return any(measure.name not in _THINGS for measure in self.measures)


SAMPLES = tuple(
    MeasuringSheet(
        tuple(
            Measure(name, (Blank(name, unit), Blank(name, unit))[: 1 + (name == "desk_height")])
            for name in MEASURES
        ),
        unit == "cm",
        reference,
    )
    for unit, reference in (("cm", ""), ("in", "7K3-M2Q"))
)
"""Sheets of every measure, for trying a wording."""


def measuring_sheet(
    tree: Tree, questions: Iterable[Question], system: System, reference: str = ""
) -> MeasuringSheet:
    """The sheet of some questions of a tree; those for which there is no drawing are left out.

    Whoever sees both unit systems gets a sheet in centimetres: a tape is read in one.
    """
    metric = system != "imperial"
    blanks: dict[str, dict[str, Blank]] = {}
    for question in questions:
        fact = question.measures or question.sets or ""
        measure = _TOGETHER.get(fact, fact)
        if measure in MEASURES:
            unit = "cm" if metric else "ft, in" if fact == _IN_FEET else "in"
            blank = Blank(_short_name(tree, question), unit)
            blanks.setdefault(measure, {}).setdefault(fact, blank)
    measures = (Measure(name, tuple(blanks[name].values())) for name in MEASURES if name in blanks)
    return MeasuringSheet(tuple(measures), metric, reference)


def _short_name(tree: Tree, question: Question) -> str:
    """The first name people call it by that means this question and no other."""
    for name in (*question.called, question.name):
        try:
            if fact_named(tree, f"{name} 1").question == question:
                return name.replace("_", " ")
        except Unclear:
            continue
    return question.name
