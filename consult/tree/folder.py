"""Which files of a folder take which in as sub-trees, and so which are main trees.

A call uses a main tree. A sub-tree depends on the questions of the tree around it, so it is
checked, shown and tried out as part of that. Everything here holds of broken files as well.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from consult.marked.marks import load_marked
from consult.tree.placeholders import in_units
from consult.tree.settings import settings_of

if TYPE_CHECKING:
    from consult.units import System

RANGE_FILE = "range.yaml"
"""The chairs that the trees beside it advise on."""
FITTING_FILE = "fitting.yaml"
"""What a tree beside it fits that works out another product than chairs."""

Included = Mapping[str, Collection[str]]
"""Every file by its name without .yaml -> the names of the sub-trees it includes."""
_FOR_A_TREE = {"transcript", "practice", "traits_of_callers"}
"""What call files, practice callers and their traits begin with: they too name their tree."""


def includes(data: object) -> tuple[str, ...]:
    """The names of the sub-trees that what a file says includes, topics too, in its order."""
    questions = data.get("questions") if isinstance(data, dict) else None
    steps = questions.values() if isinstance(questions, dict) else ()
    names = (step.get("include", step.get("topic")) for step in steps if isinstance(step, dict))
    return tuple(str(name) for name in names if name is not None)


def is_tree(data: object) -> bool:
    """Whether a file says that it is a tree, finished or not."""
    return isinstance(data, dict) and "tree" in data and not _FOR_A_TREE & data.keys()


def mains(included: Included) -> list[str]:
    """The files that no other includes, in their order."""
    taken = {name for including, names in included.items() for name in names if name != including}
    return [name for name in included if name not in taken]


def beginnings(included: Included) -> list[str]:
    """The files that no other includes, and all of a circle that none of them leads to."""
    first = mains(included)
    reached = _reached(first, lambda name: included.get(name, ()))
    return [*first, *(name for name in included if name not in reached)]


def _reached(first: Iterable[str], onward: Callable[[str], Iterable[str]]) -> set[str]:
    """Some files, and all that they lead to."""
    reached, todo = set[str](), list(first)
    while todo:
        name = todo.pop()
        if name not in reached:
            reached.add(name)
            todo += onward(name)
    return reached


def mains_above(name: str, included: Included) -> list[str]:
    """Those that no other includes and that include a file, themselves or through another.

    None for a file that no other includes, nor for one of a circle that nothing leads to.
    """
    above = _reached([name], lambda below: [o for o, names in included.items() if below in names])
    return [main for main in mains(included) if main in above and main != name]


def main_trees_of(files: Mapping[str, object]) -> list[str]:
    """The trees that no other includes, of files by their names and what they say."""
    return [
        name
        for name in mains({file: includes(data) for file, data in files.items()})
        if is_tree(files[name])
    ]


# -- folders on disk ------------------------------------------------------------------------------


def included_in(folder: Path) -> dict[str, tuple[str, ...]]:
    """What every file of a folder includes, by name; nothing where it cannot be read."""
    return {name: includes(data) for name, data in _said(folder).items()}


def main_trees(folder: Path) -> dict[str, Path]:
    """Every tree of a folder that no other includes, by name."""
    return {name: folder / f"{name}.yaml" for name in main_trees_of(_said(folder))}


def _said(folder: Path) -> dict[str, Any]:
    """What the files of a folder say, by name; None for one that cannot be read."""
    read = {path.stem: load_marked(path)[0] for path in sorted(folder.glob("*.yaml"))}
    return {name: marked.data if marked else None for name, marked in read.items()}


def first_words(path: Path, system: System) -> str:
    """What a tree asks first, read from its main file alone, before it is loaded and checked.

    In a caller's units, with the maker's name in it; '' where that file does not say it: it stands
    in another file, in a pool, or under a condition.
    """
    marked, _ = load_marked(path)
    top: Any = marked.data if marked else None
    if marked is None or not isinstance(top, dict) or not isinstance(top.get("questions"), dict):
        return ""
    first = str(top.get("first"))
    block = top["questions"].get(first)
    if not isinstance(block, dict) or block.keys() & {"ask_when", "skip_when"}:
        return ""
    ask = marked.raw("questions", first, "ask") or ""
    return in_units(settings_of(path.parent).fill(ask), system)
