"""The page of stable formats says exactly what is written: each field, and each version."""

from __future__ import annotations

import csv
import io
import json
import re
from collections.abc import Iterator
from datetime import datetime
from functools import cache
from pathlib import Path
from typing import Any, get_args

import pytest
import yaml

from consult.call import fit_json, transcript
from consult.call.call import Answer, Call, Handled
from consult.call.state import state
from consult.commands import records_text
from consult.commands.batch_results import SETTINGS
from consult.commands.records_export import CHAIR_COLUMNS as CHAIRS
from consult.commands.records_export import EXPORTED
from consult.paths import demo_folder, trees_folder
from consult.range.parts import Kind
from consult.summary import model, order
from consult.summary.model import summarise
from tests.commands.conftest import records as records
from tests.commands.conftest import run as run
from tests.commands.runs import Run
from tests.ui.desk import NOON, demo, demo_basis
from tests.ui.test_follow_up import REFERENCE, keep

_PART = re.compile(r"^## ([^\n]+), version (\d+)\n(.*?)(?=^## |\Z)", re.MULTILINE | re.DOTALL)


@cache
def page() -> dict[str, tuple[str, list[str]]]:
    """Form -> its version and its fields, as the page has them."""
    text = (trees_folder() / "FORMATS.md").read_text("utf-8")
    return {
        title: (version, re.findall(r"^\| `([^`]+)` \|", rest, re.MULTILINE))
        for title, version, rest in _PART.findall(text)
    }


def fields(told: Any, deep: set[str]) -> Iterator[str]:
    """The fields of something written, and those inside the fields of ``deep``."""
    for name, value in told.items():
        yield name
        if name in deep and isinstance(value, dict):
            yield from (f"{name}.{inner}" for inner in value)
        elif name in deep:
            yield from dict.fromkeys(f"{name}[].{inner}" for one in value for inner in one)


def agrees(title: str, version: object, found: list[str]) -> None:
    """The page has this version, and these fields once each, no more and no fewer."""
    told, listed = page()[title]
    assert told == str(version)
    assert len(listed) == len(set(listed))
    assert set(listed) == set(found), title


def test_every_form_is_tried_here() -> None:
    """A form added to the page is tried, too."""
    assert set(page()) == {
        *("Call file", "Summary", "Fit", "Order", "Order lines"),
        *("Export", "Export lines", "Export chairs", "Batch"),
    }


def test_call_file() -> None:
    """With every key that may be written, as the schema has it."""
    at = datetime(2026, 11, 25, 12, 0)
    call = Call(NOON.date(), "metric", "IE", (Answer("sex", "women", True, "a note", at, 3.0),))
    call = call.handle("a_stop", lifted="her doctor saw her", at=at)
    assert isinstance(call.handled[0], Handled)
    told = yaml.safe_load(transcript.write_transcript(call, "seating", "Ada"))
    told["answers"] = [one["sex"] for one in told["answers"]]
    found = [*fields(told, {"answers", "handled"}), "expect"]
    agrees("Call file", transcript.TRANSCRIPT_VERSION, found)
    schema = json.loads(Path(transcript.__file__).with_suffix(".schema.json").read_text("utf-8"))
    assert {name for name in found if "[" not in name} == set(schema["properties"])
    assert (
        schema["properties"]["format"]["const"] == transcript.TRANSCRIPT_VERSION == told["format"]
    )


def test_summary() -> None:
    """As a finished call has it."""
    told = summarise(demo_basis(), state(demo_basis(), demo("01").call)).as_json()
    agrees("Summary", model.SUMMARY_VERSION, list(told))
    assert told["version"] == model.SUMMARY_VERSION


def test_fit(run: Run) -> None:
    """As the command writes it."""
    told = run("fit", "--sex", "female", "--stature", "157cm", "--json").json
    agrees("Fit", fit_json.VERSION, list(told))
    assert told["fit_version"] == fit_json.VERSION


def test_orders() -> None:
    """Both forms of one order."""
    summary = summarise(demo_basis(), state(demo_basis(), demo("01").call), reader="order")
    told = order.order_json(summary)
    agrees("Order", order.ORDER_VERSION, list(fields(told, {"lines", "deliver_to"})))
    heading = next(csv.reader(io.StringIO(order.order_csv(summary))))
    agrees("Order lines", order.ORDER_VERSION, heading)


@pytest.mark.usefixtures("records")
def test_export(run: Run, tmp_path: Path) -> None:
    """A stored call as JSON and as CSV."""
    call = demo("01").call.handle("a_caution", at=NOON)
    keep(tmp_path / "kept" / "records.db", call, demo_basis())
    run("records", "export", REFERENCE, "--format", "json", "--out", str(tmp_path / "a.json"))
    (told,) = json.loads((tmp_path / "a.json").read_text("utf-8"))
    agrees("Export", records_text.RECORDS_TEXT_VERSION, list(fields(told, {"answers", "handled"})))
    run("records", "export", REFERENCE, "--format", "csv", "--out", str(tmp_path / "a.csv"))
    heading = next(csv.reader(io.StringIO((tmp_path / "a.csv").read_text("utf-8-sig"))))
    assert tuple(heading) == EXPORTED
    agrees("Export lines", records_text.RECORDS_TEXT_VERSION, heading)


def test_export_chairs() -> None:
    """Kinds of part stand for themselves."""
    kinds = "|".join(get_args(Kind))
    plain = [re.sub(rf"^({kinds})_(code|name)$", r"KIND_\2", name) for name in CHAIRS]
    agrees("Export chairs", records_text.RECORDS_TEXT_VERSION, list(dict.fromkeys(plain)))


@pytest.mark.usefixtures("records")
def test_batch(run: Run, tmp_path: Path) -> None:
    """Units, kinds of part and the currency stand for themselves."""
    people = demo_folder() / "team" / "people.csv"
    run("batch", str(people), "--out", str(tmp_path / "out.csv"))
    heading = next(csv.reader(io.StringIO((tmp_path / "out.csv").read_text("utf-8-sig"))))
    kinds = "|".join(get_args(Kind))
    plain = [re.sub(rf"^({kinds})_(code|name)$", r"KIND_\2", name) for name in heading]
    figures = "|".join(SETTINGS)
    plain = [re.sub(rf"^({figures})_(cm|in)$", r"\1_", name) for name in plain]
    plain = [re.sub("^price_[A-Z]{3}$", "price_", name) for name in plain]
    agrees("Batch", 1, list(dict.fromkeys(plain)))
