"""Papers from the command line: of a call file, of several, and of a kept call."""

from __future__ import annotations

import csv
import json
from dataclasses import replace
from itertools import product
from pathlib import Path

import pytest

from consult.call.call import Answer, Call, private_of
from consult.paths import demo_folder
from consult.records.kept import versions_of
from consult.records.store import Store, open_store
from consult.summary import FORMS, PAPERS
from consult.summary.order import ORDER_COLUMNS
from tests.commands.runs import Run
from tests.long import LONG
from tests.records.samples import NOW
from tests.ui.desk import demo, demo_basis

DEMO = str(next(demo_folder().glob("01*.yaml")))


PAIRS = [(form, paper) for form in FORMS for paper in PAPERS]
REFUSED = [pair for pair in PAIRS if pair in product(("png", "ics"), ("employer", "order"))]
OF = ("caller", "employer", "order", "card", "order", "file", "caller", "file")
EACH = list(zip(FORMS, OF, strict=True))
"""Every form and every paper; all pairs are written below the commands."""


@pytest.mark.parametrize(("form", "paper"), PAIRS if LONG else dict.fromkeys([*EACH, *REFUSED]))
def test_every_form_and_every_paper(run: Run, tmp_path: Path, form: str, paper: str) -> None:
    """Each is written where it says, as what it is."""
    out = tmp_path / "paper"
    if form in ("png", "ics") and paper in ("employer", "order"):
        made = run("replay", DEMO, "--summary", form, "--for", paper, "--out", str(out))
        assert made.code == 2
        assert ("not for" if form == "png" else "no day for") in made.err
        assert not out.exists()
        return
    made = run("replay", DEMO, "--summary", form, "--for", paper, "--out", str(out))
    assert (made.code, made.err) == (0, "")
    begins = {"pdf": b"%PDF-", "html": b"<!DOCTYPE html>", "json": b"{", "eml": b"X-Unsent"}
    begins |= {"png": b"\x89PNG", "ics": b"BEGIN:VCALENDAR"}
    written = out.read_bytes()
    assert begins.get(form, b"") in written[:400]
    if form in ("text", "md", "html"):
        assert ("Ada Fenwick" in written.decode()) is True


def test_several_go_into_a_folder(run: Run, tmp_path: Path) -> None:
    """A file each, named after the call and the paper; one file for several is refused."""
    files = [str(path) for path in sorted(demo_folder().glob("0[1-3]*.yaml"))]
    folder = f"{tmp_path / 'papers'}/"
    (tmp_path / "papers").mkdir()
    assert run("replay", *files, "--summary", "text", "--for", "order", "--out", folder).code == 0
    names = sorted(path.name for path in (tmp_path / "papers").iterdir())
    assert names == [f"{Path(file).stem}-order.txt" for file in files]
    made = run("replay", *files, "--summary", "text", "--out", str(tmp_path / "one.txt"))
    assert made.code == 2
    assert "folder" in made.err


def kept(place: Path, call: Call) -> str:
    """Records with one call in them; its reference."""
    store, basis = open_store(place), demo_basis()
    opened = store.begin(call, versions_of(basis), "Ann", NOW)
    store.append(
        opened,
        call,
        consent=True,
        caller_name="Ada Fenwick",
        private=private_of(basis.tree),
        at=NOW,
    )
    store.close()
    return opened.reference


def test_of_a_kept_call(run: Run, tmp_path: Path) -> None:
    """The same paper as of the call file, with its reference; the file stands with the call."""
    place = tmp_path / "r.db"
    reference = kept(place, demo("01").call)
    out = tmp_path / "order.json"
    made = run(
        *("records", "--records", str(place), "document", reference),
        *("--form", "json", "--for", "order", "--out", str(out)),
    )
    assert (made.code, made.err) == (0, "")
    told = json.loads(out.read_text("utf-8"))
    assert told["call"]["reference"] == reference
    assert told["call"]["adviser"] == "Ann"
    assert told["answers"] == []
    store = open_store(place)
    assert store.read(reference).summaries == (str(out),)
    store.close()


def test_of_a_call_that_is_not_kept(run: Run, tmp_path: Path) -> None:
    """Is a sentence and exit code 2."""
    place = tmp_path / "r.db"
    kept(place, demo("01").call)
    made = run("records", "--records", str(place), "document", "ZZZ-ZZZ")
    assert made.code == 2
    assert "ZZZ-ZZZ" in made.err


# -- test records orders --------------------------------------------------------------------------
# Agreed orders written for the system that ships: each whole, once, named by its reference.


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
    assert tuple(rows[0]) == ORDER_COLUMNS
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
