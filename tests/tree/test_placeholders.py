"""Blanks of texts that are the same for everybody."""

from __future__ import annotations

import pytest

from consult.tree.placeholders import blanks, fill, in_units, names_in, sum_of
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


@pytest.mark.parametrize(
    ("blank", "worth"),
    [
        ("a.b + c", 110.0),
        ("a.b - c", 90.0),
        ("c * 2 + a.b / 4 - 1 cm", 35.0),
        ("a.b + 2.5 cm", 125.0),
        ("a.b + c to 5 cm", 100.0),
        ("a.b + 3 kg", 103.0),
        ("a.b / 0", 0.0),
    ],
)
def test_sums(blank: str, worth: float) -> None:
    """Added up in mm or kg, rounded to what it says; nothing where a part is not known."""
    found = sum_of(blank)
    assert found is not None
    known: dict[str, float | None] = {"a.b": 100.0, "c": 10.0}
    assert found.of(lambda name: known[name]) == worth
    assert found.of(lambda _: None) is None
    assert fill(f"At <{blank}>.", lambda name: name.upper()) == f"At {blank.upper()}."
    assert set(names_in(f"<{blank}>")) <= {"a.b", "c"}


@pytest.mark.parametrize("blank", ["a.b", "a+b", "a.b + ", "a.b ** 2", "a.b + c.d.e", "45 mm + a"])
def test_what_is_no_sum(blank: str) -> None:
    """A name alone, and what is not written as a sum is, so that the check names it."""
    assert sum_of(blank) is None
