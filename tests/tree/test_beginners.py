"""Mistakes of somebody's first file: each is told, and what is told names the cause."""

from __future__ import annotations

from pathlib import Path

import pytest

from consult.problems import Problem
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

CAUTION = """cautions:
  - name: c
    level: stop
    when: two == soft
    say: Please <contact>.
    contact: emergency
    source: invented
"""

SLIPS = {
    "braces for a blank": (
        "the seat low",
        "the seat to {seat_height}",
        "{seat_height} would be read out",
        "<fit.seat_height>",
    ),
    "two braces": (
        "Is it a",
        "Is it {{ caller_name }} a",
        "{{ caller_name }} would be read out",
        "Write <caller_name>.",
    ),
    "per cent for a blank": ("the seat low", "the seat to %(heel)s", "would be read out", ""),
    "a misspelt blank": (
        "low.",
        "<fit.seat_hieght>.",
        "<fit.seat_hieght>",
        "Did you mean 'fit.seat_height'?",
    ),
    "a question too far in": (
        "  two:\n",
        "    two:\n",
        "'two' is indented as if it belonged to",
        "",
    ),
    "a list too far in": ("  - name: low\n", "    - name: low\n", "indented", ""),
    "a second dash": ("    topic: seat", "    - topic: seat", "indented", ""),
    "a tab": ("    ask: Is it", "\task: Is it", "There is a tab", ""),
    "a hyphen in a condition": (
        "two == soft",
        "desk-kind == soft",
        "'desk-kind'",
        "such as desk_kind",
    ),
    "a hyphen in a name": (
        "  two:\n",
        "  seat-height:\n",
        "'seat-height' is not written correctly",
        "",
    ),
    "choices as a list": (
        "      soft: Yes\n      hard: No",
        "      - Yes\n      - No",
        "a list in 'choices'",
        "dashes",
    ),
    "a sign of mathematics": ("one > 150", "one ≤ 150", "≤ is not", "Write <=."),
    "another sign": ("two == soft", "two ≠ soft", "≠ is not", "Write !=."),
    "unequal as in Basic": ("two == soft", "two <> soft", "<> is not", "Write !=."),
    "a long dash": ("one > 150", "one – 2 > 150", "A long dash", "Write - to subtract."),
    "curly quotes in a condition": ("== soft", "== “soft”", "without quotes", ""),
    "quotes in a condition": ("== soft", "== 'soft'", "without quotes", ""),
    "a space that is none": (
        "two == soft",
        f"two =={NBSP}soft",
        "looks like a space",
        "type a space",
    ),
    "a key misspelt": ("    ask: Is it", "    aks: Is it", "'aks'", "Did you mean 'ask'?"),
    "a key with a letter twice": (
        "    ask: Is it",
        "    akss: Is it",
        "'akss'",
        "Did you mean 'ask'?",
    ),
    "a value misspelt": ("answer: choice", "answer: chioce", "'chioce'", "Did you mean 'choice'?"),
    "marks of a merge": (
        "  two:\n",
        "<<<<<<< mine\n  two:\n=======\n",
        "A merge of two versions",
        "",
    ),
    "a label for a choice": ("== soft", "== Yes", "has no choice 'Yes'", ""),
    "a unit in a condition": ("> 150", "> 150 cm", "has no unit", ""),
    "a decimal comma": ("> 150", "> 150,5", "A comma", "a number has a point"),
    "one equals sign": ("two == soft", "two = soft", "A single =", "Write =="),
    "and as in C": ("and one", "&& one", "& is not", "Write and."),
    "a loud and": ("and one", "AND one", "'AND' is not", "Write and."),
    "is": ("two == soft", "two is soft", "'is' is not", "Write == or !=."),
    "in the wrong way round": (
        "two == soft",
        "soft in two",
        "'in' needs a question of several",
        "Write two == soft.",
    ),
    "a colon in a text": ("Is it a", "Is it: a", "': '", ""),
    "an open quote": ("Is it a carpet?", '"Is it a carpet?', "never closed", ""),
    "a comment in a text": ("Is it a", "Is it # a", "comment", ""),
    "a star first": ("Is it a carpet?", "*Is it a carpet?", "cannot start with & or *", ""),
    "an at sign first": ("Is it a carpet?", "@Is it a carpet?", "cannot start with '@'", ""),
    "no colon": ("    answer: choice", "    answer choice", "no ':' after it", ""),
    "no space after a colon": ("    answer: choice", "    answer:choice", "needs a space", ""),
    "nothing after it": ("    next: end\n", "", "does not say what comes next", ""),
    "a way to nowhere": ("next: two", "next: tow", "no question 'tow'", "Did you mean 'two'?"),
    "a name twice": ("  two:\n", "  one:\n", "'one' is here a second time", ""),
    "yes for a name": ("soft: Yes", "yes: Yes", "A choice cannot be called 'yes'", ""),
    "a unit written out": ("unit: cm", "unit: centimetres", "'centimetres'", "It is cm, mm"),
    "an empty question": ("ask: Is it a carpet?", "ask:", "There is nothing here", ""),
    "no source": ("    source: invented\n", "", "does not say its source", ""),
    "a field twice": (
        "    ask: Is it a carpet?\n",
        "    ask: Is it a carpet?\n    ask: Is it a rug?\n",
        "'ask' is here a second time. The first is on line 14",
        "Delete one",
    ),
    "a tab before a dash": ("  - name: low", "\t- name: low", "There is a tab", ""),
    "a file called otherwise": (
        "tree: little",
        "tree: small",
        "its file is called 'little.yaml'",
        "tree: little",
    ),
    "a first question that is none": ("first: one", "first: on", "no question 'on'", "'one'"),
    "yes/no": (
        "answer: choice\n    choices:\n      soft: Yes\n      hard: No",
        "answer: yes/no",
        "'yes/no' is not allowed",
        "'yes-no'",
    ),
    "a span with a dash": (
        "unit: cm",
        "unit: cm\n    expect: 120–220",
        "expect is not two numbers",
        "32 to 52",
    ),
    "a span the wrong way round": (
        "unit: cm",
        "unit: cm\n    expect: 220 to 120",
        "the wrong way round",
        "lower number first",
    ),
    "height for stature": (
        "measures: stature",
        "measures: height",
        "'height' is not allowed",
        "'stature'",
    ),
    "an empty condition": (
        "when: two == soft and one > 150",
        "when:",
        "There is nothing here in 'when'",
        "",
    ),
    "a bracket left open": (
        "two == soft and one > 150",
        "(two == soft and one > 150",
        "A bracket is missing its partner",
        "",
    ),
    "is known": ("one > 150", "one is known", "'is known' is not written so", "known(one)"),
    "a condition that decides nothing": (
        "    ask: Is it",
        "    skip_when: no\n    ask: Is it",
        "skip_when is always no",
        "delete it",
    ),
    "else": (
        "    next: end",
        "    next:\n      - when: two == soft\n        go: end\n      - else: end",
        "'else' is not a known name",
        "'otherwise'",
    ),
    "routes without otherwise": (
        "    next: end",
        "    next:\n      - when: two == soft\n        go: end",
        "do not say where to go",
        "- otherwise:",
    ),
    "an apostrophe in quotes": (
        "ask: Is it a carpet?",
        "ask: 'It's a carpet?'",
        "Something follows the closing quote",
        "",
    ),
    "a text that begins with a dash": (
        "ask: Is it",
        "ask: - Is it",
        "A list cannot start here",
        "",
    ),
    "choices on one line": (
        "choices:\n      soft: Yes\n      hard: No",
        "choices: soft, hard",
        "This is text in 'choices'",
        "further in",
    ),
    "a capital": ("next: end", "next: End", "'End' is not written correctly", "small letters"),
    "a blank with spaces": (
        "the seat low",
        "the seat to < one >",
        "< one > would be read out",
        "<one>",
    ),
    "square brackets for a blank": (
        "the seat low",
        "the seat to [one]",
        "[one] would be read out",
        "<one>",
    ),
    "a dollar for a blank": ("the seat low", "the seat to $one", "$one would be read out", "<one>"),
    "a blank left open": ("the seat low", "the seat to <one", "<one would be read out", "<one>"),
    "equal before less": ("one > 150", "one =< 150", "=< is not a sign", "<="),
    "between": (
        "one > 150",
        "one between 100 and 150",
        "'between' is not a word",
        "70 <= one <= 80",
    ),
    "greater than": (
        "one > 150",
        "one greater than 150",
        "'greater than' is not written in words",
        "Write >.",
    ),
    "contains": ("two == soft", "two contains soft", "'contains' is not a word", "soft in two"),
    "a call without end": ("next: end", "next: one", "would go round in circles", ""),
    "a wide colon": ("    ask: Is it", "    ask： Is it", "'：' looks like ':'", ""),
    "a bullet for a dash": (
        "  - name: low",
        "  • name: low",
        "'•' begins no list",
        "Write - and a space",
    ),
    "a list without dashes": (
        "  - name: low",
        "    name: low",
        "a block of names and values in 'advice'",
        "Put a dash",
    ),
    "spaces that are none before a name": (
        "    ask: Is it",
        f"  {NBSP}{NBSP}ask: Is it",
        "not a plain space",
        "",
    ),
    "next among the choices": (
        "    next: end",
        "      next: end",
        "'next' is indented as if it were a choice",
        "Indent it",
    ),
    "a comma at the end": (
        "    ask: Is it a carpet?",
        '    "ask": "Is it a carpet?",',
        "does not end with a comma",
        "Delete it",
    ),
    "an equals sign for a colon": ("    ask: Is it", "    ask = Is it", "not a '='", ""),
    "a comment of another language": (
        "    ask: Is it",
        "    // the floor\n    ask: Is it",
        "'//' begins no comment",
        "Write #",
    ),
    "advice among the questions": ("advice:\n", "  advice:\n", "This is a list in 'advice'", ""),
    "a level that is none": (
        "advice:",
        CAUTION.replace("stop", "warning") + "advice:",
        "'warning' is not allowed",
        "note, refer or stop",
    ),
    "a contact of nobody": (
        "advice:",
        CAUTION + "advice:",
        "There is no contacts.yaml",
        "Add the file",
    ),
    "a question of one line": (
        FILE[FILE.index("  two:") : FILE.index("advice:")],
        "  two: Is it a carpet?\n",
        "This is text in 'two'",
        "further in",
    ),
    "a control character": ("Is it a", "Is it\x07 a", "There is a control character here", ""),
}
"""What is right, what was written, words of the first sentence told, and of what would be right."""

