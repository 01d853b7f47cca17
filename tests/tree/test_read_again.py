"""Files that are read again: a tree is made of the same ones once, and is never another's."""

from __future__ import annotations

from pathlib import Path

from consult.marked.marks import load_marked
from consult.tree.load import load_tree
from consult.tree.model import Tree

TREE = """tree: t
title: A title
version: 1
first: one
questions:
  one:
    ask: Is that <maker.name>?
    answer: mass
    unit: kg
    expect: 40 to 200
    next:
      - {when: one > range.highest_rating, go: two}
      - {otherwise: end}
  two: {ask: Well?, answer: yes-no, read_by: people, next: end}
"""
SETTINGS = """settings: 1
maker: Boyne Seating
greeting: Hello.
country: IE
currency: EUR
units: metric
prices: with tax
"""


def loaded(folder: Path, limit: float = 100.0, *, filled: bool = True) -> Tree:
    """The tree of a folder, with a limit of the range."""
    tree = load_tree(folder / "t.yaml", limits={"range.highest_rating": limit}, filled=filled)[0]
    assert tree is not None
    return tree


def test_a_tree_is_made_once_of_the_same_files(tmp_path: Path) -> None:
    """A letter, a setting, a limit, another folder, or blanks that stay: each makes another."""
    file = tmp_path / "t.yaml"
    file.write_text(TREE)
    first = loaded(tmp_path)
    assert loaded(tmp_path) is first
    routes = [loaded(tmp_path, limit).questions["one"].routes[0] for limit in (100.0, 120.0)]
    assert routes[0] != routes[1]
    assert first.questions["one"].ask == "Is that our firm?"
    assert loaded(tmp_path, filled=False).questions["one"].ask == "Is that <maker.name>?"
    (tmp_path / "settings.yaml").write_text(SETTINGS)
    assert loaded(tmp_path).questions["one"].ask == "Is that Boyne Seating?"
    file.write_text(TREE.replace("Well?", "Well then?"))
    assert loaded(tmp_path).questions["two"].ask == "Well then?"
    other = tmp_path / "other"
    other.mkdir()
    (other / "t.yaml").write_text(TREE)
    copied = loaded(other)
    assert copied.files == (str(other / "t.yaml"),)
    assert copied.questions["two"].where.file == str(other / "t.yaml")


def test_the_same_text_in_two_files_has_its_places_in_each(tmp_path: Path) -> None:
    """What is found in it, and what is wrong with it, is told of the file that was read."""
    for name in ("one.yaml", "two.yaml"):
        file = tmp_path / name
        file.write_text("a: b\nc:\n  - d\n")
        marked, _ = load_marked(file)
        assert marked is not None
        assert {marked.value("c", 0).file, marked.key("a").file, marked.file} == {str(file)}
        assert (marked.value("c", 0).line, marked.value("c", 0).column) == (3, 5)
        file.write_text("a: b\na: c\n")
        (problem,) = load_marked(file)[1]
        assert problem.where.file == str(file)
