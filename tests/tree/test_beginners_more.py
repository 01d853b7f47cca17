"""More mistakes of somebody's first file: what each is told first names the cause."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.tree.test_beginners import FILE, told

CHOICES = "      soft: Yes\n      hard: No"

SLIPS = {
    "a tab after the dash": ("  - name: low", "  -\tname: low", "There is a tab here"),
    "a name of a block without its colon": ("  two:\n", "  two\n", "A name here has no ':'"),
    "a choice without its label": ("soft: Yes", "soft", "A name here has no ':'"),
    "a list of choices without its colon": ("    choices:\n", "    choices\n", "has no ':'"),
    "a semicolon for a colon": ("answer: choice", "answer; choice", "A name here has no ':'"),
    "a text that ends with a colon": ("suits you.", "suits you:", "This text ends with ':'"),
    "an escape that is none": (
        "ask: Is it a carpet?",
        'ask: "C:\\path"',
        "In double quotes a \\ begins a sign of its own, and \\p is none",
    ),
    "a line a space too far in": (
        "    answer: choice",
        "     answer: choice",
        "This line is indented further than the line above it",
    ),
    "a question at the left": (
        "  two:\n",
        "two:\n",
        "'two' is not indented like what belongs to 'questions'",
    ),
    "a field beside its question": (
        "    next: end\n",
        "  next: end\n",
        "'next' is not indented like the lines above it in 'questions'",
    ),
    "a first line that is indented": ("tree: little", " tree: little", "The first line is"),
    "choices beside their name": (
        CHOICES,
        "    soft: Yes\n    hard: No",
        "There is nothing here in 'choices' that is indented further",
    ),
    "a text that goes on at the left": (
        "ask: Is it a carpet?",
        "ask: Is it\na carpet?",
        "A name here has no ':'",
    ),
    "a folded text that is not there": (
        "ask: Is it a carpet?",
        "ask: >-",
        "There is no text below the > or |",
    ),
    "a comment in place of a text": (
        "because: It suits you.",
        "because: #1 reason",
        "What follows '#' is a comment",
    ),
    "a dash before the file": ("tree: little", "- tree: little", "The file begins with a dash"),
    "signs of a comparison": (
        "    ask: Is it a carpet?",
        "-    ask: Is it a carpet?\n+    ask: Is it a rug?",
        "A comparison of two versions left",
    ),
    "a letter that looks like another": (
        "next: two",
        "next: tw\u043e",
        "(cyrillic small letter o)",
    ),
    "a letter that is not seen": ("next: two", "next: t\u00adwo", "(soft hyphen)"),
    "a letter with dots": ("  two:\n", "  zw\u00f6:\n", "'\u00f6' (latin small letter o with"),
    "an inch sign in a condition": ("> 150", '> 60"', "A number in a condition has no unit"),
    "a half": ("> 150", "> 150\u00bd", "\u00bd is not a number of conditions"),
    "a minus sign": ("one > 150", "one \u2212 2 > 150", "A long dash is not a sign"),
    "a wide sign": ("> 150", "\uff1e 150", "This > is a wide one"),
    "a sign as web pages have it": ("> 150", "&gt; 150", "&gt; is written for a web page"),
    "a not sign": ("two == soft", "\u00actwo == hard", "\u00ac is not a sign of conditions"),
    "back ticks": ("when: two == soft", "when: one > 1 and `two` == soft", "without quotes"),
    "not between two names": ("two == soft", "two not soft", "'not' cannot stand between"),
    "equals in words": ("two == soft", "two equals soft", "'equals' is not a word"),
    "three equals signs": ("two == soft", "two === soft", "=== is not a sign of conditions"),
    "a list after in": ("two == soft", "two in (soft, hard)", "A list cannot follow 'in'"),
    "a list in brackets after in": ("two == soft", "two in [soft, hard]", "cannot follow 'in'"),
    "a tag of web pages": ("the seat low", "the seat <b>low</b>", "<b> is written for a web page"),
    "signs of stress": ("the seat low", "the seat **low**", "**low** would be read out"),
    "a blank in two pairs of signs": ("seat low", "seat to <<one>>", "<<one>> has one < and"),
    "quotes of a word processor around a text": (
        "ask: Is it a carpet?",
        "ask: \u201eIs it a carpet?\u201c",
        "has quotes around it that YAML reads as part of the text",
    ),
    "one label for two choices": (CHOICES, "      soft: Yes\n      hard: yes", "the same words"),
    "if for when": ("when: two ==", "if: two ==", "'if' is not a known name"),
    "a condition for a name": (
        "    next: end",
        "    next:\n      - two == soft: end\n      - otherwise: end",
        "'two == soft' is not a known name",
    ),
    "a way on in a bracket": ("    next: end", "    next: [one, end]", "do not say where to go"),
    "a caution in a question": (
        "    next: end\n",
        "    next: end\n    cautions:\n      - name: c\n",
        "'cautions' is not a known name here in 'two'",
    ),
}
"""What is right, what was written, and words of what is told."""

ILLEGAL = {"a question mark": "two?", "a space": "the two", "a capital": "Two"}


@pytest.mark.parametrize("name", SLIPS)
def test_no_slip_is_silent(tmp_path: Path, name: str) -> None:
    """One message names the cause in its first sentence."""
    right, wrong, cause = SLIPS[name]
    assert FILE.count(right) >= 1
    found = told(tmp_path, FILE.replace(right, wrong, 1).encode())
    assert any(cause in one.message for one in found), found


@pytest.mark.parametrize("name", ILLEGAL)
def test_no_name_that_is_not_allowed_is_recommended(tmp_path: Path, name: str) -> None:
    """A name that is written wrong is told of; nobody is sent to write it so elsewhere too."""
    found = told(tmp_path, FILE.replace("  two:\n", f"  {ILLEGAL[name]}:\n").encode())
    assert any("is not written correctly" in one.message for one in found)
    assert not any(ILLEGAL[name] in one.fix for one in found), found
