"""``consult records export --format chairs``: what was sold, for a spreadsheet of any country."""

from __future__ import annotations

import csv
import io
from dataclasses import replace
from pathlib import Path

import pytest

from consult.call.call import Answer
from consult.call.state import state
from consult.paths import demo_folder
from consult.records.erase import erase
from consult.records.store import Store
from tests.commands.conftest import records as records
from tests.commands.conftest import run as run
from tests.commands.runs import Run
from tests.ui.desk import NOON, demo, demo_basis
from tests.ui.test_follow_up import REFERENCE, keep


@pytest.mark.usefixtures("records")
@pytest.mark.parametrize(("decimal", "parted", "sign"), [("point", ",", "."), ("comma", ";", ",")])
def test_a_line_has_the_chair_its_codes_and_its_price(
    run: Run, tmp_path: Path, decimal: str, parted: str, sign: str
) -> None:
    """With the decimal sign that was asked for; what an order says, and nothing about health."""
    assert demo_folder().is_dir()
    call = demo("01").call
    call = replace(call, answers=(*call.answers, Answer("pieces", "2")))
    keep(tmp_path / "kept" / "records.db", call, demo_basis())
    out = tmp_path / "a.csv"
    words = ("export", "--format", "chairs", "--decimal", decimal, "--out", str(out))
    assert run("records", *words).code == 0
    (row,) = csv.DictReader(io.StringIO(out.read_text("utf-8-sig")), delimiter=parted)
    picked = state(demo_basis(), call).picked
    assert picked is not None
    assert (row["reference"], row["ordered"], row["pieces"]) == (REFERENCE, "yes", "2")
    for kind, part in picked.parts.items():
        assert (row[f"{kind}_code"], row[f"{kind}_name"]) == (part.code, part.name)
    assert row["price_each"] == f"{picked.price:.2f}".replace(".", sign)
    assert row["total"] == f"{picked.price * 2:.2f}".replace(".", sign)
    assert (row["currency"], row["vat"], row["model_code"]) == ("GBP", "included", "")


@pytest.mark.usefixtures("records")
def test_a_call_without_a_chair_has_its_line(run: Run, tmp_path: Path) -> None:
    """Its cells of the chair are empty."""
    keep(tmp_path / "kept" / "records.db", demo("04").call, demo_basis())
    out = tmp_path / "a.csv"
    assert run("records", "export", "--format", "chairs", "--out", str(out)).code == 0
    (row,) = csv.DictReader(io.StringIO(out.read_text("utf-8-sig")))
    assert (row["reference"], row["tree"]) == (REFERENCE, "seating")
    assert {row[name] for name in ("ordered", "seat_code", "total", "currency")} == {""}


def test_a_stopped_call_looks_like_any_without_a_chair(
    run: Run, records: Store, tmp_path: Path
) -> None:
    """Its line is that of a finished call that came to no chair: a stop tells of an illness."""
    found = []
    for number in (False, True):
        keep(tmp_path / "kept" / "records.db", demo("04").call, demo_basis())
        records.finish(records.take_over(REFERENCE, "Ann", NOON, anyway=True), NOON, stopped=number)
        out = tmp_path / f"{number}.csv"
        assert run("records", "export", "--format", "chairs", "--out", str(out)).code == 0
        found.append(out.read_bytes())
        erase(records, REFERENCE, NOON)
    assert found[0] == found[1]


@pytest.mark.usefixtures("records")
def test_answers_have_their_meaning(run: Run, tmp_path: Path) -> None:
    """The label of a choice, a length in the units of the call; nothing beside free text."""
    keep(tmp_path / "kept" / "records.db", demo("01").call, demo_basis())
    out = tmp_path / "a.csv"
    words = ("export", "--format", "csv", "--decimal", "comma", "--out", str(out))
    assert run("records", *words).code == 0
    rows = csv.DictReader(io.StringIO(out.read_text("utf-8-sig")), delimiter=";")
    told = {row["question"]: (row["said"], row["meaning"]) for row in rows}
    assert told["desk_kind"] == ("one height", "No, a desk or table of one height")
    assert told["desk_height"] == ("30 inches", "30 in")
    assert told["caller_name"] == ("Ada Fenwick", "")
