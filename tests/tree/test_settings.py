"""Whose consult it is: found beside the trees or above them, and said wherever a text names it."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from consult.call.basis import Basis, load_basis
from consult.paths import shipped_trees
from consult.tree.check import check_tree
from consult.tree.settings import SETTINGS_FILE, load_settings, settings_file, settings_of

OWN = """\
settings: 1
maker: Boyne Seating
greeting: Good day, Boyne Seating.
country: IE
currency: EUR
units: metric
prices: without tax
sender:
  address: Unit 4, Mill Road, Marlhaven
  telephone: +353 1 555 0100
  email: desk@boyne.example
"""


def test_every_text_names_the_maker(tmp_path: Path) -> None:
    """Greeting, name and money of the settings stand in the questions; no blank is left."""
    trees = tmp_path / "trees"
    shutil.copytree(shipped_trees(), trees)
    (trees / SETTINGS_FILE).write_text(OWN, "utf-8")
    for name in ("seating", "follow_up", "my_chair", "set_up", "team_order"):
        basis, problems = load_basis(trees / f"{name}.yaml")
        assert basis is not None, problems
        questions = basis.tree.questions.values()
        text = " ".join(f"{q.ask} {q.coach} {' '.join(q.choices.values())}" for q in questions)
        assert "Good day, Boyne Seating." in text
        assert "Tarnbeck" not in text
        assert "<maker." not in text
    assert "In euros, without delivery." in load(trees).tree.questions["budget"].coach


def test_the_makers_own_terms_are_said(tmp_path: Path) -> None:
    """Trial and damage as the settings have them; without any, nothing is promised."""
    trees = tmp_path / "trees"
    shutil.copytree(shipped_trees(), trees)
    for terms, said in (
        ("terms: {trial: Forty days to try it.}\n", "Forty days to try it. If anything arrives"),
        ("", "I'll find out how long you can try it. If anything arrives damaged, tell us"),
    ):
        (trees / SETTINGS_FILE).write_text(OWN + terms, "utf-8")
        (trial,) = (one.say for one in load(trees).tree.advice if one.name == "trial")
        assert trial.startswith(said)
        assert "30 days" not in trial


def load(trees: Path) -> Basis:
    basis, problems = load_basis(trees / "seating.yaml")
    assert basis is not None, problems
    return basis


def test_found_above_a_published_version(tmp_path: Path) -> None:
    """A draft and a version read the settings of the folder they are in; nearer ones come first."""
    (tmp_path / SETTINGS_FILE).write_text(OWN, "utf-8")
    version = tmp_path / "library" / "versions" / "2026.12"
    version.mkdir(parents=True)
    assert settings_file(version) == tmp_path / SETTINGS_FILE
    assert settings_of(tmp_path / "library" / "draft").maker == "Boyne Seating"
    (version / SETTINGS_FILE).write_text(OWN.replace("Boyne", "Nearer"), "utf-8")
    assert settings_of(version).maker == "Nearer Seating"


def test_read_whole(tmp_path: Path) -> None:
    """Every line of it arrives."""
    (tmp_path / SETTINGS_FILE).write_text(OWN, "utf-8")
    found = settings_of(tmp_path)
    assert (found.country, found.currency, found.money) == ("IE", "EUR", "euros")
    assert found.with_tax is False
    assert found.sender.telephone == "+353 1 555 0100"


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("country: IE", "country: Ireland", "two capital letters"),
        ("currency: EUR", "currency: euro", "three capital letters"),
        ("prices: without tax", "prices: net", "with tax"),
        ("  telephone", "  telefone", "Did you mean 'telephone'?"),
        ("maker: Boyne Seating", "maker: <b>Boyne</b>", "without < > { and }"),
        ("desk@boyne.example", "desk at boyne", "An e-mail address"),
    ],
)
def test_mistakes_are_told_in_words(tmp_path: Path, old: str, new: str, words: str) -> None:
    """With the place, and what would be right."""
    (tmp_path / SETTINGS_FILE).write_text(OWN.replace(old, new), "utf-8")
    found, problems = load_settings(tmp_path / SETTINGS_FILE)
    assert found is None
    assert words in " ".join(map(str, problems))
    assert all(problem.where.line for problem in problems)


def test_without_settings_nobody_is_named(tmp_path: Path) -> None:
    """A folder that nobody made their own says our firm, never a blank."""
    trees = tmp_path / "trees"
    shutil.copytree(shipped_trees(), trees)
    (trees / SETTINGS_FILE).unlink()
    asked = load(trees).tree.questions["caller_name"].ask
    assert asked == "Hello. Who am I speaking to?"


def test_a_misspelt_blank_is_told(tmp_path: Path) -> None:
    """Like any other."""
    trees = tmp_path / "trees"
    shutil.copytree(shipped_trees(), trees)
    file = trees / "wishes.yaml"
    file.write_text(file.read_text("utf-8").replace("<maker.money>", "<maker.mony>"), "utf-8")
    said = " ".join(map(str, check_tree(trees / "seating.yaml")))
    assert "Did you mean 'maker.money'?" in said
