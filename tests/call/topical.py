"""A little tree with topics, for tests: one opens by itself, one is only opened by somebody."""

from __future__ import annotations

from pathlib import Path

from consult.call.basis import Basis
from tests.call.calls import small

MAIN = """tree: little
title: Little
version: 1
first: neck
questions:
  neck:
    ask: Does your neck ache?
    answer: yes-no
    next: opened
  opened:
    ask: Which topics should be opened?
    answer: choices
    sets: topics
    ask_when: known(opened)
    choices: {screen: Screen and glasses, sharing: Sharing the chair}
    next: the_screen
  the_screen:
    topic: screen
    title: Screen and glasses
    changes: where the screen stands
    open_when: neck
    next: more
  more:
    ask: Which of these would help?
    answer: choices
    sets: topics
    choices: {none: Nothing more, sharing: Sharing the chair}
    exclusive: none
    next: the_sharing
  the_sharing:
    topic: sharing
    title: Sharing the chair
    changes: how fast it is set
    next: goodbye
  goodbye:
    ask: Thank you. Anything else?
    answer: text
    next: end
advice:
  - name: screen_down
    topic: screen
    when: glasses and screens != none
    say: Lower the screen.
    because: The neck rests.
    source: common_practice
"""
SCREEN = """tree: screen
title: Screen
version: 1
first: glasses
questions:
  glasses:
    ask: Do you wear glasses for the screen?
    answer: yes-no
    next:
      - when: glasses
        go: varifocal
      - otherwise: screens
  varifocal:
    ask: Do they change from top to bottom?
    answer: yes-no
    read_by: people
    next: screens
  screens:
    ask: What do you look at?
    answer: choices
    choices: {none: Nothing, one: One screen, two: Two screens}
    exclusive: none
    skip_when: not glasses
    next: end
"""
SHARING = """tree: sharing
title: Sharing
version: 1
first: shared
questions:
  shared:
    ask: How many people share it?
    answer: count
    read_by: people
    next: end
"""


def topical(folder: Path, more: str = "") -> Basis:
    """The tree, with ``more`` at its end, written to a folder and loaded."""
    (folder / "screen.yaml").write_text(SCREEN, encoding="utf-8")
    (folder / "sharing.yaml").write_text(SHARING, encoding="utf-8")
    return small(folder, MAIN + more)
