"""Reading a tree to be shown, whole or as a part of the tree around it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from consult.content.drawing.view import View, view_of
from consult.marked.marks import load_marked
from consult.tree.folder import included_in, mains_above
from consult.tree.load import load_tree
from consult.tree.sources import sources_beside

if TYPE_CHECKING:
    from consult.problems import Problem


def load_view(path: Path, part: str | None = None) -> tuple[View | None, list[Problem]]:
    """A tree to be shown; a sub-tree as a part of the tree that takes it in.

    A sub-tree leans on the questions of the tree around it and goes on there. None where the tree
    has errors; the problems say which. ValueError where the file is no tree, or has no such part.
    """
    marked, _ = load_marked(path)
    if marked is not None and not (isinstance(marked.data, dict) and "tree" in marked.data):
        raise ValueError(f"{path} is not a tree, because no line begins with 'tree:'.")
    sources, _ = sources_beside(path.parent)
    # On its own a sub-tree has no list of warning signs, so it cannot be loaded as a tree.
    for root in mains_above(path.stem, included_in(path.parent)):
        tree = load_tree(path.with_name(f"{root}.yaml")).tree
        if tree is not None:
            return view_of(tree, part or path.stem, sources), []
    loaded = load_tree(path)
    return (view_of(loaded.tree, part, sources) if loaded.tree else None), loaded.problems
