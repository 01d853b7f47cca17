"""What comes before the first call: a call that plays itself, and the words with drawings."""

from __future__ import annotations

from pathlib import Path

import pytest

from consult.ui.practice.app import ExampleScreen
from consult.ui.practice.rows import EXAMPLE_TITLE, WORDS_TITLE
from consult.ui.practice.start_screen import StartScreen
from tests.ui.desk import SIZES
from tests.ui.practice.practice_desk import practice


@pytest.mark.parametrize("size", SIZES)
async def test_the_example_is_first_and_plays_itself(size: tuple[int, int], tmp_path: Path) -> None:
    """Enter on the list plays it, Enter goes on, up goes back, and Escape comes back."""
    async with practice(tmp_path, size) as desk:
        assert desk.options("callers")[0].startswith(f"FIRST: {EXAMPLE_TITLE}")
        assert desk.options("callers")[1].startswith(f"FIRST: {WORDS_TITLE}")
        await desk.press("enter")
        await desk.settle()
        screen = desk.app.screen
        assert isinstance(screen, ExampleScreen)
        assert "The phone rings." in desk.part("comment")
        await desk.press("enter", "enter")
        assert "3  You: Who is the chair for?" in desk.part("played")
        assert "typed  1" in desk.part("played")
        assert desk.part("comment").startswith("Enter asks it. ")
        await desk.press("up")
        assert "Who is the chair for?" not in desk.part("played")
        await desk.press(*["enter"] * len(screen.scenes))
        assert "your own first call" in desk.part("comment")
        await desk.press("escape")
        assert isinstance(desk.app.screen, StartScreen)


async def test_the_words_have_drawings(tmp_path: Path) -> None:
    """The second line of the list, and Alt+K, show where the tape starts and ends."""
    async with practice(tmp_path) as desk:
        await desk.press("down", "enter")
        shown = desk.part_text("VerticalScroll Static")
        assert "Lower leg (popliteal height)" in shown
        assert "start" in shown
        await desk.press("escape", "alt+k")
        assert desk.part_text("VerticalScroll Static") == shown


async def test_after_the_first_call_they_make_room(tmp_path: Path) -> None:
    """Somebody who has led a call finds them by their keys alone."""
    async with practice(tmp_path) as desk:
        await desk.play("young_sitter")
        await desk.end()
        await desk.press("c")
        await desk.pilot.pause()
        assert not any(one.startswith("FIRST") for one in desk.options("callers"))
        await desk.press("alt+x")
        await desk.settle()
        assert isinstance(desk.app.screen, ExampleScreen)