SUMS = {
    "<one + fit.seat_height - 2 cm to 1 cm>": "",
    "<two + fit.seat_height>": "'two' is no length and no mass",
    "<one + body.weight>": "A length and a mass cannot be added up",
    "<one + 2 kg>": "A length and a mass cannot be added up",
    "<one + fit.seat>": "Nothing called 'fit.seat'",
    "<one+2>": "Nothing called <one+2>",
}
"""Blanks that add up, and what is told of each."""

BYTES = {
    "UTF-16": (FILE.encode("utf-16"), "written in UTF-16"),
    "an old encoding": (
        FILE.replace("carpet", "café").encode("cp1252"),
        "This 'é' is not written in UTF-8",
    ),
    "a word processor": (b"{\\rtf1\\ansi tree: little}", "a document of another program"),
    "a packed document": (b"PK\x03\x04\xff\xfe", "a document of another program"),
    "nothing": (b"", "The file is empty"),
}


def told(folder: Path, content: bytes) -> list[Problem]:
    (folder / "little.yaml").write_bytes(content)
    return load_tree(folder / "little.yaml")[1]


def test_the_file_is_sound(tmp_path: Path) -> None:
    """So that whatever is told below is told of the slip."""
    assert told(tmp_path, FILE.encode()) == []


@pytest.mark.parametrize("name", SLIPS)
def test_no_slip_is_silent(tmp_path: Path, name: str) -> None:
    """One message names the cause in its first sentence, and what would be right after it."""
    right, wrong, cause, fix = SLIPS[name]
    assert FILE.count(right) >= 1
    found = told(tmp_path, FILE.replace(right, wrong, 1).encode())
    assert any(cause in one.message and fix in one.fix for one in found), found


@pytest.mark.parametrize("blank", SUMS)
def test_sums_in_blanks(tmp_path: Path, blank: str) -> None:
    """Lengths add up, with their rounding; what does not is told."""
    found = told(tmp_path, FILE.replace("the seat low", f"the seat to {blank}").encode())
    assert SUMS[blank] in "".join(one.message for one in found)
    assert bool(found) == bool(SUMS[blank])


@pytest.mark.parametrize("name", BYTES)
def test_no_file_of_another_kind_is_silent(tmp_path: Path, name: str) -> None:
    """What a text editor or a word processor makes of a tree is called what it is."""
    content, cause = BYTES[name]
    found = told(tmp_path, content)
    assert any(cause in one.message for one in found), found
