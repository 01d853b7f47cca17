"""Headrest, fabric and delivery: in the price and on the order, and never a reason for a chair."""

from __future__ import annotations

import csv
import io
import re
from dataclasses import replace

import pytest

from consult.call.basis import RANGE_FILE, Basis, load_basis
from consult.call.call import Answer
from consult.call.chair_lines import chair_line, price_line
from consult.call.state import State, state
from consult.content.prove.ways import pieces_to_appear
from consult.paths import shipped_trees
from consult.summary import Paper
from consult.summary.model import Summary, summarise
from consult.summary.order import order_csv, order_json, waits_for
from consult.summary.render import Writer
from tests.ui.desk import demo, demo_basis

FABRICS = """
fabrics:
  - {code: W-GREY, name: Grey wool, price: 0, lead_days: 0}
  - {code: W/BLUE, name: Blue wool, price: 40, lead_days: 60, group: B}
"""
HEADRESTS = """
headrests:
  - {code: H-1, name: Headrest, price: 58, lead_days: 5, fits_with: [BACK-FOLLOW]}
  - {code: H-2, name: Other, price: 58, lead_days: 5}
"""
HERE = """
deliveries:
  - {code: D-GB, name: Delivery in Britain, price: 25, country: GB, free_from: 5000}
"""
ABROAD = "  - {code: D-ALL, name: Delivery abroad, price: 80}\n"


def basis_with(more: str) -> Basis:
    """The shipped trees with more in the price list."""
    trees = shipped_trees()
    file = trees / RANGE_FILE
    texts = {file: file.read_text("utf-8") + more}
    basis, problems = load_basis(trees / "seating.yaml", texts=texts)
    assert basis is not None, problems
    return basis


def called(basis: Basis, *said: tuple[str, str]) -> State:
    """The first demo call with more answers."""
    call = demo("01").call
    told = {name for name, _ in said}
    answers = [one for one in call.answers if one.question not in told]
    return state(basis, replace(call, answers=(*answers, *(Answer(*one) for one in said))))


def ordered(basis: Basis, now: State) -> Summary:
    return summarise(basis, now, reader="order", reference="7K3-M2Q", adviser="Ann")


def written(basis: Basis, now: State, paper: Paper) -> str:
    return Writer(basis, now, None, "7K3-M2Q", "Ann").write("text", paper).decode()


def test_who_lists_none_is_not_asked() -> None:
    """The demonstration lists none of them, and says nothing of delivery."""
    now = called(demo_basis())
    assert not {"fabric", "headrest_wanted"} & {step.question.name for step in now.steps}
    # Nor does a proof ask for somebody who is.
    assert "fabric" not in {one.name for one in pieces_to_appear(demo_basis().tree)}
    assert "fabric" in {one.name for one in pieces_to_appear(basis_with(FABRICS).tree)}
    order = order_json(ordered(demo_basis(), now))
    assert (order["delivery_open"], order["fabric_open"]) == (False, False)
    assert "deliver" not in price_line(now, demo_basis().range).lower()


def test_a_fabric_is_asked_for_and_changes_no_chair() -> None:
    """It adds its price and its code to the order, and its days to when it can be sent."""
    plain, basis = called(demo_basis()), basis_with(FABRICS)
    asked = basis.tree.questions["fabric"]
    assert list(asked.choices.values())[:2] == [
        "Grey wool (W-GREY)",
        "Blue wool (W/BLUE), GBP 40.00 more",
    ]
    waiting = called(basis)
    assert waiting.current is not None
    assert waiting.current.name == "fabric"
    assert order_json(ordered(basis, waiting))["fabric_open"]
    open_ = ordered(basis, called(basis, ("fabric", "not decided")))
    assert waits_for(open_) == "a fabric"
    now = called(basis, ("fabric", "blue wool"))
    assert now.picked is not None
    assert plain.picked is not None
    assert {k: p for k, p in now.picked.parts.items() if k != "fabric"} == plain.picked.parts
    assert (now.picked.price, now.picked.lead_days) == (plain.picked.price + 40, 60)
    order = order_json(ordered(basis, now))
    assert order["lines"][-1] == {
        **{"quantity": 1, "code": "W/BLUE", "name": "Blue wool", "kind": "fabric", "price": 40}
    }
    assert (order["total"], order["fabric_open"]) == (now.picked.price, False)
    assert waits_for(ordered(basis, now)) == ""


def test_a_headrest_that_does_not_go_with_the_back_is_not_sold() -> None:
    """The adviser reads why; it is not on the order and not in the price."""
    basis = basis_with(HEADRESTS)
    other = called(basis, ("headrest_wanted", "other"))
    now = called(basis, ("headrest_wanted", "headrest (h-1)"))
    assert now.picked is not None
    assert other.picked is not None
    assert other.picked.parts["headrest"].code == "H-2"
    assert "headrest" not in now.picked.parts
    assert now.picked.price == other.picked.price - 58
    told = [one.say.text("metric") for one in now.picked.shortfalls if one.part_kind == "headrest"]
    assert told == [f"Headrest does not go with {now.picked.parts['back'].name}. Offer another."]


