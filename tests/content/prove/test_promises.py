"""Promises of the safety floor: they hold of every tree, and no file of trees holds them."""

from __future__ import annotations

import shutil
from dataclasses import replace
from pathlib import Path

import pytest

from consult.call.basis import Basis, load_basis
from consult.content.prove import kept
from consult.content.prove.kept import Proofs, proofs_of, prove
from consult.content.prove.promises import FLOOR, floor_promises
from consult.paths import trees_folder
from consult.tree.condition import parse_condition
from consult.tree.model import Route, Tree

# -- promises of the safety floor: they hold of every tree, and no file of trees holds them -------

LITTLE = """\
tree: little
title: Little
version: 1
first: consent
questions:
  consent:
    ask: May I ask about health?
    answer: yes-no
    unknown: refused
    sets: consent
    next: the_safety
  the_safety:
    include: safety
    next: tall
  tall:
    ask: How tall are you?
    coach: Against a wall.
    answer: length
    unit: cm
    expect: 140 to 205
    measures: stature
    next:
      - when: consent
        go: ache
      - otherwise: end
  ache:
    ask: Does your back ache?
    answer: yes-no
    private: health
    next: end
advice:
  - name: move
    topic: breaks
    when: ache
    say: Get up now and then.
    because: It helps.
    source: common_practice
"""


@pytest.fixture
def basis(tmp_path: Path) -> Basis:
    """A little tree with the shipped list of signs, and a range beside it."""
    for name in ("safety.yaml", "contacts.yaml", "range.yaml"):
        shutil.copy(trees_folder() / name, tmp_path)
    (tmp_path / "little.yaml").write_text(LITTLE, "utf-8")
    found, problems = load_basis(tmp_path / "little.yaml")
    assert found is not None, [str(each) for each in problems]
    return found


def standings(basis: Basis, tree: Tree) -> dict[str, str]:
    """How the promises of the floor stand, without the beginning of their names."""
    proofs = prove(tree, replace(basis, tree=tree))
    broken = {each.message.split("'")[1] for each in proofs.problems if each.severity == "error"}
    found: dict[str, str] = {}
    for one in proofs.properties:
        if one.name.startswith(FLOOR):
            found[one.name.removeprefix(FLOOR)] = one.standing
            assert (one.standing == "refuted") == (one.name in broken)
    return found


def test_a_sound_tree_keeps_them(basis: Basis) -> None:
    """Four, none of which stands in a file."""
    assert standings(basis, basis.tree) == {
        "warning_signs_stops": "proven",
        "warning_signs_is_referred": "proven",
        "signs_before_a_chair": "proven",
        "health_after_consent": "proven",
    }
    without = replace(basis.tree, always=())
    assert set(standings(basis, without).values()) == {"proven"}


def test_a_sign_that_stops_nobody(basis: Basis) -> None:
    """One caution lowered, and the caller who goes on is shown."""
    milder = tuple(
        replace(each, level="refer") if each.name == "emergency_sign" else each
        for each in basis.tree.cautions
    )
    found = standings(basis, replace(basis.tree, cautions=milder, always=()))
    assert found["warning_signs_stops"] == "refuted"
    assert found["warning_signs_is_referred"] == "proven"


def test_a_referral_that_is_gone(basis: Basis) -> None:
    """A sign for a clinician may go on with the chair, but not unsaid."""
    fewer = tuple(each for each in basis.tree.cautions if each.name != "limits_first")
    found = standings(basis, replace(basis.tree, cautions=fewer, always=()))
    assert found["warning_signs_is_referred"] == "refuted"


def test_a_way_past_the_signs(basis: Basis) -> None:
    """Whoever refuses is measured without having heard the list."""
    consent = basis.tree.questions["consent"]
    (on,) = consent.routes
    routes = (Route(parse_condition("consent"), on.go, on.where), Route(None, "tall", on.where))
    questions = {**basis.tree.questions, "consent": replace(consent, routes=routes)}
    found = standings(basis, replace(basis.tree, questions=questions))
    assert found["signs_before_a_chair"] == "refuted"
    assert found["health_after_consent"] == "proven"


def test_health_for_those_who_refused(basis: Basis) -> None:
    """Asked of everybody, though only some said yes."""
    tall = basis.tree.questions["tall"]
    routes = (Route(None, "ache", tall.where),)
    questions = {**basis.tree.questions, "tall": replace(tall, routes=routes)}
    found = standings(basis, replace(basis.tree, questions=questions))
    assert found["health_after_consent"] == "refuted"
    assert found["signs_before_a_chair"] == "proven"


def test_who_is_not_advised_on_a_chair(basis: Basis) -> None:
    """Without a range, and for a buyer, the signs need not come first; they stop all the same."""
    buyer = replace(basis.tree, advises="a_buyer")
    names = [each.name for each in floor_promises(buyer, with_chairs=True)]
    assert names == [each.name for each in floor_promises(basis.tree, with_chairs=False)]
    assert f"{FLOOR}signs_before_a_chair" not in names
    assert f"{FLOOR}warning_signs_stops" in names


def test_proofs_are_kept(basis: Basis, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The same tree is proven once; another first question, and a damaged file, are proven anew."""
    proved: list[str] = []

    def counted(tree: Tree, of: Basis, *_: object, **__: object) -> Proofs:
        proved.append(tree.name)
        return prove(tree, of)

    monkeypatch.setattr(kept, "prove", counted)
    folder = tmp_path / "kept"
    file = tmp_path / "little.yaml"
    said = "tree: little\nversion: {}\nfirst: a\nquestions: {{a: {{}}}}\n"
    file.write_text(said.format(1))
    tree = replace(basis.tree, cautions=(), always=(), files=(str(file),))
    broken = replace(basis, tree=tree)
    first = proofs_of(broken, folder)
    file.write_text(said.format(2))
    again = proofs_of(broken, folder)
    assert proved == ["little"]
    assert any(each.severity == "error" for each in first.problems)
    assert any(one.caller for one in first.witnesses)
    assert again == first
    last = [*tree.questions][-1]
    assert last != tree.first
    proofs_of(replace(basis, tree=replace(tree, first=last)), folder)
    assert len(proved) == 2
    for one in folder.iterdir():
        one.write_text('{"problems": 1}')
    assert proofs_of(broken, folder).problems == first.problems
    assert len(proved) == 3
