"""Trees of a folder: which are whole, and which are parts of others."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from consult.content.drawing.view import View, view_of
from consult.marked.marks import load_marked
from consult.tree.load import load_tree

if TYPE_CHECKING:
    from consult.problems import Problem


def main_trees(folder: Path) -> list[Path]:
    """The trees of a folder that no other takes in."""
    taken = _included(folder)
    return [path for path in taken if not any(path.stem in names for names in taken.values())]


def load_view(path: Path, part: str | None = None) -> tuple[View | None, list[Problem]]:
    """A tree to be shown; a sub-tree as a part of the tree that takes it in.

    A sub-tree leans on the questions of the tree around it and goes on there. None where the tree
    has errors; the problems say which. ValueError where the file is no tree, or has no such part.
    """
    marked, _ = load_marked(path)
    if marked is not None and not (isinstance(marked.data, dict) and "tree" in marked.data):
        raise ValueError(f"{path} is no tree: it has no line that begins with 'tree:'.")
    if part is None:
        for root in _roots(path):
            tree = load_tree(root).tree
            if tree is not None:
                return view_of(tree, path.stem), []
    loaded = load_tree(path)
    return (view_of(loaded.tree, part) if loaded.tree else None), loaded.problems


def _roots(path: Path) -> list[Path]:
    """The main trees that take a file in, directly or through another."""
    taken = _included(path.parent)
    found: dict[Path, None] = {}
    todo = [path.stem]
    while todo:
        name = todo.pop()
        above = [one for one, names in taken.items() if name in names and one not in found]
        found.update(dict.fromkeys(above))
        todo += [one.stem for one in above]
    return sorted(one for one in found if not any(one.stem in names for names in taken.values()))


def _included(folder: Path) -> Mapping[Path, set[str]]:
    """Each tree of a folder and the sub-trees it includes by name."""
    found: dict[Path, set[str]] = {}
    for path in sorted(folder.glob("*.yaml")):
        marked, _ = load_marked(path)
        data = marked.data if marked is not None and isinstance(marked.data, dict) else {}
        steps = data.get("questions")
        if "tree" in data and isinstance(steps, dict):
            found[path] = {
                str(step["include"])
                for step in steps.values()
                if isinstance(step, dict) and "include" in step
            }
    return found
