"""Several of one chair: their price, their order, and what a team reads."""

from __future__ import annotations

import csv
import io
from dataclasses import replace
from datetime import date, timedelta

import pytest

from consult.call.basis import RANGE_FILE, Basis, load_basis
from consult.call.call import Answer, Call
from consult.call.chair_lines import arrives, chair_line, price_line, ready_line, too_late
from consult.call.state import state
from consult.paths import shipped_trees
from consult.scale import working_day
from consult.summary import Paper
from consult.summary.closing import closing
from consult.summary.order import order_csv, order_json
from consult.summary.templates import long_date
from consult.ui.words import chair_panel_lines
from tests.call.test_options import HERE, called, ordered, written


def basis_with(prices: str, more: str = "", tree: str = "seating") -> Basis:
    """The shipped trees with quantity prices of every seat."""
    trees = shipped_trees()
    file = trees / RANGE_FILE
    text = file.read_text("utf-8").replace("    width: ", f"    {prices}\n    width: ") + more
    basis, problems = load_basis(trees / f"{tree}.yaml", texts={file: text})
    assert basis is not None, problems
    return basis


PRICES = "quantity_prices: [3 at 100, 10 at 80.50]"


@pytest.mark.parametrize(("pieces", "seat"), [("2", None), ("3", 100), ("9", 100), ("10", 80.5)])
def test_lines_totals_and_screen_have_the_price_for_so_many(
    pieces: str, seat: float | None
) -> None:
    """One price each from so many on; the total is quantity times price, and delivery once."""
    basis = basis_with(PRICES, HERE)
    one = called(basis, ("delivery_country", "United Kingdom"))
    now = called(basis, ("pieces", pieces), ("delivery_country", "United Kingdom"))
    assert now.picked is not None
    assert one.picked is not None
    least = one.picked.parts["seat"].price
    expected = one.picked.price - least + (seat if seat is not None else least)
    assert now.picked.price == pytest.approx(expected)
    made = ordered(basis, now)
    order = order_json(made)
    assert {line["quantity"] for line in order["lines"][:-1]} == {int(pieces)}
    assert (order["lines"][-1]["kind"], order["lines"][-1]["quantity"]) == ("delivery", 1)
    total = sum(line["quantity"] * line["price"] for line in order["lines"])
    assert order["total"] == pytest.approx(total)
    rows = list(csv.DictReader(io.StringIO(order_csv(made))))
    assert [row["quantity"] for row in rows] == [str(one["quantity"]) for one in order["lines"]]
    assert f"{total:,.2f}" in written(basis, now, "order")
    assert f"{total:,.2f} for {pieces} delivered" in chair_line(now, basis.range, 200)
    assert f"{pieces} of it: GBP" in price_line(now, basis.range)
    read_back = " ".join(closing(basis, now, made, "metric")["Read back"])
    assert f"{pieces} of it, GBP {now.picked.price:,.2f} each." in read_back


@pytest.mark.parametrize(
    ("pieces", "back"), [(None, "BACK-MID"), ("2", "BACK-MID"), ("3", "BACK-HIGH")]
)
def test_the_chair_is_chosen_by_the_price_for_so_many(pieces: str | None, back: str) -> None:
    """Of chairs that fit as well the one that costs least in that number is chosen, ordered and
    told; what the other would cost more is told in the same prices."""
    trees = shipped_trees()
    file = trees / RANGE_FILE
    dear = "    price: 132\n"
    text = file.read_text("utf-8").replace(dear, f"{dear}    quantity_prices: [3 at 60]\n")
    basis, problems = load_basis(trees / "seating.yaml", texts={file: text})
    assert basis is not None, problems
    now = called(basis, *([("pieces", pieces)] if pieces else []))
    assert now.picked is not None
    assert now.chosen is not None
    best = now.chosen.choice.best
    assert best is not None
    assert now.picked.parts["back"].code == best.parts["back"].code == back
    assert now.picked.price == pytest.approx(best.price)
    lines = order_json(ordered(basis, now))["lines"]
    assert sum(line["price"] for line in lines) == pytest.approx(best.price)
    assert [line["code"] for line in lines if line["code"].startswith("BACK")] == [back]
    assert f"GBP {best.price:,.2f} for the chair" in price_line(now, basis.range)
    tied = {one.parts["back"].code: one.price for one in reversed(now.chosen.choice.ranked)}
    other = "BACK-MID" if back == "BACK-HIGH" else "BACK-HIGH"
    assert tied[other] - best.price == pytest.approx(36.0)