@pytest.mark.parametrize(
    ("country", "fee"), [("United Kingdom", 25), ("Ireland", 80), ("Another country", 80)]
)
def test_delivery_is_never_hidden(country: str, fee: float) -> None:
    """The price on the call screen has it; so do order and documents."""
    basis = basis_with(HERE + ABROAD)
    now = called(basis, ("delivery_country", country))
    assert now.picked is not None
    total = f"GBP {now.picked.price + fee:.2f}"
    assert f"{total} delivered" in chair_line(now, basis.range, 200)
    assert f"|GBP {now.picked.price + fee:.0f}|" in chair_line(now, basis.range, 40)
    assert f"Together {total}." in price_line(now, basis.range)
    made = ordered(basis, now)
    order = order_json(made)
    assert (order["lines"][-1]["kind"], order["lines"][-1]["price"]) == ("delivery", fee)
    assert order["total"] == now.picked.price + fee
    assert sum(one["price"] for one in order["lines"]) == pytest.approx(order["total"])
    text = written(basis, now, "order")
    assert ("D-GB" if fee == 25 else "D-ALL") in text
    assert f"{now.picked.price + fee:,.2f}" in text


def test_delivery_is_free_from_an_amount_and_may_be_unknown() -> None:
    """Where no entry is for a country it is said to come on top."""
    basis = basis_with(HERE.replace("5000", "1"))
    now = called(basis, ("delivery_country", "United Kingdom"))
    assert now.picked is not None
    assert "Delivery in Britain: no charge." in price_line(now, basis.range)
    assert order_json(ordered(basis, now))["total"] == now.picked.price
    abroad = called(basis, ("delivery_country", "Ireland"))
    assert re.search(r"GBP [\d,.]+ \+ delivery", chair_line(abroad, basis.range, 200))
    assert re.search(r"\|GBP [\d,]+\+\|", chair_line(abroad, basis.range, 40))
    order = order_json(ordered(basis, abroad))
    assert order["delivery_open"]
    assert all(one["kind"] != "delivery" for one in order["lines"])


def test_a_guarantee_stands_in_the_summary() -> None:
    """Of each part that has one, as the maker words it."""
    basis = basis_with(FABRICS.replace("lead_days: 60", "lead_days: 60, guarantee: 5 years"))
    assert "Guarantee" not in written(basis, called(basis, ("fabric", "grey")), "caller")
    assert "Guarantee, Blue wool: 5 years." in written(
        basis, called(basis, ("fabric", "blue")), "caller"
    )


def test_an_order_lists_every_code_that_has_to_be_sent() -> None:
    """A right arm beside the left; of a fixed model its one code, and not the parts in it."""
    plain = called(demo_basis()).picked
    assert plain is not None
    basis = demo_basis()
    assert basis.range is not None
    arms = tuple(replace(one, also=(f"{one.code}-R",)) for one in basis.range.parts["arms"])
    basis = replace(basis, range=replace(basis.range, parts={**basis.range.parts, "arms": arms}))
    made = ordered(basis, called(basis))
    rows = list(csv.DictReader(io.StringIO(order_csv(made))))
    code = plain.parts["arms"].code
    assert [(row["code"], row["price"]) for row in rows if row["kind"] == "arms"] == [
        (code, f"{plain.parts['arms'].price:.2f}"),
        (f"{code}-R", "0.00"),
    ]
    chair = [part for kind, part in plain.parts.items() if kind not in ("footrest", "desk_raiser")]
    parts = f"[{', '.join(one.code for one in chair)}]"
    fixed = f"{{code: BASIC, name: Basic, price: 5, lead_days: 1, parts: {parts}}}"
    basis = basis_with(f"\nmodels:\n  - {fixed}\n")
    made = ordered(basis, called(basis))
    codes = [one["code"] for one in order_json(made)["lines"]]
    assert codes == ["BASIC", *(p.code for p in plain.parts.values() if p not in chair)]
    assert made.specification is not None
    assert {one.within for one in made.specification.parts} == {"", "BASIC"}
    assert "in BASIC" in written(basis, called(basis), "caller")


def test_a_foot_ring_is_offered_where_the_feet_do_not_reach_the_floor() -> None:
    """It is on the order with its code, beside the footrest; elsewhere nobody is asked."""
    basis = basis_with("foot_rings:\n  - {code: FR/1, name: Foot ring, price: 49, lead_days: 5}\n")
    high = called(basis)
    assert high.fit is not None
    assert high.fit.quantities["footrest_needed"] is True
    assert high.current is not None
    assert high.current.name == "foot_ring_wanted"
    now = called(basis, ("foot_ring_wanted", "foot ring"))
    plain = called(demo_basis())
    assert now.picked is not None
    assert plain.picked is not None
    assert now.picked.price == plain.picked.price + 49
    codes = [one["code"] for one in order_json(ordered(basis, now))["lines"]]
    assert {"FR/1", "REST-HIGH"} <= set(codes)
    level = called(basis, ("desk_kind", "up and down"))
    assert level.fit is not None
    assert not level.fit.quantities.get("footrest_needed")
    assert level.step("foot_ring_wanted") is None
