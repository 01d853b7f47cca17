"""Files of before are read: a feature under its earlier name is the feature."""

from __future__ import annotations

from pathlib import Path

from consult.former import feature_now
from consult.range.file import load_range
from consult.range.parts import FEATURES
from consult.tree.check import check_tree
from consult.tree.load import load_tree

TREE = """
tree: little
title: A little tree
version: 1
first: leans
questions:
  leans: {ask: Do you lean forward?, answer: yes-no, next: end}
needs:
  - {name: lean, when: leans, feature: FEATURE, strength: prefer, because: You lean forward.}
"""


def test_a_tree_may_use_the_earlier_name(tmp_path: Path) -> None:
    """It is checked and loaded as one that uses the name of today; another name is an error."""
    file = tmp_path / "little.yaml"
    for name in ("beyond_vertical", "tilts_forward"):
        file.write_text(TREE.replace("FEATURE", name), "utf-8")
        tree, problems = load_tree(file)
        assert tree is not None, problems
        assert [need.feature for need in tree.needs] == ["tilts_forward"]
        assert "unknown-feature" not in {one.rule for one in check_tree(file, FEATURES.keys())}
    file.write_text(TREE.replace("FEATURE", "beyond_words"), "utf-8")
    assert "unknown-feature" in {one.rule for one in check_tree(file, FEATURES.keys())}


def test_a_range_may_use_the_earlier_name(tmp_path: Path) -> None:
    """Its part has the feature of today."""
    own = (Path(__file__).parents[1] / "trees" / "range.yaml").read_text("utf-8")
    assert "tilts_forward" in own
    file = tmp_path / "range.yaml"
    file.write_text(own.replace("tilts_forward", "beyond_vertical"), "utf-8")
    loaded, problems = load_range(file)
    assert problems == []
    assert loaded is not None
    assert any("tilts_forward" in part.features for part in loaded.on_sale("back"))


def test_other_names_stay() -> None:
    """What never had another name is called as it is."""
    assert {feature_now(name) for name in FEATURES} == set(FEATURES)
