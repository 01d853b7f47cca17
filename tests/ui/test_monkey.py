"""Keys pressed at random: nothing is raised, and no answer is ever lost."""

from __future__ import annotations

import random
from dataclasses import replace
from pathlib import Path

import pytest
from textual import events

from consult.call.call import Answer
from consult.ui.keys import CALL_KEYS
from tests.long import LONG
from tests.ui.desk import demo, desk
from tests.ui.desk import draw as show

SEEDS = 5
PRESSES = 1000 if LONG else 120
"""Of each seed: 5,000 together in a long run."""
BURST = 40
"""Keys that come before the screen has caught up."""

_LETTERS = "1234567890abynmkldst,.?/ [é"
_ANSWERS = ["1", "1", "1", "2", "y", "n", "?", "41", "170", "Ada", "/desk 73", "/floor 1"]
_OTHERS = ["escape", "up", "down", "left", "right", "tab", "shift+tab", "backspace", "home", "end"]
_DESK = [key for one in CALL_KEYS if one.action != "app.quit" for key in one.key.split(",")]


def drawn(draw: random.Random) -> list[events.Key]:
    """One key, letters and Enter more often than others; or a likely answer, key by key."""
    roll = draw.random()
    if roll < 0.45:
        return [typed(letter) for letter in draw.choice(_LETTERS)]
    if roll < 0.6:
        leave = [events.Key("escape", None), events.Key("s", "s"), events.Key("ctrl+u", None)]
        return [*leave, *map(typed, draw.choice(_ANSWERS)), enter()]
    if roll < 0.7:
        return [enter()]
    if roll < 0.8:
        return [typed("s")]
    return [events.Key(draw.choice(_OTHERS if roll < 0.88 else _DESK), None)]


def enter() -> events.Key:
    """An event of its own each time: one that was handled is never handled again."""
    return events.Key("enter", "\r")


def typed(letter: str) -> events.Key:
    """A letter as a terminal sends it."""
    return events.Key(letter, letter)


@pytest.mark.parametrize("seed", range(SEEDS))
async def test_random_keys(seed: int, tmp_path: Path) -> None:
    """Each call's answers are only ever added to, on the screen and where they are kept.

    Each seed begins in the middle of another demo call.
    """
    draw = random.Random(seed)
    call = demo(f"0{seed + 1}").call
    call = replace(call, answers=call.answers[: len(call.answers) * seed // SEEDS])
    size = [(80, 24), (120, 40), (200, 60), (40, 14), (100, 30)][seed]
    async with desk(tmp_path, call, size) as at:
        seen: dict[str, tuple[Answer, ...]] = {}
        for _ in range(PRESSES // BURST):
            keys: list[events.Key] = []
            while len(keys) < BURST:
                keys += drawn(draw)
            for key in keys:
                at.app.post_message(key)
            await at.pilot.pause()
            for name, screen in at.calls.open.items():
                answers = screen.now.call.answers
                assert answers[: len(seen.get(name, ()))] == seen.get(name, ())
                seen[name] = answers
        await at.settle()
        show(at.app)
        assert sum(len(answers) for answers in seen.values()) > len(call.answers)
        for name, answers in seen.items():
            screen = at.calls.open[name]
            if answers and screen.now.consent:
                assert [one.said for one in at.saved(name).answers] == [
                    one.said for one in screen.now.call.answers
                ]
