"""A figure as people say it: rounded to what a tape or a scale is read to, in the asked unit."""

from __future__ import annotations

from typing import TYPE_CHECKING

from consult.units import to_unit

if TYPE_CHECKING:
    from consult.tree.model import Question

_STEPS = {"cm": (0.5, 1.0), "mm": (5.0, 10.0), "m": (0.005, 0.01), "in": (0.25, 0.5)}
"""What lengths are read to, below a metre and from there on (common practice, no source)."""
_METRE = 1000.0


def rounded(question: Question, value: float) -> str:
    """``value`` in mm, kg or plain, in the question's unit: "41.5 cm", "9 st 4 lb", "8"."""
    unit = question.unit
    least_is_nought = question.expect is not None and question.expect[0] <= 0
    if unit == "st":
        stones, pounds = divmod(max(round(to_unit(value, "lb")), 1), 14)
        return f"{stones} st {pounds} lb" if stones else f"{pounds} lb"
    if unit is None:
        step = 1.0 if value < 100 else 50.0 if value < 1000 else 100.0
    elif unit in _STEPS:
        step = _STEPS[unit][value >= _METRE]
    else:
        step = 1.0
    steps = round((to_unit(value, unit) if unit else value) / step)
    number = f"{max(steps, 0 if least_is_nought else 1) * step:.3f}".rstrip("0").rstrip(".")
    return f"{number} {unit}" if unit else number
