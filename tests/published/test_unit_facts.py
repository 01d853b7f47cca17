"""Unit facts that anybody can look up, against what the program computes."""

from __future__ import annotations

import pytest

from consult.units import format_mass, from_unit, parse_length, parse_mass, to_unit


@pytest.mark.parametrize(
    ("unit", "size"),
    [
        # The international yard and pound agreement of 1959 fixes all four (from memory).
        ("in", 25.4),  # mm
        ("ft", 304.8),  # mm
        ("lb", 0.45359237),  # kg
        ("st", 6.35029318),  # kg
    ],
)
def test_old_units_have_their_exact_size(unit: str, size: float) -> None:
    """An inch, foot, pound and stone are exactly as long or heavy as defined."""
    assert from_unit(1, unit) == size


def test_a_foot_is_12_inches_and_a_stone_14_pounds() -> None:
    """The old units divide so by definition (from memory)."""
    assert to_unit(from_unit(1, "ft"), "in") == pytest.approx(12, abs=1e-12)
    assert to_unit(from_unit(1, "st"), "lb") == pytest.approx(14, abs=1e-12)


def test_5_ft_8_in_millimetres() -> None:
    """5 ft 8 in is 1727.2 mm, by arithmetic."""
    assert parse_length("5 ft 8 in").value == pytest.approx(1727.2, abs=1e-9)


def test_13_st_7_in_kilograms() -> None:
    """13 st 7 lb is 85.72895793 kg, by arithmetic."""
    assert parse_mass("13 st 7 lb").value == pytest.approx(85.72895793, abs=1e-9)


def test_110_kg_in_old_units() -> None:
    """110 kg, the EN 1335 design user, is 242.5 lb or 17 st 4.5 lb, by arithmetic."""
    pounds = to_unit(110, "lb")
    assert pounds == pytest.approx(242.5, abs=0.05)
    assert pounds - 17 * 14 == pytest.approx(4.5, abs=0.05)
    assert parse_mass("17 st 4.5 lb").value == pytest.approx(110, abs=0.03)
    assert format_mass(110, "imperial") in ("17 st 4 lb", "17 st 5 lb")


@pytest.mark.parametrize(
    ("pounds", "kilograms"),
    [
        (253, 114.8),  # ANSI/BIFMA X5.1-2011 abstract
        (275, 124.7),  # ANSI/BIFMA X5.1-2017; its abstract rounds to 125 kg
        (400, 181.4),  # ANSI/BIFMA X5.11-2015, abstract
    ],
)
def test_published_chair_ratings_agree_in_both_units(pounds: int, kilograms: float) -> None:
    """A rating printed in pounds and kilograms is one mass."""
    assert parse_mass(f"{pounds} lb").value == pytest.approx(kilograms, abs=0.05)


def test_22_inch_seat_width() -> None:
    """22 in is printed as 560 mm (ANSI/BIFMA X5.11-2015, abstract): rounded to the nearest 10."""
    assert round(parse_length("22 in").value, -1) == 560
