"""Pools and topics as edits: what leads where afterwards, and what is refused."""

from __future__ import annotations

from pathlib import Path

import pytest

from consult.content.editing.edits_questions import (
    add_pool,
    add_topic,
    gone_from_pool,
    into_pool,
    new_tree,
    out_of_pool,
)
from consult.content.editing.patching import Refused, spans_of
from consult.tree.check import check_tree

TEXT = """tree: little
title: Little
version: 1
first: one   # a remark
after_stop: one
questions:
  one: {ask: One?, answer: yes-no, read_by: people, next: two}
  two: {ask: Two?, answer: yes-no, read_by: people, next: three}
  three:
    ask: Three?
    answer: yes-no
    next:
      - when: three
        go: one_more
      - otherwise: end
  one_more: {ask: More?, answer: text, next: end}
"""


def at(text: str, *steps: str) -> object:
    return spans_of(text).at(("questions", *steps))


def problems(folder: Path, **texts: str) -> list[str]:
    overlay = {folder / f"{name}.yaml": text for name, text in texts.items()}
    return [str(one) for one in check_tree(folder / "little.yaml", texts=overlay)]


def test_a_pool_takes_the_place_of_its_first_question(tmp_path: Path) -> None:
    """Beginnings lead to it too; remarks stay."""
    text = add_pool(TEXT, "both", "one")
    assert "first: both   # a remark\nafter_stop: both\n" in text
    assert at(text, "both") == {"best_of": ["one"], "next": "two"}
    text = into_pool(text, "both", "two")
    assert at(text, "both") == {"best_of": ["one", "two"], "next": "three"}
    assert problems(tmp_path, little=text) == []


def test_out_again(tmp_path: Path) -> None:
    """It is asked right after the pool, which leads to it."""
    text = out_of_pool(into_pool(add_pool(TEXT, "both", "one"), "both", "two"), "both", "one")
    assert at(text, "both") == {"best_of": ["two"], "next": "one"}
    assert at(text, "one", "next") == "three"
    assert problems(tmp_path, little=text) == []


def test_what_cannot_be() -> None:
    """Each is told in words, and changes nothing."""
    text = add_pool(TEXT, "both", "one")
    with pytest.raises(Refused, match="several routes"):
        into_pool(text, "both", "three")
    with pytest.raises(Refused, match="already asked in the pool 'both'"):
        into_pool(text, "both", "one")
    with pytest.raises(Refused, match="no question 'four'"):
        into_pool(text, "both", "four")
    with pytest.raises(Refused, match="at least one"):
        out_of_pool(text, "both", "one")
    with pytest.raises(Refused, match="not in the pool"):
        gone_from_pool(text, "both", "two")


def test_topics(tmp_path: Path) -> None:
    """The first brings the adviser's question, the second joins it; both are sound."""
    text = add_topic(TEXT, "light", "Light: where from", "the lamp", "one")
    text = add_topic(text, "noise", "Noise", "the wall", "two")
    light = new_tree("light", "Light: where from", "1", "lamp", "Is there a lamp?")
    noise = new_tree("noise", "Noise", "1", "loud", "Is it loud?")
    assert at(text, "topics_opened", "choices") == {"light": "Light: where from", "noise": "Noise"}
    found = problems(tmp_path, little=text, light=light, noise=noise)
    assert [one.partition("Nothing uses")[1] for one in found] == ["Nothing uses"] * 2
