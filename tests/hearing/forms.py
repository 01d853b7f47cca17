"""The table of spoken forms: what is said, and what a careful listener makes of it."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Literal, cast

from consult.tree.model import Question
from consult.units import System
from tests.call.calls import question

Outcome = Literal["taken", "asked", "refused", "missed"]

FACTORS = {"mm": 1.0, "cm": 10.0, "in": 25.4, "kg": 1.0, "lb": 0.45359237, "": 1.0}
"""To mm or kg: exact by definition (international yard and pound agreement of 1959)."""
_MARKS: dict[str, Outcome] = {"=>": "taken", "??": "asked", "--": "refused", "!!": "missed"}
_TERM = re.compile(r"([+-]?)\s*([\d.]+)(mm|cm|in|lb|kg|)")

QUESTIONS: dict[str, Question] = {
    "stature": question("length", unit="cm", expect=(1400.0, 2050.0), measures="stature"),
    "weight": question("mass", unit="kg", expect=(40.0, 160.0), measures="weight"),
    "leg": question("length", unit="cm", expect=(320.0, 520.0)),
    "thigh": question("length", unit="cm", expect=(380.0, 600.0)),
    "elbow": question("length", unit="cm", expect=(150.0, 330.0)),
    "hips": question("length", unit="cm", expect=(300.0, 560.0), measures="hip_breadth_sitting"),
    "desk": question("length", unit="cm", expect=(600.0, 950.0), sets="desk_height"),
    "top": question("length", unit="cm", expect=(15.0, 200.0), sets="desk_thickness"),
    "heel": question("length", unit="cm", expect=(0.0, 80.0), sets="heel"),
    "hours": question("count", expect=(1.0, 12.0)),
}


@dataclass(frozen=True)
class Form:
    """One line of the table."""

    asked: str
    system: System
    said: str
    outcome: Outcome
    readings: tuple[tuple[float, float], ...]
    """Value and spread of the answer, or of each answer offered."""

    @property
    def question(self) -> Question:
        return QUESTIONS[self.asked]


def amount(terms: str) -> float:
    """What "16in -5mm" comes to, in mm or kg."""
    found = _TERM.findall(terms)
    assert found, terms
    return sum((-1 if sign == "-" else 1) * float(n) * FACTORS[unit] for sign, n, unit in found)


def _reading(text: str) -> tuple[float, float]:
    value, _, spread = text.partition("±")
    return amount(value), amount(spread) if spread else 0.0


def _lines() -> Iterator[Form]:
    asked, system = "", ""
    for line in Path(__file__).with_name("forms.txt").read_text("utf-8").splitlines():
        if line.startswith("["):
            asked, system = line.strip("[]").split()
        elif line.strip() and not line.startswith("#"):
            said, mark, rest = re.split(r" (=>|\?\?|--|!!) ?", line, maxsplit=1)
            readings = tuple(_reading(each) for each in rest.split("|")) if rest else ()
            yield Form(asked, cast(System, system), said, _MARKS[mark], readings)


FORMS = tuple(_lines())
