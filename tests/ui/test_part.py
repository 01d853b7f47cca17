"""Nothing flickers: what did not change is not drawn again."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from textual.content import Content
from textual.widgets import Static

from consult.ui.widgets.part import TextPart
from tests.ui.desk import before, demo, desk


async def test_only_what_changed_is_drawn(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """An answer that moves no figure draws the question again, once, and no figure."""
    drawn: list[str | None] = []

    def counted(self: TextPart, content: Content, *, layout: bool = True) -> None:
        drawn.append(self.id)
        Static.update(self, content, layout=layout)

    async with desk(tmp_path, before("who_sits"), (120, 40)) as at:
        await at.settle()
        monkeypatch.setattr(TextPart, "update", counted)
        await at.answer("caller")
        assert at.screen.now.call.answers[-1].question == "who_sits"
        await at.settle()
    assert "ask" in drawn
    assert not {"figures", "cautions"} & set(drawn)
    assert all(drawn.count(part) == 1 for part in set(drawn)), drawn


async def test_a_long_question_leaves_no_room_behind(tmp_path: Path) -> None:
    """After a question that had to be scrolled, a short one stands without a scroll bar."""
    async with desk(tmp_path, before("stature"), (80, 20)) as at:
        say = at.screen.query_one("#say")
        await at.answer("/warning signs")
        assert at.screen.session.asking is not None
        assert at.screen.session.asking.name == "warning_signs"
        await at.settle()
        assert say.max_scroll_y > 0
        await at.press("escape")
        await at.answer("?")
        await at.settle()
        assert say.max_scroll_y == 0


async def test_a_scroll_bar_knows_at_once_how_long_a_text_is(tmp_path: Path) -> None:
    """It is right before the screen is laid out, so that it need not be drawn once more after."""
    async with desk(tmp_path, before("floor"), (120, 40)) as at:
        panel, figures = (
            at.screen.query_one("#fit-panel"),
            at.screen.query_one("#figures", TextPart),
        )
        bar = panel.vertical_scrollbar
        was = bar.window_virtual_size
        figures.show(Content("\n".join("line" for _ in range(90))))
        assert (was, bar.window_virtual_size, panel.virtual_size.height) == (29, 90, 90)
        await at.settle()
        assert bar.window_virtual_size == panel.virtual_size.height == figures.size.height == 90
        assert panel.max_scroll_y == 90 - panel.content_size.height


async def test_every_figure_has_one_line_in_inches_too(tmp_path: Path) -> None:
    """In the narrow panel a screen above four feet does not break the lines of all the others."""
    call = replace(demo("01").call, system="imperial")
    async with desk(tmp_path, call) as at:
        await at.settle()
        lines = at.text("fit").splitlines()
        assert at.screen.now.fit is not None
        assert len(lines) == len(at.screen.now.fit.requirements)
        room = at.screen.query_one("#figures").content_size.width
        assert max(map(len, lines)) <= room
