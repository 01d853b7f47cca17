"""Callers files: read, and held against the trees beside them."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from consult.content.checks import callers_problems
from consult.paths import trees_folder
from consult.problems import Problem
from consult.tree.shares import Amount, QuestionShares, Shares, amount, load_shares
from tests.content.callers.people import FILE

TREE = """\
tree: little
title: A little tree
version: 1
first: colour
questions:
  colour:
    ask: Which colour?
    answer: choice
    choices: {red: Red, green: Green, blue: Blue}
    next: places
  places:
    ask: Where?
    answer: choices
    unknown: refused
    choices: {none: Nowhere, neck: Neck, back: Back}
    exclusive: none
    next: width
  width:
    ask: How wide?
    answer: length
    unit: cm
    next: leg
  leg:
    ask: How long is the leg?
    coach: With a tape.
    answer: length
    unit: cm
    measures: popliteal_height
    next: sex
  sex:
    ask: Whose measurements?
    answer: choice
    choices: {female: Women's, male: Men's, either: Both}
    sets: sex
    next: end
"""
SOURCE = "source: invented"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder with a little tree in it."""
    shutil.copy(trees_folder() / "contacts.yaml", tmp_path)
    (tmp_path / "little.yaml").write_text(TREE, "utf-8")
    return tmp_path


def found(folder: Path, questions: str, top: str = "") -> list[Problem]:
    """The problems of a callers file with these entries."""
    file = folder / "callers.yaml"
    file.write_text(f"callers: some\n{top}questions:\n{questions}", "utf-8")
    return callers_problems(file)


def one(folder: Path, questions: str, top: str = "") -> tuple[str, str, str]:
    """Rule, what is said, and what would be right, of the only problem."""
    problems = found(folder, questions, top)
    assert len(problems) == 1, [str(each) for each in problems]
    return problems[0].rule, problems[0].message, problems[0].fix


def test_the_shipped_file_is_clean() -> None:
    """Nothing is wrong with it, and it is read as written."""
    assert callers_problems(FILE) == []
    shares, problems = load_shares(FILE)
    assert problems == []
    assert shares is not None
    assert shares.sex == {"female": 50.0, "male": 50.0}
    assert shares.remembered == 60.0
    assert shares.questions["desk_height"].mean == Amount("length", 735.0, 735.0)
    assert shares.questions["consent"].shares == {"yes": 85.0, "no": 15.0}
    assert shares.questions["pain_sites"].chances["lower_back"] == 30.0
    assert shares.questions["lower_leg"].unknown == 15.0


def test_good_entries(folder: Path) -> None:
    """All forms there are, none of them wrong."""
    entries = f"""\
  colour: {{shares: {{red: 50, green: 30}}, unknown: 3, {SOURCE}}}
  places: {{chances: {{none: 50, neck: 30, back: 40}}, {SOURCE}}}
  width: {{mean: 40 cm, spread: 2 in, within: 300 to 500 mm, {SOURCE}}}
  leg: {{unknown: 10, {SOURCE}}}
  sex: {{shares: {{either: 10}}, {SOURCE}}}
"""
    assert found(folder, entries) == []


def test_an_unknown_question(folder: Path) -> None:
    """Nothing breaks, but the nearest name is offered."""
    rule, said, fix = one(folder, f"  colur: {{unknown: 3, {SOURCE}}}\n")
    assert rule == "unknown-question"
    assert "No tree in this folder has a question 'colur'" in said
    assert fix == "Did you mean 'colour'?"
    assert found(folder, f"  colur: {{unknown: 3, {SOURCE}}}\n")[0].severity == "warning"


def test_an_unknown_choice(folder: Path) -> None:
    """The nearest choice is offered, at the place of the name."""
    entries = f"  colour:\n    shares: {{red: 50, grene: 20}}\n    {SOURCE}\n"
    (problem,) = found(folder, entries)
    assert (problem.rule, problem.severity) == ("unknown-choice", "warning")
    assert problem.fix == "Did you mean 'green'?"
    assert (problem.where.line, problem.where.column) == (4, 23)


