"""Keys that come faster than the screen can follow: each goes where it was meant to."""

from __future__ import annotations

import asyncio
from collections.abc import Mapping
from pathlib import Path

import pytest
from textual import events
from textual.keys import Keys

from consult.ui.edit.asking import Asker
from tests.ui.edit.content_desk import ContentDesk, content_desk, trees

NAMES = {" ": "space", "?": "question_mark", "!": "exclamation_mark", ".": "full_stop"}


async def burst(at: ContentDesk, *keys: str) -> None:
    """All keys at once, as a terminal gives them to a program that was busy; then wait.

    A word in a key's place is typed letter by letter; one that begins with + is a key's name.
    """
    for key in keys:
        if key.startswith("+"):
            name = key[1:]
            at.app.post_message(events.Key(name, "\r" if name == Keys.Enter else None))
            continue
        for letter in key:
            at.app.post_message(events.Key(NAMES.get(letter, letter), letter))
    await at.pilot.pause()
    await at.done()
    await at.settle()


async def test_words_typed_while_a_form_opens_are_in_it_and_saved(tmp_path: Path) -> None:
    """Find, Enter, the new words and Ctrl+S in one go: to the letter in wording, text and file."""
    async with content_desk(trees(tmp_path)) as at:
        await burst(at, "+ctrl+f", "most of that", "+enter", " Really, now?", "+ctrl+s")
        assert at.value("ask").endswith("time? Really, now?")
        assert "time? Really, now?" in at.text("work.yaml")
        assert "time? Really, now?" in at.on_disk("work.yaml")


async def test_words_wait_for_a_page_that_is_slow_to_come(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """However long a list takes to open, what is typed meanwhile is for it and not for the form."""
    async with content_desk(trees(tmp_path)) as at:
        choose = Asker.choose

        async def slowly(ask: Asker, title: str, lines: Mapping[str, str]) -> str | None:
            for _ in range(500):
                await asyncio.sleep(0)
            return await choose(ask, title, lines)

        monkeypatch.setattr(Asker, "choose", slowly)
        await burst(at, "+ctrl+f", "most of that", "+enter")
        await burst(at, "+alt+a", "choice:", "+enter", "Driving a van", "+enter")
        assert at.value("choices", "driving_van") == "Driving a van"
        assert at.value("ask") == "And what do you do most of that time?"


async def test_words_typed_while_a_page_opens_are_in_it(tmp_path: Path) -> None:
    """Alt+A, the kind, Enter, the label, Enter: the choice is there, and nothing else changed."""
    async with content_desk(trees(tmp_path)) as at:
        before = at.text("work.yaml")
        await burst(at, "+ctrl+f", "most of that", "+enter")
        await burst(at, "+alt+a", "choice:", "+enter", "Driving a van", "+enter", " today")
        assert at.value("choices", "driving_van") == "Driving a van today"
        added = [
            line for line in at.text("work.yaml").split("\n") if line not in before.split("\n")
        ]
        assert [line.strip() for line in added if "driving_van" in line] == [
            "driving_van: Driving a van today"
        ]
        assert at.value("ask") == "And what do you do most of that time?"


async def test_down_goes_through_the_whole_form_and_up_back(tmp_path: Path) -> None:
    """Every field and every line that adds something; nowhere is one stuck."""
    async with content_desk(trees(tmp_path)) as at:
        await burst(at, "+ctrl+f", "How many hours", "+enter")
        there = [at.app.focused]
        while at.form.at() != (*at.session.place.steps, "ask_when"):
            await burst(at, "+down")
            there.append(at.app.focused)
            assert len(there) < 40
        assert len(set(there)) == len(there)
        await burst(at, *["+up"] * (len(there) - 1))
        assert at.app.focused is there[0]
