"""Trees of a folder: whole ones and parts."""

from __future__ import annotations

from pathlib import Path

import pytest

from consult.content.drawing.files import load_view
from consult.paths import shipped_trees
from consult.tree.folder import main_trees

SHIPPED = shipped_trees()
MAIN = main_trees(SHIPPED)


@pytest.mark.parametrize(
    "name", [path.stem for path in sorted(SHIPPED.glob("*.yaml")) if "\ntree: " in path.read_text()]
)
def test_each_shipped_tree_can_be_shown(name: str) -> None:
    """A sub-tree is shown as the part it is, though it cannot stand alone."""
    view, problems = load_view(SHIPPED / f"{name}.yaml")
    assert problems == []
    assert view is not None
    assert view.whole is (name in MAIN)
    assert {Path(one.where.file).stem for one in view.questions.values()} >= {name}


def test_a_broken_tree(tmp_path: Path) -> None:
    """A tree with errors is not shown; the problems say where they are."""
    file = tmp_path / "odd.yaml"
    file.write_text("tree: odd\ntitle: Odd\nversion: 1\nfirst: nowhere\nquestions: {}\n")
    view, problems = load_view(file)
    assert view is None
    assert problems


def test_no_tree() -> None:
    """A file that is something else is said to be none."""
    with pytest.raises(ValueError, match="is not a tree"):
        load_view(SHIPPED / "contacts.yaml")