@pytest.mark.parametrize(
    ("entries", "rule", "said"),
    [
        ("colour: {shares: {red: 50, green: 30, blue: 10}", "not-100", "add up to 90 of 100"),
        ("colour: {shares: {red: 90, green: 30}", "not-100", "add up to 120 of 100"),
        ("colour: {shares: {red: 60, green: 40}", "no-share", "nothing is left for blue"),
        ("colour: {mean: 7", "wrong-kind", "which cannot have mean"),
        ("places: {shares: {neck: 7}", "wrong-kind", "answered by choices"),
        ("places: {chances: {none: 50, neck: 20, back: 20}", "says-nothing", "up to 40 only"),
        ("places: {chances: {none: 50, neck: 60, back: 20}", "more-than-left", "leaves 50"),
        ("places: {unknown: 5", "unknown-refused", "must be answered"),
        ("width: {mean: 40 kg", "wrong-unit", "answered by length"),
        ("width: {mean: 40 cm, spread: 2", "units-differ", "2 has no unit, and the others have"),
        ("width: {spread: 2 cm", "no-mean", "needs a mean"),
        ("width: {mean: 40 cm, spread: 0 cm", "no-spread", "With a spread of zero"),
        ("width: {mean: 40 cm, within: 50 to 60 cm", "mean-outside", "is outside these limits"),
        ("width: {mean: 40 cm, within: 60 to 30 cm", "backwards", "The higher number comes first"),
        ("width: {mean: wide", "wrong-form", "'wide' is not written correctly"),
        ("leg: {mean: 40 cm", "body", "measures the body"),
        ("sex: {shares: {female: 60, either: 10}", "told-by-itself", "'female' is not allowed"),
        ("colour: {shares: {red: 0}", "out-of-bounds", "0 is out of bounds"),
    ],
)
def test_one_mistake_is_told_once(folder: Path, entries: str, rule: str, said: str) -> None:
    """In plain words, with what would be right."""
    problems = found(folder, f"  {entries}, {SOURCE}}}\n")
    assert problems, entries
    told = [each for each in problems if each.rule == rule]
    assert len(told) == 1, [str(each) for each in problems]
    assert said in told[0].message
    assert told[0].fix
    # A word or a bare number where a length is meant is of the wrong unit too.
    others = {each.rule for each in problems} - {rule, "wrong-unit"}
    assert not others, [str(each) for each in problems]


def test_sexes_are_all_callers(folder: Path) -> None:
    """A hundred of a hundred."""
    top = f"sex: {{female: 50, male: 60, {SOURCE}}}\n"
    rule, said, _ = one(folder, f"  leg: {{unknown: 1, {SOURCE}}}\n", top)
    assert rule == "not-100"
    assert "110" in said


def test_a_source_is_wanted(folder: Path) -> None:
    """Numbers from nowhere are not taken."""
    rule, said, _ = one(folder, "  leg: {unknown: 1}\n")
    assert rule == "missing-name"
    assert "'source' is missing" in said


def test_texts_being_edited_are_read_in_place_of_the_files(folder: Path) -> None:
    """Both the callers file and the trees may be a draft that no file holds yet."""
    file = folder / "callers.yaml"
    texts = {file: f"callers: x\nquestions:\n  hue: {{unknown: 1, {SOURCE}}}\n"}
    assert [each.rule for each in callers_problems(file, texts)] == ["unknown-question"]
    texts[folder / "little.yaml"] = TREE.replace("colour", "hue")
    assert callers_problems(file, texts) == []
    shares, _ = load_shares(file, texts)
    assert shares is not None
    assert "hue" in shares.questions


@given(st.binary(max_size=200) | st.text(max_size=200).map(lambda text: text.encode("utf-8")))
def test_no_file_makes_it_fail(content: bytes) -> None:
    """Whatever stands in it, what is wrong comes back as problems."""
    text = "callers: x\n" + content.decode("utf-8", "replace")
    file = Path("nowhere") / "callers.yaml"
    shares, problems = load_shares(file, {file: text})
    assert (shares is None) == any(each.severity == "error" for each in problems)
    callers_problems(file, {file: text})


@pytest.mark.parametrize(
    ("raw", "read"),
    [
        ("73 cm", Amount("length", 730.0, 730.0)),
        ("1 to 2 in", Amount("length", 25.4, 50.8)),
        ("75 kg", Amount("mass", 75.0, 75.0)),
        ("7.5", Amount("count", 7.5, 7.5)),
        (None, None),
    ],
)
def test_amounts(raw: str | None, read: Amount | None) -> None:
    """In mm, kg or plain."""
    assert amount(raw) == read


def test_the_older_file_fills_what_the_newer_leaves_out() -> None:
    """For two trees compared: a question that is gone is answered as before."""
    newer = Shares(name="new", questions={"a": QuestionShares(unknown=1.0)})
    older = Shares(
        name="old", questions={"a": QuestionShares(unknown=2.0), "b": QuestionShares(unknown=3.0)}
    )
    both = newer.over(older)
    assert both.name == "new"
    assert both.questions == {"a": QuestionShares(unknown=1.0), "b": QuestionShares(unknown=3.0)}
