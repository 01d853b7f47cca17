"""Agreed orders written for the system that ships: each whole, once, named by its reference."""

from __future__ import annotations

import csv
import json
from dataclasses import replace
from pathlib import Path

import pytest

from consult.call.call import Answer, Call
from consult.call.private import private_of
from consult.records.kept import versions_of
from consult.records.store import Store
from consult.summary.order import COLUMNS
from tests.commands.runs import Run
from tests.records.samples import NOW
from tests.ui.desk import demo, demo_basis


def stored(store: Store, call: Call, *, finished: bool = True) -> str:
    """A call in the records; its reference."""
    basis = demo_basis()
    opened = store.begin(call, versions_of(basis), "Ann", NOW)
    private = private_of(basis.tree)
    store.append(opened, call, consent=True, caller_name="Ada Fenwick", private=private, at=NOW)
    if finished:
        store.finish(opened, NOW)
    return opened.reference


def agreed(said: str) -> Call:
    """The first demo call, with another word on the chair."""
    call = demo("01").call
    answers = (Answer("agreed", said) if a.question == "agreed" else a for a in call.answers)
    return replace(call, answers=tuple(answers))


@pytest.fixture
def orders(tmp_path: Path) -> Path:
    folder = tmp_path / "orders"
    folder.mkdir()
    return folder


def test_each_order_once(run: Run, records: Store, orders: Path) -> None:
    """Also where the other system has taken the file away; a new call is written beside it."""
    first = stored(records, demo("01").call)
    stored(records, agreed("no chair for now"))
    stored(records, demo("01").call, finished=False)
    made = run("records", "orders", "--to", str(orders))
    assert (made.code, made.err) == (0, "")
    assert [file.name for file in orders.iterdir()] == [f"{first}.json"]
    (orders / f"{first}.json").unlink()
    assert "0 new orders." in run("records", "orders", "--to", str(orders)).out
    assert list(orders.iterdir()) == []
    second = stored(records, demo("01").call)
    run("records", "orders", "--to", str(orders))
    assert [file.name for file in orders.iterdir()] == [f"{second}.json"]


def test_what_an_order_says(run: Run, records: Store, orders: Path) -> None:
    """A version, every part on a line of its own, where it goes; nothing of the body or of why."""
    reference = stored(records, demo("01").call)
    run("records", "orders", "--to", str(orders))
    order = json.loads((orders / f"{reference}.json").read_text("utf-8"))
    assert (order["order_version"], order["order"], order["hold"]) == ("1", reference, False)
    assert order["total"] == pytest.approx(sum(line["price"] for line in order["lines"]))
    assert {"LIFT-HIGH", "REST-HIGH"} <= {line["code"] for line in order["lines"]}
    assert order["deliver_to"]["name"] == "Ada Fenwick"
    assert "14 Quay Street" in order["deliver_to"]["address"]
    text = json.dumps(order)
    assert not [word for word in ("stature", "157", "health", "fits", "agreed") if word in text]


def test_csv_has_a_line_for_each_part(run: Run, records: Store, orders: Path) -> None:
    """With the same columns always, and no cell that a spreadsheet would work out."""
    call = replace(
        demo("01").call,
        answers=(*demo("01").call.answers, Answer("delivery_address", "=HYPERLINK(1)\nRoom 2")),
    )
    reference = stored(records, call)
    run("records", "orders", "--to", str(orders), "--form", "csv")
    rows = list(csv.DictReader((orders / f"{reference}.csv").read_text("utf-8").splitlines()))
    assert tuple(rows[0]) == COLUMNS
    assert len(rows) >= 6
    assert {row["order"] for row in rows} == {reference}
    assert {row["quantity"] for row in rows} == {"1"}
    assert rows[0]["address"] == "'=HYPERLINK(1) Room 2"


def test_an_order_on_hold_waits(run: Run, records: Store, orders: Path) -> None:
    """A caller who was asked to see somebody first; the folder learns nothing of it."""
    held = stored(records, demo("13").call)
    made = run("records", "orders", "--to", str(orders))
    assert made.code == 0
    if f"Waiting: {held} (the adviser)" not in made.out:
        pytest.fail(f"nothing is on hold: {made.out}")
    assert list(orders.iterdir()) == []


def test_erasing_a_call_erases_its_order(run: Run, records: Store, orders: Path) -> None:
    """The file is a document of the call like any other."""
    reference = stored(records, demo("01").call)
    run("records", "orders", "--to", str(orders))
    assert run("records", "delete", reference, "--yes").code == 0
    assert list(orders.iterdir()) == []


@pytest.mark.usefixtures("records")
def test_a_folder_that_is_not_there(run: Run, tmp_path: Path) -> None:
    """It is told, and nothing is made."""
    made = run("records", "orders", "--to", str(tmp_path / "none"))
    assert made.code == 2
    assert "There is no folder" in made.err
