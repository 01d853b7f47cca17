"""Mistakes of somebody's first file: each is told, and what is told names the cause."""

from __future__ import annotations

from pathlib import Path

import pytest

from consult.tree.load import load_tree

FILE = """tree: little
title: Little
version: 1
first: one
questions:
  one:
    ask: How tall are you?
    coach: From memory is fine.
    answer: length
    unit: cm
    measures: stature
    next: two
  two:
    ask: Is it a carpet?
    answer: choice
    choices:
      soft: Yes
      hard: No
    next: end
advice:
  - name: low
    topic: seat
    when: two == soft and one > 150
    say: Set the seat low.
    because: It suits you.
    source: invented
"""
NBSP = chr(0xA0)

SLIPS = {
    "braces for a blank": ("the seat low", "the seat to {seat_height}", "<fit.seat_height>"),
    "two braces": ("Is it a", "Is it {{ caller_name }} a", "Write <caller_name>."),
    "per cent for a blank": ("the seat low", "the seat to %(heel)s", "would be read out"),
    "a misspelt blank": ("low.", "<fit.seat_hieght>.", "Did you mean 'fit.seat_height'?"),
    "a question too far in": ("  two:\n", "    two:\n", "'two' is indented as if it belonged to"),
    "a list too far in": ("  - name: low\n", "    - name: low\n", "indented"),
    "a second dash": ("    topic: seat", "    - topic: seat", "indented"),
    "a tab": ("    ask: Is it", "\task: Is it", "There is a tab"),
    "a hyphen in a condition": ("two == soft", "desk-kind == soft", "such as desk_kind"),
    "a hyphen in a name": (
        "  two:\n",
        "  seat-height:\n",
        "'seat-height' is not written correctly",
    ),
    "choices as a list": ("      soft: Yes\n      hard: No", "      - Yes\n      - No", "dashes"),
    "a sign of mathematics": ("one > 150", "one ≤ 150", "Write <=."),
    "another sign": ("two == soft", "two ≠ soft", "Write !=."),
    "unequal as in Basic": ("two == soft", "two <> soft", "Write !=."),
    "a long dash": ("one > 150", "one – 2 > 150", "Write - to subtract."),
    "curly quotes in a condition": ("== soft", "== “soft”", "without quotes"),
    "quotes in a condition": ("== soft", "== 'soft'", "without quotes"),
    "a space that is none": ("two == soft", f"two =={NBSP}soft", "type a space"),
    "a key misspelt": ("    ask: Is it", "    aks: Is it", "Did you mean 'ask'?"),
    "a key with a letter twice": ("    ask: Is it", "    akss: Is it", "Did you mean 'ask'?"),
    "a value misspelt": ("answer: choice", "answer: chioce", "Did you mean 'choice'?"),
    "marks of a merge": ("  two:\n", "<<<<<<< mine\n  two:\n=======\n", "A merge of two versions"),
    "a label for a choice": ("== soft", "== Yes", "has no choice 'Yes'"),
    "a unit in a condition": ("> 150", "> 150 cm", "has no unit"),
    "a decimal comma": ("> 150", "> 150,5", "a number has a point"),
    "one equals sign": ("two == soft", "two = soft", "Write =="),
    "and as in C": ("and one", "&& one", "Write and."),
    "a loud and": ("and one", "AND one", "Write and."),
    "is": ("two == soft", "two is soft", "Write == or !=."),
    "in the wrong way round": ("two == soft", "soft in two", "Write two == soft."),
    "a colon in a text": ("Is it a", "Is it: a", "': '"),
    "an open quote": ("Is it a carpet?", '"Is it a carpet?', "never closed"),
    "a comment in a text": ("Is it a", "Is it # a", "comment"),
    "a star first": ("Is it a carpet?", "*Is it a carpet?", "cannot start with & or *"),
    "an at sign first": ("Is it a carpet?", "@Is it a carpet?", "cannot start with '@'"),
    "no colon": ("    answer: choice", "    answer choice", "no ':' after it"),
    "no space after a colon": ("    answer: choice", "    answer:choice", "needs a space"),
    "nothing after it": ("    next: end\n", "", "does not say what comes next"),
    "a way to nowhere": ("next: two", "next: tow", "Did you mean 'two'?"),
    "a name twice": ("  two:\n", "  one:\n", "'one' is here a second time"),
    "yes for a name": ("soft: Yes", "yes: Yes", "A choice cannot be called 'yes'"),
    "a unit written out": ("unit: cm", "unit: centimetres", "It is cm, mm"),
    "an empty question": ("ask: Is it a carpet?", "ask:", "There is nothing here"),
    "no source": ("    source: invented\n", "", "does not say its source"),
}


def told(folder: Path, text: str) -> list[str]:
    (folder / "little.yaml").write_text(text, encoding="utf-8")
    return [str(problem) for problem in load_tree(folder / "little.yaml").problems]


def test_the_file_is_sound(tmp_path: Path) -> None:
    """So that whatever is told below is told of the slip."""
    assert told(tmp_path, FILE) == []


@pytest.mark.parametrize("name", SLIPS)
def test_no_slip_is_silent(tmp_path: Path, name: str) -> None:
    """One message at least says what was done, or what would be right."""
    right, wrong, words = SLIPS[name]
    assert FILE.count(right) >= 1
    found = told(tmp_path, FILE.replace(right, wrong, 1))
    assert any(words in one for one in found), found
