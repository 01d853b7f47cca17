"""Topics at the call screen: by key, word, number, letters and click."""

from __future__ import annotations

from pathlib import Path

import pytest

from consult.call.call import Answer, Call
from consult.ui.call_screen import CallScreen
from consult.ui.dialogs import ChooseScreen
from consult.ui.words import topic_line
from tests.call.calls import small
from tests.call.test_ahead import TREE
from tests.call.topical import topical
from tests.ui.desk import NOON, Desk, desk
from tests.ui.test_entering import type_in

CALL = Call(NOON.date(), answers=(Answer("neck", "no"),))


def folders(tmp_path: Path) -> tuple[Path, Path]:
    trees, calls = tmp_path / "trees", tmp_path / "calls"
    trees.mkdir()
    calls.mkdir()
    return trees, calls


def asked(at: Desk) -> str:
    question = at.screen.session.asking
    return question.name if question else ""


@pytest.mark.parametrize("opening", [["down"], [*"/topics", "enter"]], ids=["key", "word"])
@pytest.mark.parametrize(
    ("chosen", "question"),
    [(["1"], "glasses"), (["2"], "shared"), ([*"shar"], "shared"), (["down"], "shared")],
)
async def test_a_topic_is_chosen_and_asked_now(
    opening: list[str], chosen: list[str], question: str, tmp_path: Path
) -> None:
    """By number, letters or the cursor; its first question is asked at once."""
    trees, calls = folders(tmp_path)
    async with desk(calls, CALL, basis=topical(trees)) as at:
        await at.settle()
        assert asked(at) == "more"
        await at.press(*opening)
        assert isinstance(at.top, ChooseScreen)
        await at.press(*chosen, "enter")
        assert isinstance(at.top, CallScreen)
        assert asked(at) == question


async def test_by_a_click(tmp_path: Path) -> None:
    """A click on a line of the list opens it; so does one beside the call in a wide window."""
    trees, calls = folders(tmp_path)
    async with desk(calls, CALL, basis=topical(trees), size=(160, 40)) as at:
        await at.settle()
        await at.press("down")
        await at.pilot.click("#lines", offset=(2, 2))
        await at.pilot.pause()
        assert asked(at) == "shared"
        await at.press("escape")
        assert asked(at) == "more"
        await at.settle()
        lines = at.text("#ahead-lines").split("\n")
        row = next(at for at, line in enumerate(lines) if line.startswith("1  Screen"))
        await at.pilot.click("#ahead-lines", offset=(2, row))
        await at.pilot.pause()
        assert asked(at) == "glasses"


async def test_gone_through_to_its_end(tmp_path: Path) -> None:
    """Every question of it that an answer calls for, then the question of before."""
    trees, calls = folders(tmp_path)
    async with desk(calls, CALL, basis=topical(trees)) as at:
        await type_in(at, "/topics screen")
        seen = []
        while asked(at) not in ("more", ""):
            seen.append(asked(at))
            await at.answer({"glasses": "y", "varifocal": "n"}.get(asked(at), "one"))
        assert seen == ["glasses", "varifocal", "screens"]
        assert asked(at) == "more"
        screen, sharing = at.screen.session.topics()
        assert topic_line(1, screen) == "1  Screen and glasses: done"
        assert topic_line(2, sharing).startswith(
            "2  Sharing the chair: under a minute; may change "
        )
        await type_in(at, "/topics 1")
        assert at.text("#trouble") == "There is nothing left to ask about Screen and glasses."
        assert [one.said for one in at.saved().answers] == ["no", "screen", "y", "n", "one"]


async def test_escape_leaves_the_list(tmp_path: Path) -> None:
    """Nothing is opened by looking."""
    trees, calls = folders(tmp_path)
    async with desk(calls, CALL, basis=topical(trees)) as at:
        await at.press("down", "escape")
        assert at.screen.now.call.answers == CALL.answers


async def test_a_tree_without_topics(tmp_path: Path) -> None:
    """It is said instead of an empty list."""
    trees, calls = folders(tmp_path)
    async with desk(calls, Call(NOON.date()), basis=small(trees, TREE)) as at:
        await at.press("down")
        assert at.text("#trouble") == "! There are no topics in this call."
