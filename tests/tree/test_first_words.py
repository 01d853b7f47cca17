"""The first question of a tree is read from its main file alone, as a call will ask it."""

from __future__ import annotations

from pathlib import Path

import pytest

from consult.paths import trees_folder
from consult.tree.folder import first_words
from consult.tree.load import load_tree
from consult.tree.placeholders import in_units

MAIN = ("seating", "my_chair", "set_up", "follow_up", "team_order")


@pytest.mark.parametrize("name", MAIN)
def test_as_a_call_asks_it(name: str) -> None:
    """With the maker's name in it, and in the caller's units."""
    path = trees_folder() / f"{name}.yaml"
    tree = load_tree(path)[0]
    assert tree is not None
    first = tree.questions[tree.first]
    for system in ("metric", "imperial", "both"):
        assert first_words(path, system) == in_units(first.ask, system)


@pytest.mark.parametrize(
    "text",
    [
        "first: a\nquestions:\n  a:\n    include: other\n",
        "first: a\nquestions:\n  a:\n    ask: Who?\n    ask_when: known(b)\n",
        "first: a\nquestions:\n  a:\n    ask: Who?\n    skip_when: country == IE\n",
        "first: b\nquestions:\n  a:\n    ask: Who?\n",
        "first: a\nquestions: [a]\n",
        "first: [a]\nquestions:\n  a:\n    ask: Who?\n",
        "first: a\nquestions:\n  a:\n    ask: [Who?]\n",
        "just a text\n",
        "a: [\n",
        "",
    ],
)
def test_where_the_file_does_not_say_it(text: str, tmp_path: Path) -> None:
    """Nothing is guessed, and nothing raised."""
    path = tmp_path / "seating.yaml"
    path.write_text(text, "utf-8")
    assert first_words(path, "metric") == ""


def test_there_is_no_such_file(tmp_path: Path) -> None:
    """Nothing is raised: the command says it."""
    assert first_words(tmp_path / "none.yaml", "metric") == ""
