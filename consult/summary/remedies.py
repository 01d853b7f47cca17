"""What to try where a set-up feels wrong: the same order and direction as its steps.

Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from consult.summary.lines import RemedyLine

if TYPE_CHECKING:
    from consult.summary.lines import SetupStep


def remedies(steps: Sequence[SetupStep]) -> tuple[RemedyLine, ...]:
    """One line a complaint; none without steps.

    With a footrest the seat keeps its height, which the desk or the lift calls for: the footrest
    gives way. Without one the seat goes back to its figure: whether it may be lower than that is
    not for a card to say. Nobody is told to set what the chair does not have.
    """
    return tuple(_lines({step.topic for step in steps})) if steps else ()


def _lines(topics: set[str]) -> Iterator[RemedyLine]:
    behind, feet = "Pressure behind the knee", "Feet do not rest"
    less_deep = {"seat_depth": "shorten"}
    if "footrest" in topics:
        said = "first the seat, less deep; then the footrest, higher."
        yield RemedyLine(behind, said, less_deep, {"footrest": "raise"})
        yield RemedyLine(feet, "raise the footrest. Leave the seat.", {"footrest": "raise"})
    else:
        said = "first the seat, less deep; then set its height again."
        yield RemedyLine(behind, said, less_deep, {"seat": "set"})
        said = "first set the seat again, to the height above; then a footrest."
        yield RemedyLine(feet, said, {"seat": "set"}, {"footrest": "add"})
    if "armrests" in topics:
        said = "set the armrests again, so that they just touch your elbows; then the keyboard."
        yield RemedyLine("Shoulders tire", said, {"armrests": "set"})
    else:
        yield RemedyLine("Shoulders tire", "bring the keyboard and the mouse nearer.")
    said = "first sit further back; then the lumbar support."
    yield RemedyLine("Your back does not touch", said, {}, {"lumbar": "set"})
