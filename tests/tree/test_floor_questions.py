"""A question that promises a caution for every choice keeps it, or the check names the choice."""

from __future__ import annotations

from pathlib import Path

import pytest

from consult.problems import Problem
from consult.tree.check import check_tree

# -- test cautioned -------------------------------------------------------------------------------
# A question that promises a caution for every choice keeps it, or the check names the choice.

TREE = """\
tree: t
title: A list of signs
version: 1
first: signs
questions:
  signs:
    ask: Is any of these true?
    answer: {answer}
    choices: {{none: None, lump: A lump, fever: A fever, unsure: Not sure}}
    {exclusive}
    cautioned: every_choice
    next: home
  home:
    ask: Do you work at home?
    answer: yes-no
    read_by: people
    next: end
cautions:
{cautions}
"""
KEPT = ("lump in signs", "fever in signs", "unsure in signs")


def problems(
    folder: Path,
    *cautions: str,
    level: str = "stop",
    answer: str = "choices",
    exclusive: str = "exclusive: none",
) -> list[Problem]:
    """What the check says of a list with these cautions; all of one level unless one is named."""
    lines = []
    for at, caution in enumerate(cautions):
        when, _, own = caution.partition(" @")
        lines.append(
            f"  - {{name: c{at}, level: {own or level}, when: {when}, say: See a doctor.}}"
        )
    path = folder / "t.yaml"
    text = TREE.format(answer=answer, cautions="\n".join(lines), exclusive=exclusive)
    path.write_text(text.replace("\n    \n", "\n"))
    return check_tree(path)


def lacking(folder: Path, *cautions: str, **more: str) -> list[str]:
    """The choices the check says raise no caution, in its order."""
    found = problems(folder, *cautions, **more)
    assert all(one.severity == "error" for one in found if one.rule == "no-caution")
    return [one.message.split("'")[1] for one in found if one.rule == "no-caution"]


def test_kept(tmp_path: Path) -> None:
    """Each choice but 'none' has its caution: nothing is said."""
    assert problems(tmp_path, *KEPT) == []
    assert problems(tmp_path, "signs != none") == []
    assert problems(tmp_path, "lump in signs or fever in signs or unsure in signs") == []


@pytest.mark.parametrize("gone", ["lump", "fever", "unsure"])
def test_each_choice_is_looked_at(tmp_path: Path, gone: str) -> None:
    """The first, one in the middle, and the last; the others are not blamed for it."""
    assert lacking(tmp_path, *(one for one in KEPT if gone not in one)) == [gone]


def test_all_that_lack_are_named(tmp_path: Path) -> None:
    """In the order of the list, each once."""
    assert lacking(tmp_path, "fever in signs") == ["lump", "unsure"]


@pytest.mark.parametrize(("level", "kept"), [("stop", True), ("refer", True), ("note", False)])
def test_only_stops_and_referrals_count(tmp_path: Path, level: str, kept: bool) -> None:
    """A note sends nobody to anybody."""
    assert lacking(tmp_path, "lump in signs", *KEPT[1:], level=level) == (
        [] if kept else ["lump", "fever", "unsure"]
    )
    assert lacking(tmp_path, f"lump in signs @{level}", *KEPT[1:]) == ([] if kept else ["lump"])


@pytest.mark.parametrize(
    "when",
    [
        "lump in signs and home",
        "lump in signs and not home",
        "lump in signs and known(home)",
        "not known(home)",
        "lump in signs and fever in signs",
        "lump not in signs",
        "home",
        "lump in signs and unsure in signs or home",
    ],
)
def test_by_itself(tmp_path: Path, when: str) -> None:
    """A caution that needs another answer, or another choice beside it, does not count."""
    assert "lump" in lacking(tmp_path, when, *KEPT[1:])


@pytest.mark.parametrize(
    "when", ["lump in signs or home", "lump in signs and (home or signs != none)"]
)
def test_what_another_answer_cannot_take_away(tmp_path: Path, when: str) -> None:
    """Alone with nothing else known the choice is enough."""
    beside = "lump in signs and (fever in signs or unsure in signs)"
    assert lacking(tmp_path, when, beside, *KEPT[1:]) == []


def test_without_an_exclusive_choice_every_one_counts(tmp_path: Path) -> None:
    """'none' is only a name; which choice says so is written in exclusive."""
    assert lacking(tmp_path, *KEPT, exclusive="") == ["none"]


def test_one_choice_alone(tmp_path: Path) -> None:
    """Where one thing is answered, each is compared as that one."""
    one = ("signs == lump", "signs == fever", "signs == unsure")
    assert lacking(tmp_path, *one, answer="choice", exclusive="") == ["none"]
    assert lacking(tmp_path, *one[1:], "signs == none", answer="choice", exclusive="") == ["lump"]


def test_the_words_say_what_would_be_right(tmp_path: Path) -> None:
    """The fix is a condition that can be copied, for a list and for one choice."""
    (said,) = problems(tmp_path, *KEPT[1:])
    assert said.rule == "no-caution"
    assert "'lump' of 'signs'" in said.message
    assert "when: lump in signs" in said.fix
    assert (said.where.line, said.where.column) == (9, 27)
    (said, *_) = [
        one
        for one in problems(tmp_path, "signs == none", answer="choice", exclusive="")
        if one.rule == "no-caution"
    ]
    assert "when: signs == lump" in said.fix


@pytest.mark.parametrize("answer", ["text", "yes-no", "count"])
def test_no_promise_where_there_are_no_choices(tmp_path: Path, answer: str) -> None:
    """Such a question has nothing to caution, and that is the only thing said of its promise."""
    path = tmp_path / "t.yaml"
    path.write_text(
        "tree: t\ntitle: A list of signs\nversion: 1\nfirst: signs\nquestions:\n  signs:\n"
        f"    ask: Well?\n    answer: {answer}\n    read_by: people\n"
        "    cautioned: every_choice\n    next: end\n"
    )
    (said,) = [one for one in check_tree(path) if one.rule == "cautioned"]
    assert answer in said.message
    assert said.where.line == 10
    assert said.severity == "error"


def test_questions_that_promise_nothing_are_left_alone(tmp_path: Path) -> None:
    """Only a question that promises is held to it, and one after it is still looked at."""
    text = TREE.format(
        answer="choices",
        exclusive="exclusive: none",
        cautions="  - {name: c, level: stop, when: lump in signs, say: See a doctor.}",
    )
    bare = text.replace("    cautioned: every_choice\n", "")
    path = tmp_path / "t.yaml"
    path.write_text(bare)
    assert "no-caution" not in [one.rule for one in check_tree(path)]
    before = (
        "before\nquestions:\n  before: {ask: Well?, answer: text, read_by: people, next: signs}"
    )
    path.write_text(text.replace("signs\nquestions:", before, 1))
    lost = [one.message.split("'")[1] for one in check_tree(path) if one.rule == "no-caution"]
    assert lost == ["fever", "unsure"]
