"""The mouse: whatever is shown to be clicked does what its key does."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from textual.geometry import Offset
from textual.widgets import Input

from consult.call.call import Call
from consult.ui.call_screen import CallScreen
from consult.ui.keys import Foot
from consult.ui.side_pages import CautionScreen
from consult.ui.widgets.answer_line import turned
from tests.call.calls import small
from tests.call.test_ahead import TREE
from tests.ui.desk import NOON, SIZES, Desk, before, demo, desk


async def click_on(at: Desk, text: str) -> None:
    """Click the first place on the screen where a text stands."""
    await at.settle()
    await at.pilot.click(offset=place_of(at, text))
    await at.pilot.pause()


def place_of(at: Desk, text: str) -> Offset:
    """The second cell of the first place on the screen where a text stands."""
    rows = ["".join(part.text for part in strip) for strip in at.top._compositor.render_strips()]
    found = [Offset(line.index(text) + 1, row) for row, line in enumerate(rows) if text in line]
    assert found, "\n".join((f"{text} is not shown:", *rows))
    return found[0]


def tree(tmp_path: Path) -> Path:
    folder = tmp_path / "trees"
    folder.mkdir()
    return folder


@pytest.mark.parametrize("size", [(40, 12), *SIZES])
async def test_yes_no_and_not_known(size: tuple[int, int], tmp_path: Path) -> None:
    """Beside the answer line at every size; each takes effect at once."""
    basis = small(tree(tmp_path), TREE)
    async with desk(tmp_path, Call(NOON.date()), basis=basis, size=size) as at:
        for text, said in (("[Yes]", "y"), ("[No]", "n"), ("[Not known]", "?")):
            await click_on(at, text)
            assert at.screen.now.call.latest()["hurts"].said == said
            assert at.screen.focused is at.screen.query_one("#answer")
            await at.answer("/amend hurts")
            at.screen.query_one("#answer", Input).clear()


@pytest.mark.parametrize(("text", "said"), [("5 ft 2 in", "5 ft 2 in"), ("5.2 ft", "62.4 in")])
async def test_a_reading_is_taken_by_a_click(text: str, said: str, tmp_path: Path) -> None:
    """Of two readings of one answer the one clicked counts."""
    async with desk(tmp_path, before("stature")) as at:
        await at.answer("5.2 ft")
        await click_on(at, f"Enter: {text}" if text == "5 ft 2 in" else f"Tab: {text}")
        assert at.screen.now.call.latest()["stature"].said == said
        assert at.typed == ""


async def test_enter_by_a_click(tmp_path: Path) -> None:
    """What was typed is taken; an odd value clicked once more stands."""
    async with desk(tmp_path, before("weight")) as at:
        await at.paste("9st 4")
        await click_on(at, "[Enter]")
        assert at.screen.now.call.latest()["weight"].said == "9st 4"
    async with desk(tmp_path, before("thigh_length")) as at:
        await at.paste("59 cm")
        await click_on(at, "[Enter]")
        assert "thigh_length" not in at.screen.now.call.latest()
        await click_on(at, "[Enter]")
        assert at.screen.now.call.latest()["thigh_length"].confirmed


async def test_a_caution_is_said_by_a_click(tmp_path: Path) -> None:
    """Only on the words that say so: elsewhere in the box a click does nothing."""
    call = demo("04").call
    async with desk(tmp_path, replace(call, answers=call.answers), size=(100, 36)) as at:
        await at.settle()
        assert isinstance(at.top, CautionScreen)
        await click_on(at, "word for word")
        assert isinstance(at.top, CautionScreen)
        while isinstance(at.top, CautionScreen):
            await click_on(at, "Press s once")
        assert isinstance(at.top, CallScreen)
        assert at.screen.now.cautions[0].said is not None


@pytest.mark.parametrize(
    ("typed", "number", "after"),
    [("", 3, "3"), ("3", 1, "3, 1"), ("3, 1", 3, "1"), ("12", 1, "12, 1"), ("feet", 2, "2")],
)
def test_a_number_clicked_twice_is_taken_back(typed: str, number: int, after: str) -> None:
    """Numbers gather in the order of the clicks; 1 is not taken for a part of 12."""
    assert turned(typed, number) == after


async def test_the_keys_at_the_foot(tmp_path: Path) -> None:
    """Those that count on the screen, of two for the same the first; a click presses one."""
    async with desk(tmp_path, before("weight"), size=(120, 40)) as at:
        (foot,) = at.top.query(Foot)
        asked = foot.render().plain
        assert asked.startswith(" f8 Finish  f12 Signs  f1 Help  f2 Unknown  f3 Amend ")
        where = place_of(at, "Help")
        await at.pilot.hover(offset=where)
        assert foot.over == "f1"
        await at.pilot.hover(offset=where._replace(y=1))
        assert foot.over == ""
        await at.pilot.click(offset=where)
        assert place_of(at, " esc Back ").y == 39
        assert "f1" not in at.top.query_one(Foot).render().plain
        await click_on(at, " esc Back ")
        assert at.top is at.screen
        await click_on(at, " f2 Unknown ")
        assert at.screen.now.call.latest()["weight"].said == "?"
        assert foot.render().plain == asked
