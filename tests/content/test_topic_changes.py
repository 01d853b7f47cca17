"""What differs in topics, in words."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from consult.content.changes.trees import changes
from consult.content.changes.words import Change, Weight
from consult.problems import Where
from consult.tree.condition import parse_condition
from consult.tree.model import Caution, Tree
from tests.call.topical import topical


@pytest.fixture
def tree(tmp_path: Path) -> Tree:
    return topical(tmp_path).tree


def screen(tree: Tree, **changed: object) -> Tree:
    """The tree with one topic changed."""
    topics = {**tree.topics, "screen": replace(tree.topics["screen"], **changed)}  # type: ignore[arg-type]
    return replace(tree, topics=topics)


def only(old: Tree, new: Tree) -> Change:
    (told,) = changes(old, new)
    return told


def test_what_the_list_says(tree: Tree) -> None:
    """Title and changes are words, not the way."""
    told = only(tree, screen(tree, title="Screens"))
    assert told.text == (
        "The topic 'screen' now is called “Screens”; before it was “Screen and glasses”."
    )
    assert told.weight == Weight.WORDS
    assert "could change “nothing”" in only(tree, screen(tree, changes="nothing")).text


def test_come_and_gone(tree: Tree) -> None:
    """A topic that is new, gone, or in another place."""
    fewer = replace(tree, topics={"sharing": tree.topics["sharing"]})
    assert only(tree, fewer).text == "The topic 'screen' was removed."
    assert only(fewer, tree).text == "The topic 'screen' is new."
    turned = replace(tree, topics={name: tree.topics[name] for name in ("sharing", "screen")})
    assert only(tree, turned).text == "The topic 'sharing' moved: it is now first."


def test_opening(tree: Tree) -> None:
    """What opens it by itself; graver where a caution rests on what is asked in it."""
    shut = screen(tree, open_when=None)
    told = only(tree, shut)
    assert told.text.startswith("The topic 'screen' no longer opens by itself; before, it was when")
    assert (told.weight, told.weaker) == (Weight.WAY, False)
    assert only(shut, tree).text.startswith("The topic 'screen' now opens by itself when")
    other = screen(tree, open_when=parse_condition("not neck"))
    assert only(tree, other).text.startswith("The opening of 'screen' now counts when")
    caution = Caution("eyes", Where("a", 1, 1), "refer", parse_condition("glasses"), "Well.")
    guarded, shut = (replace(one, cautions=(caution,)) for one in (tree, shut))
    told = only(guarded, shut)
    assert (told.weight, told.about, told.weaker) == (Weight.SAFETY, "topic.screen", True)


def test_into_a_topic(tree: Tree) -> None:
    """A question that is asked only in a topic now."""
    questions = {**tree.questions, "shared": replace(tree.questions["shared"], topic=None)}
    told = only(replace(tree, questions=questions), tree)
    assert told.text == (
        "The question 'shared' is now asked in the topic 'sharing', where that is open; "
        "before, in every call."
    )
