"""The chair in one line: chair, price, when it can be sent, how sure."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache

import pytest

from consult.call.chair_lines import (
    ENDED,
    NONE_CHOSEN,
    chair_line,
    desk_known,
    price_line,
    ready_line,
)
from consult.call.state import State, state, state_so_far
from consult.scale import working_day
from tests.call.calls import of_facts, seating

DESK = {"desk_kind": "fixed", "desk_height": "73"}


@cache
def chosen(desk: bool) -> State:
    return state(seating(), of_facts(sex="women", stature="157", **(DESK if desk else {})))


@pytest.mark.parametrize("width", [38, 40, 60, 78, 100, 118, 198])
@pytest.mark.parametrize("desk", [False, True])
def test_it_goes_into_one_line(width: int, desk: bool) -> None:
    """At every width the seat, price, days and chances are there, and no cell too many."""
    now = chosen(desk)
    assert now.picked is not None
    line = chair_line(now, seating().range, width)
    assert len(line) <= width
    assert line.startswith(now.picked.parts["seat"].name[:4])
    assert f"{now.picked.price:.0f}" in line
    assert re.search(rf"{now.picked.lead_days} (working )?days", line)
    assert re.search(r"\d+( of |/)100", line)


@pytest.mark.parametrize("width", [38, 78, 198])
def test_an_unknown_desk_is_named(width: int) -> None:
    """The chances of a chair for a desk nobody told of say so at every width."""
    known, unknown = (chair_line(chosen(desk), seating().range, width) for desk in (True, False))
    assert "desk" not in known
    assert unknown.endswith(("desk not known", "desk?"))


@pytest.mark.parametrize(
    ("answers", "known"),
    [
        ({}, False),
        ({"desk_kind": "fixed"}, False),
        ({"desk_kind": "none"}, True),
        ({"desk_kind": "fixed", "desk_height": "73"}, True),
        ({"desk_height": "?"}, False),
    ],
)
def test_whether_the_desk_is_known(answers: dict[str, str], known: bool) -> None:
    """A height makes a desk known, and so does that there is none; its kind alone does not."""
    assert desk_known(state_so_far(seating(), of_facts(**answers))) is known


def test_without_a_chair() -> None:
    """While it is being worked out nothing is claimed; after a stop there is none."""
    so_far = replace(chosen(desk=True), chosen=None)
    assert chair_line(so_far, seating().range, 80) == ""
    stopped = replace(so_far, stopped=seating().tree.cautions[0])
    assert chair_line(stopped, seating().range, 80) == ENDED
    assert price_line(so_far, seating().range) == ready_line(so_far) == NONE_CHOSEN


def test_when_it_can_be_sent() -> None:
    """The day counts working days, and the part that takes longest is named."""
    now = chosen(desk=True)
    assert now.picked is not None
    day = working_day(now.call.today, now.picked.lead_days)
    said = ready_line(now)
    assert f"{day:%A} {day.day} {day:%B}" in said
    assert max(now.picked.parts.values(), key=lambda one: one.lead_days).name in said
