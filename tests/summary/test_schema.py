"""The published form of the exported summary."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path
from typing import Any

import pytest
import yaml
from jsonschema import Draft202012Validator

import consult.summary
from consult.call.basis import load_basis
from consult.call.call import Answer, Call
from consult.call.state import state
from consult.summary.model import summarise
from tests.long import LONG
from tests.summary.calls import GOOD, REFUSED, TODAY, TREES, UNKNOWN, summary_of

SCHEMA = json.loads(
    (Path(consult.summary.__file__).parent / "summary.schema.json").read_text(encoding="utf-8")
)
DEMOS = sorted((TREES.parent / "transcripts_demo").glob("*.yaml"))


def troubles(told: dict[str, Any]) -> list[str]:
    """What the schema finds wrong, after a turn through JSON."""
    written = json.loads(json.dumps(told, allow_nan=False))
    return [error.message for error in Draft202012Validator(SCHEMA).iter_errors(written)]


def every_property(schema: object) -> list[tuple[str, dict[str, Any]]]:
    """Every property anywhere in the schema."""
    if isinstance(schema, list):
        return [one for inner in schema for one in every_property(inner)]
    if not isinstance(schema, dict):
        return []
    own = schema.get("properties", {}).items()
    return [*own, *(one for inner in schema.values() for one in every_property(inner))]


def test_schema_is_one() -> None:
    """The schema itself is sound."""
    Draft202012Validator.check_schema(SCHEMA)


def test_schema_is_documented() -> None:
    """Every property says what it is, itself or by what it refers to."""
    for name, one in every_property(SCHEMA):
        items = one.get("items", {})
        assert "description" in one or "$ref" in one or "$ref" in items, name


@pytest.mark.parametrize(
    "answers",
    [
        GOOD,
        REFUSED,
        UNKNOWN,
        {},
        {**GOOD, "aches": "saddle"},
        {**GOOD, "lower_leg": "51"},
        {**GOOD, "mass": "400 kg"},
    ],
    ids=["good", "refused", "unknown", "begun", "stopped", "odd", "no chair"],
)
def test_exports_are_valid(answers: dict[str, str]) -> None:
    """Every kind of call is exported in the published form."""
    assert troubles(summary_of(answers).as_json()) == []


@pytest.mark.parametrize("demo", DEMOS if LONG else DEMOS[::6], ids=lambda path: path.stem)
def test_demo_calls_are_valid(demo: Path) -> None:
    """The demo calls are exported in the published form."""
    told = yaml.load(demo.read_text(encoding="utf-8"), yaml.BaseLoader)
    basis, problems = load_basis(TREES / f"{told['tree']}.yaml")
    assert basis is not None, problems
    answers = tuple(
        Answer(name, said["said"], note=said.get("note", ""))
        if isinstance(said, dict)
        else Answer(name, said)
        for line in told["answers"]
        for name, said in line.items()
    )
    today = date.fromisoformat(told.get("today", TODAY.isoformat()))
    call = Call(today, told["units"], told["country"], answers)
    assert troubles(summarise(basis, state(basis, call)).as_json()) == []


def test_schema_refuses_what_is_not_in_it() -> None:
    """A key too many, one too few or a wrong kind of value is found."""
    told = summary_of(GOOD).as_json()
    assert troubles({**told, "extra": 1})
    assert troubles({name: one for name, one in told.items() if name != "route"})
    assert troubles({**told, "follow_up": 5})
