"""Callers drawn from traits: by seed, different ones, and with mistakes told where they stand."""

from __future__ import annotations

from pathlib import Path

import pytest

from consult.practice.load import load_persona, practice_problems
from consult.practice.model import Persona
from tests.call.calls import basis_of
from tests.practice.callers import CALLERS, HEAD, survey, written

TRAITS = """\
traits_of_callers: Some
tree: little
traits:
  back:
    group: ache
    truth: {sites: [back]}
  neck:
    group: ache
    truth: {sites: [neck]}
  boots:
    group: error
    behaviours:
      - {name: boots, kind: shoes_on, at: stature, off: 3 to 9 cm, explain: In boots.}
  hat:
    group: error
    behaviours:
      - {name: hat, kind: wrong_tape, at: stature, off: -9 to -3 cm, explain: In a hat.}
"""
DRAWS = "draws: {ache: 1, error: 1}\n"


def drawn(seed: int) -> Persona:
    """The shipped caller who is somebody else every time."""
    tree = basis_of("seating").tree
    persona, problems = load_persona(CALLERS / "somebody_new.yaml", tree, survey(), seed)
    assert persona is not None, problems
    return persona


def little(folder: Path, more: str, traits: str = TRAITS) -> Path:
    """A caller of the little tree, with traits beside it."""
    path = written(folder, HEAD + more)
    path.with_name("traits.yaml").write_text(traits, "utf-8")
    return path


def of_little(path: Path, seed: int) -> Persona:
    """That caller as drawn for a seed."""
    from consult.call.basis import load_basis

    basis, _ = load_basis(path.parent.parent / "little.yaml")
    assert basis is not None
    persona, problems = load_persona(path, basis.tree, survey(), seed)
    assert persona is not None, problems
    return persona


def test_the_seed_decides_everything() -> None:
    """The same seed draws the same caller, down to the size of the error."""
    first, again = drawn(3), drawn(3)
    assert first.behaviours == again.behaviours
    assert first.truth == again.truth


def test_a_trait_gives_truth_and_errors_of_a_drawn_size(tmp_path: Path) -> None:
    """Of each group as many as the file says; errors lie within their span and differ."""
    path = little(tmp_path, DRAWS)
    people = [of_little(path, seed) for seed in range(20)]
    assert {one.truth["sites"] for one in people} == {"back", "neck"}
    assert all(len(one.behaviours) == 1 for one in people)
    offs = {one.behaviours[0].off for one in people}
    assert len(offs) > 5
    assert all(30 <= abs(off) <= 90 for off in offs)


def test_traits_at_odds_are_not_drawn_together(tmp_path: Path) -> None:
    """Two aches speak of one answer and two errors show at one question: one of each is all."""
    path = little(tmp_path, "draws: {ache: 2, error: 2}\n")
    for seed in range(10):
        assert len(of_little(path, seed).behaviours) == 1


def test_the_callers_own_file_goes_first(tmp_path: Path) -> None:
    """What a file states is not drawn over."""
    path = little(tmp_path, "truth: {sites: [none]}\ndraws: {ache: 1}\n")
    assert of_little(path, 1).truth["sites"] == "none"


def test_a_share_is_drawn_in_that_share(tmp_path: Path) -> None:
    """40 in 100 is none or one."""
    path = little(tmp_path, "draws: {error: 40 in 100}\n")
    many = [len(of_little(path, seed).behaviours) for seed in range(40)]
    assert set(many) == {0, 1}
    assert 5 <= sum(many) <= 27


@pytest.mark.parametrize(
    ("draws", "traits", "said"),
    [
        ("draws: {eror: 1}\n", TRAITS, "no group of traits called 'eror'"),
        ("draws: {error: some}\n", TRAITS, "how many traits"),
        (DRAWS, TRAITS.replace("[back]", "[bak]"), "bak"),
        (DRAWS, TRAITS.replace("at: stature, off: 3", "at: statur, off: 3"), "statur"),
        (DRAWS, TRAITS.replace("3 to 9 cm", "much"), "how far off"),
    ],
)
def test_mistakes_are_told_with_their_place(
    tmp_path: Path, draws: str, traits: str, said: str
) -> None:
    """A mistake in the caller's file or in the traits is reported where it stands."""
    path = little(tmp_path, draws, traits)
    every = [*practice_problems(path), *practice_problems(path.with_name("traits.yaml"))]
    assert any(said in f"{one.message} {one.fix}" and one.where.line for one in every), every


def test_all_mistakes_are_told_in_one_round(tmp_path: Path) -> None:
    """A trait of the wrong form hides nothing that is wrong with another, nor a form the names."""
    wrong = TRAITS.replace("3 to 9 cm", "much").replace("[back]", "[bak]")
    path = little(tmp_path, DRAWS, wrong)
    found = practice_problems(path.with_name("traits.yaml"))
    assert {one.rule for one in found} == {"wrong-form", "truth-not-taken"}
    told = [one.message for one in practice_problems(path)]
    assert "The traits cannot be read." in told
