"""A question may be skipped once no measure would change the chair any more."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from consult.call.basis import Basis
from consult.call.chosen import Chosen
from consult.call.state import State
from consult.fit.worth import HOME_MEASURES, settled
from consult.paths import trees_folder
from consult.range.file import load_range
from consult.tree.check import check_tree
from tests.call.calls import small, told

MEASURES = {
    "height": "stature",
    "lower_leg": "popliteal_height",
    "thigh_length": "buttock_popliteal_length",
    "elbow": "elbow_rest_height",
    "thigh": "thigh_clearance",
    "hips": "hip_breadth_sitting",
    "eyes": "eye_height_sitting",
}


def tree() -> str:
    """Every home measure but the weight, each skipped once enough is known; then the eyes."""
    names = [*MEASURES, "goodbye"]
    asked = "".join(
        f"""\
  {name}:
    ask: How long is it?
    coach: With a tape.
    answer: length
    unit: cm
    expect: 10 to 220
    measures: {dimension}
    skip_when: settled
    next: {names[at + 1]}
"""
        for at, (name, dimension) in enumerate(MEASURES.items())
    )
    return f"""\
tree: little
title: A little tree
version: 2026.11
first: mass
after_stop: goodbye
questions:
  mass:
    ask: What do you weigh?
    coach: In clothes is fine.
    answer: mass
    unit: kg
    expect: 40 to 160
    measures: weight
    next: height
{asked}  goodbye:
    ask: Whom do we thank?
    answer: text
    next: end
"""


def basis_in(folder: Path, *, range_: bool = True) -> Basis:
    """The little tree, with the shipped range or none."""
    basis = small(folder, tree())
    # Beside a range the check would ask for the warning signs, which are not what is tried here.
    chairs = load_range(trees_folder() / "range.yaml")[0] if range_ else None
    return replace(basis, range=chairs)


def asked(now: State) -> list[str]:
    return [step.question.name for step in now.steps]


ALL = {
    "mass": "70 kg",
    "height": "170 cm",
    "lower_leg": "42.5 cm",
    "thigh_length": "49 cm",
    "elbow": "23 cm",
    "thigh": "15 cm",
    "hips": "38 cm",
}


def no_measure_matters(found: Chosen) -> bool:
    """Whether none that is left would change the chair."""
    return settled(one for one in found.asking if one.dimension in HOME_MEASURES)


def test_a_measure_is_skipped_once_settled(tmp_path: Path) -> None:
    """With every measure that counts taken, the last one is not asked; before, the next one is."""
    basis = basis_in(tmp_path)
    begun = told(basis, mass="70 kg")
    assert begun.current is not None
    assert begun.current.name == "height"
    now = told(basis, **ALL)
    assert now.chosen is not None
    assert no_measure_matters(now.chosen)
    assert "eyes" not in asked(now)
    assert now.current is not None
    assert now.current.name == "goodbye"


def test_skipped_means_settled_and_asked_means_not(tmp_path: Path) -> None:
    """The next measure is asked just while one of those left could change the chair."""
    basis = basis_in(tmp_path)
    given: dict[str, str] = {}
    seen = set()
    for name, said in ALL.items():
        given[name] = said
        now = told(basis, **given)
        assert now.chosen is not None
        assert now.current is not None
        done = no_measure_matters(now.chosen)
        assert (now.current.name == "goodbye") == done
        seen.add(done)
        if done:
            break
    assert seen == {False, True}


def test_without_a_range_nothing_is_settled(tmp_path: Path) -> None:
    """Where there is no chair to choose, every measure is asked."""
    now = told(basis_in(tmp_path, range_=False), **ALL)
    assert now.current is not None
    assert now.current.name == "eyes"


def test_the_checker_takes_settled_by_itself(tmp_path: Path) -> None:
    """The bare word is as good as fit.settled."""
    for word in ("settled", "fit.settled", "not settled and known(mass)"):
        folder = tmp_path / word.replace(" ", "_")
        folder.mkdir()
        basis_in(folder)
        file = folder / "little.yaml"
        file.write_text(tree().replace("skip_when: settled", f"skip_when: {word}"), "utf-8")
        assert [one for one in check_tree(file) if one.severity == "error"] == []


def test_settled_is_no_name_for_a_question(tmp_path: Path) -> None:
    """A question that would be read as the bare word is refused, in words."""
    basis_in(tmp_path)
    file = tmp_path / "little.yaml"
    file.write_text(tree().replace("goodbye", "settled"), "utf-8")
    told_of = [one for one in check_tree(file) if one.rule == "reserved-name"]
    assert len(told_of) == 1
    assert "'settled'" in told_of[0].message
