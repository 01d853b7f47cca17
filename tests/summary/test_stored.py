"""What a caller is told about what is stored: before they say yes, and in their own document.

Told are the controller, the purpose, how long, who receives it, and how to withdraw: GDPR, articles
7(3) and 13.
"""

from __future__ import annotations

import re

import pytest

from consult.call.state import state
from consult.retention import CALLS, HEALTH, Retention, retention_set
from consult.summary.model import summarise
from consult.summary.render import Writer, render
from consult.tree.load import load_tree
from consult.tree.model import Question, Tree
from tests.summary.calls import GOOD, REFUSED, TREES, state_of
from tests.summary.calls import basis as small_basis
from tests.ui.desk import demo, demo_basis

ASKING = ("seating", "my_chair", "set_up", "follow_up")
SPOKEN = 150 / 60
"""Words a second of ordinary speech; common practice, no source."""


def demo_tree(name: str) -> Tree:
    """A main tree that comes with us."""
    tree, problems = load_tree(TREES / f"{name}.yaml")
    assert tree is not None, problems
    return tree


def consent_of(tree: Tree) -> Question:
    return next(one for one in tree.questions.values() if one.sets == "consent")


@pytest.mark.parametrize("name", ASKING)
def test_consent_is_asked_in_a_breath(name: str) -> None:
    """Short, with who sees the answers, how long, and that no is an answer; the rest is coached."""
    asked = consent_of(demo_tree(name))
    assert 25 <= len(asked.ask.split()) <= 36
    assert all(len(one.split()) <= 30 for one in re.split(r"[.?] ", asked.ask))
    assert f"after {Retention().health_days} days" in asked.ask
    assert "Only our advisers" in asked.ask
    assert "You can say no" in asked.ask
    told = " ".join(asked.coach.split())
    for words in ("Tarnbeck Seating", f"for {Retention().days}", "employer", "at once"):
        assert words in told


@pytest.mark.parametrize("name", ASKING)
def test_consent_and_the_list_are_soon_said(name: str) -> None:
    """With nothing to report, consent and the warning signs take 75 seconds at most."""
    tree = demo_tree(name)
    signs = tree.questions["warning_signs"]
    said = [consent_of(tree).ask, signs.ask, *signs.choices.values()]
    assert sum(len(one.split()) for one in said) / SPOKEN <= 75


def test_the_caller_reads_what_is_stored() -> None:
    """How long, who sees it, how to take it back; of health only where consent was given."""
    agreed = " ".join(
        render(small_basis(), summarise(small_basis(), state_of(GOOD)), "text", "metric", "caller")
        .split()
    )  # fmt: skip
    for words in (
        "What we keep about you",
        "your answers for 365 days after your last call, those about your health for 90 days",
        "Our advisers see them",
        "take back your consent, ring us",
    ):
        assert words in agreed
    refused = summarise(small_basis(), state_of(REFUSED))
    told = " ".join(render(small_basis(), refused, "text", "metric", "caller").split())
    assert "and nothing about your health" in told
    assert "90 days" not in told


def test_an_installation_sets_its_own(monkeypatch: pytest.MonkeyPatch) -> None:
    """The document names the days that are in force, and the default where none are set."""
    monkeypatch.setenv(CALLS, "30")
    monkeypatch.setenv(HEALTH, " 7 ")
    assert retention_set() == Retention(30, 7)
    now = state(demo_basis(), demo("01").call)
    writer = Writer(demo_basis(), now, retention=retention_set())
    told = " ".join(writer.write("text", "caller").decode().split())
    assert "answers for 30 days" in told
    assert "365" not in told
    for unusable in ("", "soon", "-3", "1.5", "\u0663"):
        monkeypatch.setenv(CALLS, unusable)
        assert retention_set() == Retention(365, 7)
