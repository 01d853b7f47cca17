"""One key means one thing at every desk, every word does what it says, nothing hangs on one key."""

from __future__ import annotations

import importlib
import pkgutil
import re
from collections import defaultdict
from pathlib import Path
from typing import Any

import pytest
from textual.binding import Binding
from textual.screen import Screen

import consult.ui
from consult.ui import pages
from consult.ui.call_screen import CallScreen
from consult.ui.edit.keys import EDIT_KEYS
from consult.ui.keys import CALL_KEYS, SLASH_WORDS, Key
from consult.ui.practice.desk_screen import PracticeScreen
from consult.ui.practice.keys import PRACTICE_KEYS
from tests.ui.desk import before, desk

TABLES = (CALL_KEYS, EDIT_KEYS, PRACTICE_KEYS)
SAME = {"effect": "impact", "scroll_talk": "scroll_say"}
"""Actions that are one thing to whoever presses the key: up and down in what is read."""


def meaning(action: str) -> str:
    """What a key does, however a screen comes by it: page('why') is why."""
    bare = re.sub(r"page\('(\w+)'\)", r"\1", action).split(".")[-1]
    bare = re.sub(r"\((-?\d+)\)", r" \1", bare)
    name, _, rest = bare.partition(" ")
    return f"{SAME.get(name, name)} {rest}".strip()


def test_a_key_means_one_thing() -> None:
    """In a call, in practice and in the content desk."""
    found: dict[str, set[str]] = defaultdict(set)
    for table in TABLES:
        for one in table:
            for key in one.key.split(","):
                found[key].add(meaning(one.action))
    assert {key: does for key, does in found.items() if len(does) > 1} == {}


def screens() -> list[type[Any]]:
    """Every screen of the program."""
    for module in pkgutil.walk_packages(consult.ui.__path__, "consult.ui."):
        importlib.import_module(module.name)
    found: list[type[Any]] = []
    left: list[type[Any]] = [Screen]
    while left:
        below = left.pop().__subclasses__()
        left += below
        found += [one for one in below if one.__module__.startswith("consult.")]
    return found


def test_a_page_uses_no_key_of_a_desk_for_something_else() -> None:
    """On a page a function key, or one with Ctrl or Alt, closes it or does what it always does."""
    desks = {key: meaning(one.action) for t in TABLES for one in t for key in one.key.split(",")}
    wrong = []
    for screen in screens():
        for one in screen.BINDINGS:
            if not isinstance(one, Binding) or screen in (CallScreen, PracticeScreen):
                continue
            for key in one.key.split(","):
                named = re.fullmatch(r"f\d+|(ctrl|alt)\+.*", key)
                closes = one.action.startswith("dismiss")
                if named and key in desks and not closes and meaning(one.action) != desks[key]:
                    wrong.append((screen.__name__, key, one.action))
    # Saving is how a call is finished, and F8 saves the measuring sheet too.
    assert sorted(wrong) == [
        ("FinishScreen", "f8", "save('caller')"),
        ("SheetScreen", "f8", "save"),
    ]


@pytest.mark.parametrize("one", CALL_KEYS, ids=lambda one: one.key)
def test_every_page_a_key_opens_is_there(one: Key) -> None:
    """A page that is named in the table exists."""
    found = re.fullmatch(r"page\('(\w+)'\)", one.action)
    assert found is None or found[1] in pages.PAGES


def test_every_page_has_a_key_or_a_word() -> None:
    """None is out of reach."""
    reached = {meaning(one.action) for one in (*CALL_KEYS, *SLASH_WORDS)}
    assert set(pages.PAGES) <= reached


SUGGESTED = {
    "hlep": "help",
    "finsh": "finish",
    "hodl": "hold",
    "ammend": "amend",
    "udno": "undo",
    "wyh": "why",
    "tyr": "try",
    "sings": "signs",
    "topcis": "topics",
    "pirce": "price",
    "wehn": "when",
    "noet": "note",
    "contry": "country",
    "thorogh": "thorough",
}
"""Slips of the finger -> what is suggested."""


async def test_a_slip_is_suggested(tmp_path: Path) -> None:
    """Nothing is done; the word that was meant is named, and typing replaces the slip."""
    async with desk(tmp_path, before("weight")) as at:
        answers = at.screen.now.call.answers
        for slip, meant in SUGGESTED.items():
            await at.answer(f"/{slip}")
            assert f"Did you mean /{meant}?" in at.text("#trouble"), slip
            assert at.screen.now.call.answers == answers, slip
