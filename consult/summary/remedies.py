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
    return tuple(_lines({step.topic for step in steps if step.moves})) if steps else ()


def _lines(topics: set[str]) -> Iterator[RemedyLine]:
    """``topics``: the steps that set something; parts without a setting have none."""
    behind, feet = "Pressure behind the knee", "Feet not flat"
    first = "set the seat depth again, with two to four fingers free. If it still presses,"
    depth = {"seat_depth": "set"}
    if "footrest" in topics:
        yield RemedyLine(behind, f"{first} raise the footrest.", depth, {"footrest": "raise"})
        yield RemedyLine(feet, "raise the footrest. Leave the seat.", {"footrest": "raise"})
    else:
        yield RemedyLine(behind, f"{first} set the seat height again.", depth, {"seat": "set"})
        said = "set the seat again, to the height above. If that is not enough, add a footrest."
        yield RemedyLine(feet, said, {"seat": "set"}, {"footrest": "add"})
    if "armrests" in topics:
        said = "set the armrests again, so that they just touch your elbows. Then bring the "
        said += "keyboard and the mouse nearer."
        yield RemedyLine("Shoulders get tired", said, {"armrests": "set"})
    else:
        yield RemedyLine("Shoulders get tired", "bring the keyboard and the mouse nearer.")
    back, said = "Your back does not touch", "sit further back. If that is not enough,"
    if "lumbar" in topics:
        yield RemedyLine(back, f"{said} move the lumbar support.", {}, {"lumbar": "set"})
    else:
        yield RemedyLine(back, f"{said} put a small rolled towel in the curve above your belt.")
