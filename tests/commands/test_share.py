"""``consult share``."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from consult.paths import demo_folder
from tests.commands.runs import Run


def demo(name: str) -> str:
    """The path of a demo call."""
    (path,) = demo_folder().glob(f"{name}*.yaml")
    return str(path)


def test_two_people_share_a_chair(run: Run) -> None:
    """The chair, how likely it fits both, and what the second has to change."""
    done = run("share", demo("03"), demo("06"), "--json")
    assert done.code == 0
    told = json.loads(done.out)
    assert len(told["people"]) == 2
    assert told["p_fits"] <= min(one["p_fits"] for one in told["people"]) + 0.01
    assert told["people"][1]["changes"]


def test_text(run: Run) -> None:
    """People read names, settings and the price."""
    done = run("share", demo("01"), demo("02"))
    assert done.code == 0
    assert "Ada Fenwick: fits" in done.out
    assert "Set the seat to" in done.out


def test_a_stopped_call_gets_no_chair(run: Run) -> None:
    """Where a warning sign ended a call, nothing is offered to anybody."""
    done = run("share", demo("01"), demo("04"))
    assert done.code == 2
    assert "warning sign" in done.err


@pytest.mark.parametrize("name", ["nowhere.yaml", str(Path(__file__))])
def test_a_file_that_is_no_call(name: str, run: Run) -> None:
    """A wrong file is told in words."""
    assert run("share", name).code == 2
