"""Questions about health on a way past consent: safe where they are asked only with a yes."""

from __future__ import annotations

from pathlib import Path

import pytest

from consult.tree.check import check_tree
from consult.tree.constant import OPEN, possible

TREE = """\
tree: t
title: T
version: 1
first: who
questions:
  who:
    ask: Who sits there?
    answer: choice
    choices: {{one: One, team: Several}}
    next: [{{when: who == team, go: tall}}, {{otherwise: consent}}]
  consent: {{ask: May I?, answer: yes-no, sets: consent, next: tall}}
  tall: {{ask: Are you tall?, answer: yes-no, read_by: people, next: ache}}
  ache: {{ask: Does it ache?, answer: yes-no, private: health, read_by: people, {guard}next: end}}
"""


def rules(folder: Path, guard: str, text: str = TREE) -> list[str]:
    """What the check has against a question about health that a team comes to unasked."""
    file = folder / "t.yaml"
    file.write_text(text.format(guard=f"{guard}, " if guard else ""), "utf-8")
    return sorted(each.rule for each in check_tree(file) if each.severity == "error")


@pytest.mark.parametrize(
    "guard",
    [
        "ask_when: consent",
        "ask_when: consent == yes",
        "ask_when: consent and tall",
        "ask_when: tall and consent",
        "ask_when: consent and (tall or who == one)",
        "ask_when: not (not consent or tall)",
    ],
)
def test_asked_only_with_a_yes(tmp_path: Path, guard: str) -> None:
    """Nobody who was not asked, and nobody who said no, comes to it."""
    assert rules(tmp_path, guard) == []


@pytest.mark.parametrize(
    "guard",
    [
        "",
        "skip_when: not consent",
        "ask_when: tall",
        "ask_when: consent or tall",
        "ask_when: not known(consent)",
        "ask_when: consent and tall or who == team",
    ],
)
def test_asked_of_who_was_not_asked_for_consent(tmp_path: Path, guard: str) -> None:
    """What may be true before anybody was asked is no guard."""
    assert "consent-too-late" in rules(tmp_path, guard)


@pytest.mark.parametrize("guard", ["ask_when: known(consent)", "ask_when: not consent"])
def test_asked_of_who_said_no(tmp_path: Path, guard: str) -> None:
    """It waits for the question, but not for a yes."""
    assert rules(tmp_path, guard) == ["floor-consent"]


def test_consent_that_nobody_asks_for(tmp_path: Path) -> None:
    """A guard is none where no question sets consent."""
    without = TREE.replace("sets: consent, ", "")
    assert "no-consent" in rules(tmp_path, "ask_when: consent", without)


def test_what_a_condition_can_come_to() -> None:
    """With consent not known and all else open; what cannot be read can be anything."""
    names = ("consent", "tall")
    unasked = {"consent": None}
    assert True not in possible("consent and tall", unasked, names)
    assert False in possible("consent and tall", unasked, names)
    assert possible("consent", unasked, names) == {None}
    assert True in possible("consent or tall", unasked, names)
    assert possible("known(consent)", unasked, names) == {False}
    assert possible("consent and tall", {"consent": True}, names) == OPEN
    assert possible("consent and (", unasked, names) == OPEN
    assert possible(None, unasked, names) == {False}
