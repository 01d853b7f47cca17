"""The side view in words, for those who cannot see it."""

from __future__ import annotations

from collections.abc import Iterator, Set
from typing import TYPE_CHECKING

from consult.units import format_length

if TYPE_CHECKING:
    from consult.picture.model import Scene
    from consult.units import System

COMPARED = ("seat height", "armrest above seat", "seat depth", "desk top", "footrest height")
"""Dimensions that two pictures beside each other are compared by, in this order."""


def description(scene: Scene, system: System) -> str:
    """All the numbers of the picture and what does not suit, in sentences."""
    lengths = {one.name: format_length(one.mm, system) for one in scene.dimensions}
    return " ".join(_sentences(scene, lengths, system))


def pair_description(before: Scene, after: Scene, system: System, unknown: Set[str]) -> str:
    """What is known of today, then everything as it is advised."""
    known = [
        f"{one.name} {format_length(one.mm, system)}"
        for one in before.dimensions
        if one.name in COMPARED and one.name not in unknown
    ]
    missing = sorted(unknown, key=COMPARED.index)
    said = f"Two pictures. Now: {', '.join([*known, *(f'{one} not known' for one in missing)])}."
    wrong = " ".join(one.text.text(system) for one in before.problems)
    told = f"{said} {wrong}".rstrip()
    return f"{told} Set up as advised: {description(after, system)}"


def _sentences(scene: Scene, lengths: dict[str, str], system: System) -> Iterator[str]:
    seat = f"The seat is {lengths['seat height']} above the floor and {lengths['seat depth']} deep"
    yield (
        f"A person on the chair at the desk, from the side, to scale. {seat}, with a gap of"
        f" {lengths['knee gap']} between its front edge and the back of the knee."
    )
    arms = lengths.get("armrest above seat")
    yield f"The armrests stand {arms} above the seat." if arms else "The chair has no armrests."
    rest = lengths.get("footrest height")
    desk = "The desk top is" if scene.table.stands else "A desk that would suit has its top"
    feet = f"; the feet are on a footrest {rest} high" if rest else ""
    yield f"{desk} {lengths['desk top']} above the floor{feet}."
    screen = lengths.get("screen top")
    eyes = f"The eyes are {lengths['eye height']} above the floor"
    yield f"{eyes}, the top of the screen {screen}." if screen else f"{eyes}."
    for problem in scene.problems:
        yield f"{problem.mark}: {problem.text.text(system)}"
