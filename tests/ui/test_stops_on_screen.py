"""Stops at the desk: whose numbers are said, what is on disk at the box, one line once said."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.widgets import Static

from consult.call.call import READ_OUT, Call
from consult.tree.sources import FROM_MEMORY, shipped_sources
from consult.ui.dialogs import ChooseScreen
from consult.ui.side_pages import CautionScreen
from consult.ui.widgets.panels import SaidList
from tests.call.signs import NOON, little
from tests.ui.desk import Desk, desk

SIZES = [(80, 24), (120, 40)]


async def say(at: Desk, *answers: str) -> None:
    """Type answers, and leave whatever interrupts."""
    for said in answers:
        await at.paste(said)
        await at.press("enter")


def box(at: Desk) -> str:
    """Everything in the box on top."""
    assert isinstance(at.top, CautionScreen)
    return "\n".join(str(one.content) for one in at.top.query(Static))


@pytest.mark.parametrize("size", SIZES)
async def test_the_country_is_shown_and_changed(size: tuple[int, int], tmp_path: Path) -> None:
    """In the header, by key and by typing; a long name of the caller does not push it out."""
    async with desk(tmp_path, Call(NOON.date(), country="GB-NIR"), size, basis=little()) as at:
        await say(at, "Ada " * 20)
        assert "Northern Ireland" in at.text("#status")
        assert len(at.text("#status")) <= size[0]
        await at.press("ctrl+o")
        assert isinstance(at.top, ChooseScreen)
        await at.press(*"ger", "enter")
        assert at.screen.now.country == "DE"
        assert "Germany" in at.text("#status")
        await at.press("ctrl+o", "escape")
        assert at.screen.now.country == "DE"
        await say(at, "/country usa")
        assert "United States" in at.text("#status")
        assert at.typed == ""
        await say(at, "/country nowhere")
        assert at.typed == "/country nowhere"
        assert "Northern Ireland" in at.text("#trouble")


async def test_another_country_at_the_box(tmp_path: Path) -> None:
    """The box comes back with other words, is not taken for said, and names its source."""
    async with desk(tmp_path, basis=little()) as at:
        await say(at, "Ada", "legs")
        assert "call 999" in box(at)
        assert "Great Britain" in box(at)
        assert "NHS" in box(at)
        await at.press("c", *"ger", "enter")
        assert "call 112" in box(at)
        assert shipped_sources().entries[FROM_MEMORY].title in box(at)
        assert at.screen.now.cautions[0].said is None
        await at.press("c", "escape")
        assert "call 112" in box(at)
        await at.press("s")
        assert at.screen.now.cautions[0].said is not None


async def test_killed_at_the_box(tmp_path: Path) -> None:
    """Before it is confirmed the stop is in the records, and not what the caller said."""
    async with desk(tmp_path, basis=little()) as at:
        await say(at, "Ada", "saddle")
        assert isinstance(at.top, CautionScreen)
        kept = at.saved()
    assert [one.caution for one in kept.handled] == [""]
    assert [one.said for one in kept.answers] == ["Ada", READ_OUT]
    async with desk(tmp_path, kept, basis=little()) as at:
        assert "the reason was not stored" in box(at)
        assert "word for word" not in box(at)
        await at.press("s")
        await at.press("f3")
        said = at.screen.query_one(SaidList)
        assert READ_OUT in str(said.get_option("signs").prompt)
        await at.press("enter")
        assert at.typed == ""


@pytest.mark.parametrize("size", SIZES)
async def test_said_once_it_is_one_line(size: tuple[int, int], tmp_path: Path) -> None:
    """One line, with whom to contact; F6 has the words, and why a stop was lifted before."""
    async with desk(tmp_path, size=size, basis=little()) as at:
        await say(at, "Ada", "legs, ache")
        await at.press("s")
        await at.pilot.pause()
        part = at.screen.query_one("#cautions")
        # The referral would send the caller to somebody later, so it is not said beside the stop.
        assert part.size.height == 1
        assert at.text("#cautions").startswith("STOP, said at 12:00 (words: F6): call 999")
        assert at.screen.session.lift("seen by her doctor", NOON).taken
        await say(at, "/signs saddle")
        assert "It was lifted at 12:00, because: seen by her doctor" in box(at)
