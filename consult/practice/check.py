"""What ``consult check`` says of practice files: a caller's, or the shared ways of speaking."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

from consult.body.population import load_population
from consult.call.basis import Basis
from consult.marked.marks import load_marked
from consult.marked.schema import load_schema, schema_problems
from consult.practice import caller_file
from consult.practice.caller_check import caller_problems
from consult.practice.load import load_persona, traits_beside, words_beside
from consult.practice.sign_check import sign_problems
from consult.practice.sound_part import sound_part
from consult.practice.traits import KEY as TRAITS_KEY
from consult.practice.traits import draws_problems, load_traits
from consult.practice.ways import SCHEMA, load_ways, unknown_answers
from consult.problems import Problem, nearest
from consult.tree.contacts import FILE as CONTACTS_FILE
from consult.tree.contacts import load_contacts
from consult.tree.load import load_tree

if TYPE_CHECKING:
    from consult.marked.marks import Marked
    from consult.tree.model import Tree

KINDS = (caller_file.KEY, "ways_of_speaking", TRAITS_KEY)
"""Names at the top of a file that make it one of practice."""


def practice_problems(path: Path) -> list[Problem]:
    """Everything wrong with a practice file, in the order of its lines.

    Its trees are looked for in the folder above it.
    """
    marked, problems = load_marked(path)
    if marked is None:
        return problems
    if isinstance(marked.data, dict) and TRAITS_KEY in marked.data:
        trees = path.parent.parent
        tree = _tree(trees / f"{marked.raw('tree')}.yaml", _state_of(trees))
        found = [_no_tree(marked, trees)] if tree is None else load_traits(path, tree)[1]
        return [*problems, *found]
    if not isinstance(marked.data, dict) or caller_file.KEY not in marked.data:
        if schema_problems(marked, load_schema(SCHEMA)):
            return [*problems, *load_ways(path)[1]]
        return [
            *problems,
            *load_ways(path)[1],
            *unknown_answers(marked, _choices(path.parent.parent)),
        ]
    wrong_form = caller_file.file_problems(marked)
    problems = [*problems, *wrong_form]
    if wrong_form:
        # What has the right form is checked all the same: one round reports every mistake.
        sound = sound_part(marked)
        if sound is None:
            return problems
        marked = sound
    trees = path.parent.parent
    tree = _tree(trees / f"{marked.raw('tree')}.yaml", _state_of(trees))
    if tree is None:
        return [*problems, _no_tree(marked, trees)]
    ways, wrong = load_ways(words_beside(path, tree))
    if ways is None:
        first = wrong[0]
        said = f"The words file {first.where.file} cannot be read."
        problems.append(Problem(marked.key(caller_file.KEY), said, "Check it first.", "no-words"))
    population = load_population()
    problems += caller_problems(marked, tree, population, ways)
    problems += draws_problems(marked, traits_beside(path, tree)[0])
    contacts, _ = load_contacts(trees / CONTACTS_FILE)
    persona = None if wrong_form else load_persona(path, tree, population, seed=1)[0]
    if persona is not None and contacts is not None:
        problems += sign_problems(marked, persona, Basis(tree, contacts, population))
    return problems


def _no_tree(marked: Marked, trees: Path) -> Problem:
    named = marked.raw("tree") or ""
    known = [other.stem for other in sorted(trees.glob("*.yaml"))]
    said, fix = f"There is no tree '{named}' in {trees}.", nearest(named, known)
    if named in known:
        said = f"The tree '{named}' has errors itself."
        fix = f"Check it first: {trees / f'{named}.yaml'}."
    return Problem(marked.value("tree"), said, fix, "no-tree")


def _state_of(folder: Path) -> tuple[tuple[str, int, int], ...]:
    """What tells whether a file of a folder was changed since."""
    stats = [(path.name, path.stat()) for path in sorted(folder.glob("*.yaml"))]
    return tuple((name, found.st_mtime_ns, found.st_size) for name, found in stats)


@lru_cache(maxsize=16)
def _tree(path: Path, _state: tuple[tuple[str, int, int], ...]) -> Tree | None:
    """The tree of a file, read once for all its callers."""
    return load_tree(path).tree if path.is_file() else None


def _choices(folder: Path) -> dict[str, tuple[str, ...]]:
    """Every question of the main and sub-trees of a folder -> its choices."""
    found: dict[str, tuple[str, ...]] = {}
    for path in sorted(folder.glob("*.yaml")):
        marked, _ = load_marked(path)
        data = marked.data if marked is not None and isinstance(marked.data, dict) else {}
        questions = data.get("questions") if "tree" in data else None
        for name, block in (questions or {}).items():
            choices = block.get("choices") if isinstance(block, dict) else None
            found[name] = (*found.get(name, ()), *(choices or {}))
    return found
