"""What to try where a set-up feels wrong: the same order and direction as its steps.

Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from consult.summary.lines import RemedyLine

if TYPE_CHECKING:
    from consult.summary.lines import SetupStep


def remedies(steps: Sequence[SetupStep], *, kept_up: bool = False) -> tuple[RemedyLine, ...]:
    """One line a complaint; none without steps.

    With a footrest the seat keeps its height, which the desk or the lift calls for: the footrest
    gives way. Without one the seat goes back to its figure: whether it may be lower than that is
    not for a card to say. Nobody is told to set what the chair does not have.

    ``kept_up``: told not to sit low, after an operation; then no footrest lifts the knees.
    """
    spare = any(step.topic == "footrest" and not step.moves for step in steps)
    topics = {step.topic for step in steps if step.moves}
    return tuple(_lines(topics, spare, kept_up)) if steps else ()


def _lines(topics: set[str], spare: bool, kept_up: bool) -> Iterator[RemedyLine]:
    """``topics``: the steps that set something; parts without a setting have none.

    ``spare``: a footrest comes with the chair, to be used where the feet need it.
    """
    behind, feet = "Pressure behind the knee", "Feet not flat"
    first = "set the seat depth again, with two to four fingers free. If it still presses,"
    depth = {"seat_depth": "set"}
    if "footrest" in topics:
        then = "ring us" if kept_up else "raise the footrest"
        may = {} if kept_up else {"footrest": "raise"}
        yield RemedyLine(behind, f"{first} {then}.", depth, may)
        limit = ", but never so that your knees are higher than your hips" if kept_up else ""
        said = f"raise the footrest{limit}. Leave the seat."
        yield RemedyLine(feet, said, {"footrest": "raise"})
    else:
        yield RemedyLine(behind, f"{first} set the seat height again.", depth, {"seat": "set"})
        rest = "use the footrest" if spare else "add a footrest"
        said = f"set the seat again, to the height above. If that is not enough, {rest}."
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
