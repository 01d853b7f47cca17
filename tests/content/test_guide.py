"""The guide agrees with itself: its trees are sound, its keys and fields are those of the desk.

That its steps do what it shows is held by ``tests/ui/edit/test_guide_steps.py``.
"""

from __future__ import annotations

import re
from itertools import pairwise
from pathlib import Path

import pytest

from consult.range.file import load_range
from consult.range.parts import FEATURES
from consult.tree.check import check_tree
from consult.ui.edit.adding import ADDED
from consult.ui.edit.keys import EDIT_KEYS
from tests.content.guide import FILE, GUIDE, RECIPES, WHOLE, begun, shown, steps


@pytest.mark.parametrize("name", RECIPES)
def test_a_recipe_ends_in_a_sound_tree(name: str, tmp_path: Path) -> None:
    """Nothing is wrong with the files as the guide shows them at the end."""
    wanted = shown(RECIPES[name])
    assert wanted != begun(RECIPES[name])
    overlay = {tmp_path / file: text for file, text in wanted.items()}
    found = check_tree(tmp_path / FILE, frozenset(FEATURES), overlay)
    if "range.yaml" in wanted:
        found = [*found, *load_range(tmp_path / "range.yaml", overlay)[1]]
    assert [str(problem) for problem in found] == []


def test_the_first_tree_is_sound(tmp_path: Path) -> None:
    """The tree to begin from has nothing wrong with it."""
    assert check_tree(tmp_path / FILE, frozenset(FEATURES), {tmp_path / FILE: WHOLE}) == []


def test_recipes_are_numbered_in_order() -> None:
    """Ten at least."""
    numbers = re.findall(r"^## (\d+)\. ", GUIDE, flags=re.M)
    assert numbers == [str(number) for number in range(1, len(numbers) + 1)]
    assert len(numbers) >= 10


def test_the_keys_are_those_of_the_desk() -> None:
    """Every key that the guide names is a key of the desk or of any text field."""
    known = {one.shown for one in EDIT_KEYS} | {
        each for one in EDIT_KEYS for each in one.key.split(",")
    }
    plain = {each.casefold().replace(" ", "") for each in known} | {"ctrl+u"}
    named = set(re.findall(r"\b(?:F\d+|(?:Ctrl|Alt)\+\w+)\b", GUIDE))
    assert len(named) > 10
    for key in named:
        assert any(key.casefold() in each for each in plain), key


def test_what_is_added_is_offered() -> None:
    """What the guide adds with Alt+A stands in the list that the key opens, in its words."""
    offered = {words.partition(":")[0].casefold() for words in ADDED.values()}
    found = [list(steps(recipe)) for recipe in RECIPES.values()]
    named = {
        after[1]
        for each in found
        for before, after in pairwise(each)
        if before == ("press", "alt+a") and not after[1].isupper()  # the code of a new part
    }
    assert len(named) > 5
    assert named <= offered
