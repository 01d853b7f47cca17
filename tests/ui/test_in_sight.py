"""What is in sight: minutes, chair, price, when, how sure, and why, at every size."""

from __future__ import annotations

from pathlib import Path

import pytest

from consult.call.ahead import work_out
from consult.call.call import Answer, Call
from consult.call.session import Session
from consult.call.worth import call_seconds
from consult.ui.words import head_line
from tests.call.calls import small
from tests.call.test_ahead import TREE
from tests.call.test_pools import _basis
from tests.ui.desk import NOON, Desk, before, demo_basis, desk
from tests.ui.test_entering import type_in

SIZES = [(40, 12), (60, 20), (80, 24), (120, 40), (200, 60)]
POOL = Call(NOON.date(), answers=(Answer("stature", "172 cm"),))


def rows(at: Desk) -> list[str]:
    """The screen as it is seen."""
    strips = at.top._compositor.render_strips()
    return ["".join(part.text for part in strip) for strip in strips]


@pytest.mark.parametrize("size", SIZES)
async def test_minutes_and_chair_at_every_size(size: tuple[int, int], tmp_path: Path) -> None:
    """The first two lines, whole, also beside a long list, a note below, and large words.

    At the foot, too, the end of a call and its warning signs are in reach.
    """
    async with desk(tmp_path, before("reasons"), size=size) as at:
        await at.settle()
        for step in ("", "/large", "/why is this"):
            if step:
                await type_in(at, step)
            seen = rows(at)
            assert "f8 Finish" in seen[-1]
            assert "f12 Signs" in seen[-1]
            first, second = (line.strip() for line in seen[:2])
            assert "to go" in first
            assert "GBP" in second
            assert second == at.text("#chair-line")
            assert "…" not in second[10:]


async def test_a_figure_keeps_to_its_line(tmp_path: Path) -> None:
    """Also at 80x24 before anything is known, when the margins are widest."""
    async with desk(tmp_path, size=(80, 24)) as at:
        await at.answer("Ada Fenwick")
        await at.answer("1")
        await at.answer("feet")
        await at.settle()
        seen = rows(at)
        first = next(place for place, row in enumerate(seen) if "Seat height" in row)
        assert "Seat depth" in seen[first + 1]
        assert "Screen top" in seen[first + 6]


@pytest.mark.parametrize("size", SIZES)
async def test_question_and_answer_line_at_every_size(
    size: tuple[int, int], tmp_path: Path
) -> None:
    """The words to say and what is typed stand on the screen, however small."""
    async with desk(tmp_path, before("thigh_length"), size=size) as at:
        await at.settle()
        await at.paste("41 zz")
        seen = "\n".join(rows(at))
        assert "Say: How far is it from" in seen
        assert "41 zz" in seen
        await at.press("enter")
        assert "! " in "\n".join(rows(at))


async def test_the_minutes_go_on(tmp_path: Path) -> None:
    """The time since the last answer counts, and answers keep theirs."""
    basis = small(tmp_path, TREE)
    async with desk(tmp_path, Call(NOON.date()), basis=basis) as at:
        await at.settle()
        assert at.text("#status").startswith("under 1 min so far, under 1 min to go")
        at.clock.move(150)
        await at.answer("no")
        await at.settle()
        assert at.text("#status").startswith("2 min so far")
        assert call_seconds([one.took for one in at.screen.now.call.answers]) == 150
        await at.answer("nothing")
        assert at.text("#status").startswith("2 min in all")


@pytest.mark.parametrize("width", [38, 78, 118, 198])
def test_the_first_line_goes_into_the_window(width: int) -> None:
    """However long the name; the minutes come first, and in full is said where there is room."""
    call = Call(NOON.date(), answers=(Answer("caller_name", "Ada " * 40),)).led_in_full(True)
    session = Session(demo_basis(), call, NOON)
    session.take_in(session.now, work_out(session.basis, session.now))
    line = head_line(session.pace(NOON), "7K3-M2Q", session, width)
    assert len(line) <= width
    assert line.split(" | ")[0].endswith("to go")
    assert "in full" in line or width < 100
    assert "Great Britain" in line or width < 40


