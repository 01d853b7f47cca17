"""Blanks of texts that are the same for everybody."""

from __future__ import annotations

import pytest

from consult.tree.placeholders import blanks, fill, in_units
from consult.units import System

SAID = "Between <11 cm> and <fit.seat_height>, for <110 kg>, not <x cm> or < 4 cm>."


@pytest.mark.parametrize(
    ("system", "written"),
    [
        ("metric", "Between 11 cm and <fit.seat_height>, for 110 kg, "),
        ("imperial", "Between 4¼ in and <fit.seat_height>, for 17 st 5 lb, "),
        ("both", "Between 11 cm (4¼ in) and <fit.seat_height>, for 110 kg (17 st 5 lb), "),
    ],
)
def test_in_the_units_of_the_reader(system: System, written: str) -> None:
    """A length or a mass is written in the reader's units; everything else stays as it is."""
    assert in_units(SAID, system) == f"{written}not <x cm> or < 4 cm>."


def test_no_name_is_looked_for() -> None:
    """An amount is not taken for the name of an answer; a misspelt one is, and so is refused."""
    assert [name for name, _ in blanks(SAID)] == ["fit.seat_height", "x cm"]
    assert [name for name, _ in blanks("<45cm> <45 inches>")] == ["45cm", "45 inches"]
    assert fill("<45 cm> deep", lambda name: name) == "<45 cm> deep"
