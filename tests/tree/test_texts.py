"""Blanks of a question: an amount or what the settings say, nothing that would be read out."""

from __future__ import annotations

from pathlib import Path

import pytest

from consult.problems import Problem
from consult.tree.check import check_tree

HEAD = """\
tree: t
title: A title
version: 1
first: kind
questions:
  kind:
"""
TAIL = """\
    answer: choice
    read_by: people
    next: desk_top
  desk_top: {ask: How high?, coach: Look., answer: length, unit: cm, read_by: people, next: end}
"""


def problems(folder: Path, **texts: str) -> list[Problem]:
    """What is said of a question with these texts; ``choice`` is the label of its first choice."""
    words = {"ask": "Which is it?", "coach": "Wait.", "choice": "This one"} | texts
    path = folder / "t.yaml"
    body = f"    ask: {words['ask']}\n    coach: {words['coach']}\n"
    body += f"    choices: {{this: {words['choice']}, that: The other}}\n"
    path.write_text(HEAD + body + TAIL, "utf-8")
    return check_tree(path)


@pytest.mark.parametrize(
    ("key", "text"),
    [
        ("ask", "<maker.greeting> Is it over <110 kg>?"),
        ("coach", "Ring <maker.name>. It is <4.5 cm> thick."),
        ("choice", "One by <maker.name>"),
    ],
)
def test_what_is_filled_in_may_stand(tmp_path: Path, key: str, text: str) -> None:
    """The settings fill every text of a question, and the caller's units fill ask and coach."""
    assert problems(tmp_path, **{key: text}) == []


@pytest.mark.parametrize("key", ["ask", "coach", "choice"])
@pytest.mark.parametrize(
    ("blank", "fix"),
    [
        ("fit.seat_height", "Only a blank of the settings"),
        ("body.weight", "Only a blank of the settings"),
        ("range.highest_rating", "Only a blank of the settings"),
        ("desk_top", "Only a blank of the settings"),
        ("kind", "Only a blank of the settings"),
        ("contact", "Only a blank of the settings"),
        ("maker.greting", "Did you mean 'maker.greeting'?"),
        ("Maker.Name", "Did you mean 'maker.name'?"),
    ],
)
def test_any_other_blank_is_refused(tmp_path: Path, key: str, blank: str, fix: str) -> None:
    """Also one that advice may have, or that an answer given before could fill."""
    text = f"Is it <{blank}>"
    [problem] = problems(tmp_path, **{key: text})
    assert (problem.rule, problem.severity) == ("unknown-blank", "error")
    assert f"<{blank}> would be read out" in problem.message
    assert problem.fix.startswith(fix)
    line = (tmp_path / "t.yaml").read_text("utf-8").splitlines()[problem.where.line - 1]
    assert line[problem.where.column - 1 :].startswith(f"<{blank}>")


@pytest.mark.parametrize(
    ("blank", "right"),
    [
        ("110kg", "<110 kg>"),
        ("110 KG", "<110 kg>"),
        ("45 mm", "<4.5 cm>"),
        ("45 inches", "<114.3 cm>"),
        ("18 stone", "<114.3 kg>"),
    ],
)
def test_the_nearest_amount_is_named(tmp_path: Path, blank: str, right: str) -> None:
    """An amount has one form, and any other is put into it."""
    [problem] = problems(tmp_path, ask=f"Over <{blank}>?")
    assert (problem.rule, problem.fix) == ("unknown-blank", f"Did you mean {right}?")


def test_a_choice_takes_no_amount(tmp_path: Path) -> None:
    """Its words are stored and shown as they stand, in no caller's units."""
    [problem] = problems(tmp_path, choice="Over <110 kg>")
    assert (problem.rule, problem.severity) == ("unknown-blank", "error")
    assert (
        problem.fix == "Only a blank of the settings, such as <maker.name>, may stand in a choice."
    )