async def test_why_a_question_of_a_pool_is_next(tmp_path: Path) -> None:
    """In the frame of its words; not while another is asked instead."""
    async with desk(tmp_path, POOL, basis=_basis(), size=(120, 40)) as at:
        await at.settle()
        say = at.screen.query_one("#say")
        why = at.screen.session.why_next
        assert why
        assert str(say.border_title) == why
        assert why in "\n".join(rows(at))
        await at.press("f3", "enter")
        assert not say.border_title
        await at.press("escape")
        assert str(say.border_title) == why


@pytest.mark.parametrize("size", [(60, 20), (80, 24)])
async def test_what_the_last_answer_changed(size: tuple[int, int], tmp_path: Path) -> None:
    """Beside the figures; where they have no room, below the answer line."""
    async with desk(tmp_path, POOL, basis=_basis(), size=size) as at:
        await at.settle()
        await at.answer("49 cm")
        await at.settle()
        change = at.screen.session.change
        assert change
        assert at.text("changed") == f"» {change}"
        assert (at.text("#trouble") == f"» {change}") is (size[0] < 75)


@pytest.mark.parametrize("size", [(120, 40), (200, 60)])
async def test_a_call_without_a_chair_uses_its_room(size: tuple[int, int], tmp_path: Path) -> None:
    """Advice and what is still to ask stand where chair and picture would."""
    basis = small(tmp_path, TREE)
    call = Call(NOON.date(), answers=(Answer("hurts", "yes"),))
    async with desk(tmp_path, call, basis=basis, size=size) as at:
        await at.settle()
        assert not at.screen.query_one("#picture").display
        assert not at.screen.query_one("#chair-line").display
        assert "Goodbye" in at.text("#ahead-lines")
        assert "Is there anything else?" in at.text("#ahead-lines")
        assert at.screen.query_one("#facts").size.width >= size[0] // 3


async def test_a_question_still_to_ask_is_asked_by_a_click(tmp_path: Path) -> None:
    """A click on it asks it now; Escape goes back."""
    basis = small(tmp_path, TREE)
    call = Call(NOON.date(), answers=(Answer("hurts", "yes"),))
    async with desk(tmp_path, call, basis=basis, size=(120, 40)) as at:
        await at.settle()
        await at.pilot.click("#ahead-lines", offset=(2, 0))
        await at.pilot.pause()
        assert at.screen.session.asking is basis.tree.questions["goodbye"]
        await at.press("escape")
        assert at.screen.session.asking is basis.tree.questions["where"]


async def test_a_long_question_is_scrolled_while_typing(tmp_path: Path) -> None:
    """PgDn and PgUp move the words; what is typed stays, and so does the cursor."""
    async with desk(tmp_path, before("stature"), size=(80, 14)) as at:
        await at.settle()
        await type_in(at, "/signs")
        await at.settle()
        say = at.screen.query_one("#say")
        assert say.max_scroll_y > 0
        await at.press("4", "pagedown")
        assert say.scroll_y > 0
        await at.press("pageup")
        assert say.scroll_y == 0
        assert at.typed == "4"


async def test_amending_where_the_list_has_no_room(tmp_path: Path) -> None:
    """F3 shows what was said in the smallest window; it goes again with the line chosen or left."""
    async with desk(tmp_path, before("weight"), size=(40, 12)) as at:
        said = at.screen.query_one("#said")
        assert not said.display
        for leaving in ("escape", "enter"):
            await at.press("f3")
            assert said.display
            assert at.screen.region.contains_region(said.region)
            await at.press(leaving)
            assert not said.display
        assert at.screen.session.amending is not None