def test_delivery_is_free_for_many_where_it_is_not_for_one() -> None:
    """What counts is what the chairs cost together."""
    basis = basis_with(PRICES, HERE.replace("5000", "2000"))
    said = ("delivery_country", "United Kingdom")
    assert order_json(ordered(basis, called(basis, said)))["lines"][-1]["price"] == 25
    many = order_json(ordered(basis, called(basis, said, ("pieces", "9"))))
    assert many["lines"][-1]["price"] == 0


def test_one_is_never_asked_for() -> None:
    """Nobody is asked how many; a line of the order says one."""
    basis = basis_with(PRICES)
    now = called(basis)
    assert now.step("pieces") is None
    assert {line["quantity"] for line in order_json(ordered(basis, now))["lines"]} == {1}


def test_a_team_reads_what_so_many_cost() -> None:
    """On the call screen, once the number of people is known and where something costs less."""
    basis = basis_with(PRICES, tree="team_order")
    for people, shown in (("2", False), ("12", True)):
        call = Call(date(2026, 11, 29), "metric", "GB", (Answer("team_size", people),))
        now = state(basis, call)
        assert bool(chair_line(now, basis.range, 80)) is shown
        assert ("GBP 80.50 instead of GBP" in price_line(now, basis.range)) is shown


def test_a_chair_that_comes_too_late_is_told() -> None:
    """To the adviser, the caller and the order team; not where it comes in time."""
    basis = basis_with(PRICES)
    slow = replace_leads(basis, 30)
    late = called(slow, ("needed_by", "two weeks"))
    ready = working_day(late.call.today, 30)
    assert ready > late.call.today + timedelta(days=14)
    said = too_late(late)
    assert f"{ready:%A} {ready.day} {ready:%B}" in said
    assert said in ready_line(late)
    assert f"! {said}" in chair_panel_lines(late).plain
    made = ordered(slow, late)
    assert order_json(made)["late"] is True
    assert next(csv.DictReader(io.StringIO(order_csv(made))))["late"] == "yes"
    papers: tuple[Paper, ...] = ("caller", "order")
    for paper in papers:
        assert said in " ".join(written(slow, late, paper).replace("!! ", "").split())
    assert said not in " ".join(written(slow, late, "employer").split())
    for answer in ("no hurry", "a month"):
        in_time = called(replace_leads(basis, 5), ("needed_by", answer))
        assert too_late(in_time) == ""
        assert order_json(ordered(basis, in_time))["late"] is False


def replace_leads(basis: Basis, days: int) -> Basis:
    """The same with so many working days for every part."""
    assert basis.range is not None
    parts = {
        kind: tuple(replace(one, lead_days=days) for one in of)
        for kind, of in basis.range.parts.items()
    }
    return replace(basis, range=replace(basis.range, parts=parts))


def test_days_on_the_way_make_the_day_of_arrival() -> None:
    """Working days after the day it can be sent; nothing where the price list does not say."""
    said = ("delivery_country", "United Kingdom")
    plain = called(basis_with(PRICES, HERE), said)
    basis = basis_with(PRICES, HERE.replace("price: 25", "price: 25, lead_days: 3"))
    now = called(basis, said, ("needed_by", "two weeks"))
    assert now.picked is not None
    there = working_day(working_day(now.call.today, now.picked.lead_days), 3)
    assert arrives(plain) is None
    assert arrives(now) == there
    assert f"It arrives about {there:%A} {there.day} {there:%B}." in ready_line(now)
    order = order_json(ordered(basis, now))
    assert order["arrives"] == there.isoformat()
    assert f"Arrives about {long_date(there)}" in " ".join(written(basis, now, "order").split())
    assert f"arrives about {long_date(there)}" in " ".join(written(basis, now, "caller").split())
    slow = basis_with(PRICES, HERE.replace("price: 25", "price: 25, lead_days: 30"))
    assert "can't arrive before" in too_late(called(slow, said, ("needed_by", "two weeks")))
    assert too_late(called(basis, said, ("needed_by", "a month"))) == ""
    assert "can't arrive before" in too_late(now)
    assert "can't" not in too_late(called(basis_with(PRICES), said, ("needed_by", "two weeks")))
