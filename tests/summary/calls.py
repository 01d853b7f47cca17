"""Calls through a small tree of the tests' own, and their states."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

from consult.call.basis import Basis, load_basis
from consult.call.call import Answer, Call
from consult.call.state import State, state
from consult.range.file import load_range
from consult.summary.model import Summary, summarise
from consult.units import System

TREES = Path(__file__).parents[2] / "trees"
TODAY = date(2026, 11, 25)

GOOD = {
    "caller": "Ada Fenwick",
    "consent": "yes",
    "aches": "lower back",
    "height": "157.5",
    "height_origin": "measured",
    "mass": "59",
    "lower_leg": "37",
    "heel": "2.5",
    "desk_kind": "fixed",
    "desk_height": "76",
    "desk_thickness": "2.5",
    "ring_back": "2026-12-09",
}
"""Everything answered; the desk is too high, so there is a footrest."""

REFUSED = {name: said for name, said in GOOD.items() if name != "aches"} | {"consent": "no"}

UNKNOWN = dict.fromkeys(GOOD, "?") | {"consent": "yes"}


@cache
def basis() -> Basis:
    """The small tree, with the range that comes with the program."""
    found, problems = load_basis(Path(__file__).parent / "small" / "small.yaml")
    assert found is not None, problems
    range_, problems = load_range(TREES / "range.yaml")
    assert range_ is not None, problems
    return replace(found, range=range_)


def state_of(
    answers: dict[str, str], system: System = "metric", notes: dict[str, str] | None = None
) -> State:
    """The state after the answers; ``notes`` by question."""
    said = tuple(
        Answer(name, text, note=(notes or {}).get(name, "")) for name, text in answers.items()
    )
    return state(basis(), Call(TODAY, system, "GB", said))


def with_picked(state: State, **changes: Any) -> State:
    """The state with its chair changed."""
    assert state.chosen is not None
    picked = replace(state.chosen.picked, **changes)
    return replace(state, chosen=replace(state.chosen, picked=picked))


def summary_of(
    answers: dict[str, str], system: System = "metric", notes: dict[str, str] | None = None
) -> Summary:
    """The summary after the answers."""
    return summarise(basis(), state_of(answers, system, notes))
