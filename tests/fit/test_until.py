"""Parts with a last day: offered up to it, gone after it, and never the only strong ones."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest

from consult.call.basis import Basis
from consult.call.state import request_of, state
from consult.fit.range_load import load_range
from consult.fit.range_model import Kind, Range
from consult.paths import trees_folder
from tests.ui.desk import demo, demo_basis

LAST = date(2026, 11, 25)
RANGE = trees_folder() / "range.yaml"


def ending(code: str, day: date = LAST) -> Basis:
    """The demo with a last day for one part."""
    basis = demo_basis()
    assert basis.range is not None
    parts = {
        kind: tuple(replace(part, until=day) if part.code == code else part for part in of)
        for kind, of in basis.range.parts.items()
    }
    return replace(basis, range=replace(basis.range, parts=parts))


def chosen_on(basis: Basis, day: date, kind: Kind = "seat") -> str:
    """The part that the first demo call is advised on a day."""
    now = state(basis, replace(demo("01").call, today=day))
    assert now.picked is not None
    return now.picked.parts[kind].code


@pytest.mark.parametrize("kind", ["seat", "gas_lift", "arms", "castors", "footrest"])
def test_a_part_is_offered_up_to_its_last_day(kind: Kind) -> None:
    """On the day of the call, not on that of the machine; the next day another is offered."""
    code = chosen_on(demo_basis(), LAST, kind)
    basis = ending(code)
    assert chosen_on(basis, LAST, kind) == code
    assert chosen_on(basis, LAST + timedelta(days=1), kind) != code
    later = replace(demo("01").call, today=LAST + timedelta(days=1))
    assert basis.range is not None
    why = request_of(basis.range, state(basis, later))
    assert code not in {part.code for part in why.range.on_sale(kind)}


def test_a_range_without_a_last_day_is_itself() -> None:
    """Nothing is worked out anew; and a range that changed is worked out once a set of parts."""
    basis = demo_basis()
    assert basis.on(date.max) is basis
    assert basis.range is not None
    code = chosen_on(basis, LAST)
    of_day = ending(code).range
    assert of_day is not None
    assert of_day.on(LAST) is of_day
    assert of_day.on(date.max) is of_day.on(LAST + timedelta(days=1)) is not of_day
    assert [part.code for part in of_day.on(date.max).on_sale("seat")] == [
        part.code for part in of_day.on_sale("seat") if part.code != code
    ]


def rules(*changes: tuple[str, str]) -> dict[str, int]:
    """Problems of the demo range with last days after these lines, and the line of each."""
    text = RANGE.read_text("utf-8")
    for code, day in changes:
        assert f"code: {code}\n" in text
        text = text.replace(f"code: {code}\n", f"code: {code}\n    until: {day}\n")
    return {one.rule: one.where.line for one in load_range(RANGE, {RANGE: text})[1]}


def test_what_cannot_be_a_last_day() -> None:
    """No day of the calendar; the only strong part; the last of its kind."""
    assert rules(("SEAT-S", "2027-03-31")) == {}
    assert list(rules(("SEAT-S", "2027-02-30"))) == ["unknown-day"]
    assert "weaker-later" in rules(("SEAT-L", "2027-03-31"))
    every = [part.code for part in _range().on_sale("gas_lift")]
    assert "no-chair-later" in rules(*((code, "2027-03-31") for code in every))


def _range() -> Range:
    found, problems = load_range(Path(RANGE))
    assert found is not None, problems
    return found
