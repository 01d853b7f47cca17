"""Cells of a price list, as spreadsheets of several countries write them."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from consult.content.price_list import columns
from consult.content.price_list.columns import UnreadableCellError
from consult.scale import IN_KG
from tests.long import every_case

# -- cells of a price list, as spreadsheets of several countries write them -----------------------


@every_case(
    [
        ("12,5", 12.5),
        ("12.5", 12.5),
        ("1.012,00", 1012.0),
        ("1,012.00", 1012.0),
        ("1'012.50", 1012.5),
        ("1 012,50", 1012.5),
        ("-12", -12.0),
        ("0,125", 0.125),
        ("1250", 1250.0),
        ("1.234.567", 1234567.0),
    ]
)
def test_numbers(cell: str, value: float) -> None:
    """Decimal commas, decimal points, groups of thousands."""
    assert columns.read_number(cell) == value


@pytest.mark.parametrize("cell", ["1,250", "1.250", "17o", "", "1,2,3.4.5", "."])
def test_what_may_be_two_numbers_is_given_back(cell: str) -> None:
    """Or none: nothing is guessed of a price."""
    with pytest.raises(UnreadableCellError) as told:
        columns.read_number(cell)
    assert told.value.fix


@given(st.decimals(0, 99999, places=2), st.sampled_from(".,"))
def test_a_number_written_with_two_places_is_that_number(value: object, mark: str) -> None:
    """Whatever parts its decimals."""
    assert columns.read_number(str(value).replace(".", mark)) == float(str(value))


@pytest.mark.parametrize(
    ("cell", "value"),
    [
        ("360-420", (360, 420)),
        ("360–420", (360, 420)),
        ("360 to 420", (360, 420)),
        ("36-42 cm", (360, 420)),
        ("36 cm - 420 mm", (360, 420)),
        ("36,5-45,5 cm", (365, 455)),
        ("14-16.5 in", (355.6, 419.1)),
        ("430", (430, 430)),
    ],
)
def test_spans(cell: str, value: tuple[float, float]) -> None:
    """In any unit, with a hyphen, a dash or to; one number does not adjust."""
    assert columns.read_span(cell, "mm") == value


@every_case(
    [
        (lambda c: columns.read_span(c, "mm"), "420-360", "backwards"),
        (lambda c: columns.read_span(c, "mm"), "36-42 kg", "no unit"),
        (lambda c: columns.read_amount(c, "kg", IN_KG), "130 cm", "no unit"),
        (lambda c: columns.read_money(c, "EUR"), "£ 12", "in GBP, but the list is in EUR"),
        (lambda c: columns.read_money(c, "EUR"), "12 USD", "in USD"),
        (lambda c: columns.read_days(c), "2,5", "whole number"),
        (lambda c: columns.read_flag(c), "perhaps", "neither yes nor no"),
        (lambda c: columns.read_degrees(c), "steep", "not a number"),
        (lambda c: columns.quantity_prices(c, "EUR"), "5 165", "no price from so many"),
        (lambda c: columns.quantity_prices(c, "EUR"), "5: £165", "in GBP"),
    ]
)
def test_mistakes(read: object, cell: str, says: str) -> None:
    """Each in words, with what would be right."""
    with pytest.raises(UnreadableCellError, match=says) as told:
        read(cell)  # type: ignore[operator]
    assert told.value.fix


def test_the_rest() -> None:
    """Money with its sign, weights, days, lists."""
    assert columns.read_money("€ 189,50", "EUR") == 189.5
    assert columns.read_money("189,-", "EUR") == 189
    assert columns.read_money("$12", "CAD") == 12
    assert columns.read_amount("20 st", "kg", IN_KG) == 127.0
    assert columns.read_days("5 working days") == 5
    assert columns.read_list("A/1 + B, C | D") == ["A/1", "B", "C", "D"]
    assert (columns.read_flag("x"), columns.read_flag("No")) == (True, False)


@pytest.mark.parametrize(
    "cell", ["2027-03-31", "31.3.2027", "31.03.2027", "31/03/2027", "03/31/2027"]
)
def test_days(cell: str) -> None:
    """The year in full; which is the month is never guessed."""
    assert columns.read_day(cell) == date(2027, 3, 31)


@pytest.mark.parametrize("cell", ["03/04/2027", "31.2.2027", "31/3/27", "end of March", "2027"])
def test_what_may_be_another_day_is_given_back(cell: str) -> None:
    """With what would be right."""
    with pytest.raises(UnreadableCellError) as told:
        columns.read_day(cell)
    assert told.value.fix.startswith("Write 2027-")


@pytest.mark.parametrize(
    ("cell", "value"),
    [
        ("0-20", (0, 20)),
        ("-4 to 12", (-4, 12)),
        ("20", (0, 20)),
        ("-3", (-3, 0)),
        ("0 – 20°", (0, 20)),
        ("−2,5..8 degrees", (-2.5, 8)),
    ],
)
def test_degrees(cell: str, value: tuple[float, float]) -> None:
    """Forwards below zero; one number is from level on."""
    assert columns.read_degrees(cell) == value


def test_quantity_prices() -> None:
    """With decimal commas, however the pieces are told from the price."""
    expected = [(5, 165.0), (20, 149.5)]
    for cell in ("5: 165,00 + 20: 149,50", "from 5 at € 165; 20 pieces = 149.50", "5@165|20@149,5"):
        assert columns.quantity_prices(cell, "EUR") == expected
