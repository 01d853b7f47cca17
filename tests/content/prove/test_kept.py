"""Proofs that are stored: read again for the same tree, and proven anew once there is a solver."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest

from consult.call.basis import Basis, load_basis
from consult.content.prove import kept
from consult.content.prove.kept import Proofs
from consult.content.prove.kept import prove as prove_tree
from consult.paths import shipped_trees
from consult.tree.model import Tree
from tests.call.calls import seating


def test_a_solver_installed_later_is_used(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What was stored without it is not taken for all that can be proven."""
    asked: list[bool] = []
    there = False

    def prove(*_: object, **__: object) -> Proofs:
        asked.append(there)
        return Proofs("seating", (), (), (), (), "" if there else "no solver")

    monkeypatch.setattr(kept, "prove", prove)
    monkeypatch.setattr(kept, "find_spec", lambda _: object() if there else None)
    basis = seating()
    assert kept.proofs_of(basis, tmp_path).not_proven == "no solver"
    assert kept.proofs_of(basis, tmp_path).not_proven == "no solver"
    there = True
    assert kept.proofs_of(basis, tmp_path).not_proven == ""
    assert asked == [False, True]


def test_proofs_without_witnesses_stand_apart(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whoever wants witnesses proves anew; whoever wants none takes what is there."""
    asked: list[bool] = []

    def prove(*_: object, witnesses: bool) -> Proofs:
        asked.append(witnesses)
        return Proofs("seating", (), (), (), (), f"witnesses: {witnesses}")

    monkeypatch.setattr(kept, "prove", prove)
    basis = seating()
    for witnesses in (False, False, True, True):
        found = kept.proofs_of(basis, tmp_path, witnesses=witnesses)
        assert found.not_proven == f"witnesses: {witnesses}"
    assert asked == [False, True]
    for file in tmp_path.glob("*-bare.json"):
        file.unlink()
    assert kept.proofs_of(basis, tmp_path, witnesses=False).not_proven == "witnesses: True"


TREE = """\
tree: little
title: Little
version: 1
first: one
questions:
  one:
    ask: Is it cold?
    answer: yes-no
    next: two
  two:
    ask: Is it dark?
    answer: yes-no
    skip_when: one
    next: end
cautions:
  - name: cold
    level: note
    when: one and known(two)
    say: It is cold.
    source: common_practice
advice:
  - name: warm
    topic: warm
    when: one
    say: Put something on.
    because: It is cold.
    source: common_practice
"""
OTHERWISE = {
    "a condition": ("when: one\n", "when: not one\n"),
    "a way on": (
        "next: two",
        "next:\n      - when: one\n        go: end\n      - otherwise: two",
    ),
    "a name": ("name: warm", "name: clothes"),
    "a level": ("level: note", "level: refer"),
    "who must answer": (
        "answer: yes-no\n    next: two",
        "answer: yes-no\n    unknown: refused\n    next: two",
    ),
}


def little(folder: Path, text: str) -> Basis:
    (folder / "little.yaml").write_text(text, "utf-8")
    (folder / "contacts.yaml").write_bytes((shipped_trees() / "contacts.yaml").read_bytes())
    basis, problems = load_basis(folder / "little.yaml")
    assert basis is not None, problems
    return basis


@pytest.fixture
def proven(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The first wording of each tree that is really proven."""
    found: list[str] = []
    really = prove_tree

    def prove(tree: Tree, *rest: Any, **named: Any) -> Proofs:
        found.append(tree.questions["one"].ask)
        return really(tree, *rest, **named)

    monkeypatch.setattr(kept, "prove", prove)
    return found


def test_words_need_no_new_proof(tmp_path: Path, proven: list[str]) -> None:
    """Reworded over more lines and lower in the file it is known, at the lines of today."""
    before = kept.proofs_of(little(tmp_path, TREE), tmp_path / "kept")
    assert [one.rule for one in before.problems] == ["never-reached"]
    text = TREE.replace("Is it cold?", ">-\n      Is it cold\n      in there?").replace(
        "say: It is cold.", "say: It is very cold."
    )
    after = kept.proofs_of(little(tmp_path, f"# More.\n{text}"), tmp_path / "kept")
    assert proven == ["Is it cold?"]
    assert [one.found for one in after.witnesses] == [one.found for one in before.witnesses]
    assert [one.where.line for one in after.problems] == [
        one.where.line + 3 for one in before.problems
    ]
    assert after.witnesses[0].caller == before.witnesses[0].caller


@pytest.mark.parametrize("what", OTHERWISE)
def test_meaning_needs_a_new_proof(what: str, tmp_path: Path, proven: list[str]) -> None:
    """Whatever leads the way or decides what is said."""
    old, new = OTHERWISE[what]
    assert old in TREE
    kept.proofs_of(little(tmp_path, TREE), tmp_path / "kept")
    kept.proofs_of(little(tmp_path, TREE.replace(old, new)), tmp_path / "kept")
    assert len(proven) == 2
    kept.proofs_of(little(tmp_path, TREE), tmp_path / "kept")
    assert len(proven) == 2


def test_a_price_needs_no_new_proof_and_a_longer_lift_does(tmp_path: Path) -> None:
    """A set-up hangs on what the parts reach, and not on what they cost."""
    text = (shipped_trees() / "range.yaml").read_text("utf-8")
    (tmp_path / "range.yaml").write_text(text, "utf-8")
    first = kept.digest_of_proof(little(tmp_path, TREE))
    dearer = re.sub(r"price: (\d+)", r"price: 1\1", text, count=1)
    assert dearer != text
    (tmp_path / "range.yaml").write_text(dearer, "utf-8")
    assert kept.digest_of_proof(little(tmp_path, TREE)) == first
    longer = text.replace("seat_height: 365 to", "seat_height: 335 to")
    assert longer != text
    (tmp_path / "range.yaml").write_text(longer, "utf-8")
    assert kept.digest_of_proof(little(tmp_path, TREE)) != first
