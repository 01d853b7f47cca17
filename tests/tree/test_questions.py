"""Which questions the check says are never worth asking in a pool."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from consult.fit.replies import FACTS, SEX
from consult.paths import trees_folder
from consult.tree.check import check_tree
from consult.tree.model import DECIDING

TREE = """
tree: little
title: Little
version: 1
first: signs
works_out: {works_out}
questions:
  signs:
    include: safety
    next: consent
  consent: {{ask: May I keep it?, answer: yes-no, sets: consent, next: pool}}
  pool:
    best_of: [leg, height, close, floor, soft, rug, colour, words]
    next: end
  leg: {{ask: How long?, coach: With a tape., answer: length, unit: cm, expect: 32 to 52,
        measures: popliteal_height}}
  height: {{ask: How high?, coach: With a tape., answer: length, unit: cm, sets: desk_height}}
  close: {{ask: Do you sit close?, answer: yes-no, sets: close_to_desk}}
  floor: {{ask: Is it hard?, answer: yes-no}}
  soft: {{ask: Is there a mat?, answer: yes-no, read_by: people}}
  rug: {{ask: Is there a rug?, answer: yes-no, ask_when: soft}}
  colour: {{ask: Which colour?, answer: choice, read_by: people, choices: {{red: Red, blue: Blue}}}}
  words: {{ask: Anything else?, answer: text}}
needs:
  - {{name: hard, when: floor, feature: hard_castors, strength: must, source: invented}}
  - {{name: thick, when: rug, feature: soft_castors, strength: must, source: invented}}
  - {{name: told, when: known(words), feature: soft_castors, strength: prefer, source: invented}}
"""


def told(folder: Path, *, chairs: bool = True, works_out: str = "chair") -> list[str]:
    for name in ("contacts.yaml", "safety.yaml", *(["range.yaml"] if chairs else [])):
        shutil.copy(trees_folder() / name, folder)
    text = TREE.format(works_out=works_out)
    file = folder / "little.yaml"
    file.write_text(text, encoding="utf-8")
    problems = check_tree(file)
    assert [one for one in problems if one.severity == "error"] == []
    found = [one for one in problems if one.rule == "never-worth"]
    return [one.message.split("'")[1] for one in found]


def test_never_worth_asking(tmp_path: Path) -> None:
    """Measures, deciding facts, what a need reads and what opens such a question may be asked."""
    assert told(tmp_path) == ["close", "colour", "words"]


@pytest.mark.parametrize(("chairs", "works_out"), [(False, "chair"), (True, "nothing")])
def test_without_a_chair_every_question_is_asked(
    tmp_path: Path, chairs: bool, works_out: str
) -> None:
    """Where no chair is chosen a pool asks everything, so there is nothing to tell."""
    assert told(tmp_path, chairs=chairs, works_out=works_out) == []


def test_deciding_facts() -> None:
    """The check takes for deciding what the fit works out a worth for."""
    assert set(DECIDING) == {*FACTS, SEX}
