"""What ``consult check`` says of practice files: a caller's, or the shared ways of speaking."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import lru_cache
from pathlib import Path
from typing import Any

from consult.body.derived import with_derived
from consult.body.population import load_population
from consult.call.basis import Basis, limits_beside
from consult.call.call import Answer
from consult.call.facts import Facts
from consult.call.fitted import derived_of
from consult.call.route import walk
from consult.marked.marks import Marked, load_marked
from consult.marked.schema import load_schema, schema_problems
from consult.practice import caller_file
from consult.practice.caller_check import caller_problems
from consult.practice.load import persona_of, traits_beside, words_beside
from consult.practice.model import Persona
from consult.practice.scoring.evidence import facts_of, grave, learn_answer
from consult.practice.traits import KEY as TRAITS_KEY
from consult.practice.traits import draws_problems, load_traits
from consult.practice.truth import SOME_DAY
from consult.practice.ways import SCHEMA, load_ways, unknown_answers
from consult.problems import Problem, nearest
from consult.tree.contacts import FILE as CONTACTS_FILE
from consult.tree.contacts import load_contacts
from consult.tree.load import load_tree
from consult.tree.model import Tree

_HEAD = (caller_file.KEY, "title", "tree", "sex")


def _left_out(at: int) -> dict[str, str]:
    """Stands for a behaviour of the wrong form, so that the others keep their places."""
    return {"name": f"left_out_{at}", "kind": "mixes_units", "explain": "Left out."}


def sound_part(marked: Marked) -> Marked | None:
    """The file without its pieces of the wrong form; None where even its head has some."""
    data = marked.data
    if not isinstance(data, dict) or any(name not in data for name in _HEAD):
        return None
    head = {name: data[name] for name in _HEAD}

    def follows(piece: Mapping[str, Any], what: str) -> bool:
        """Whether a piece follows the schema beside the head."""
        return not caller_file.file_problems(caller_file.piece(marked, {**head, **piece}, what))

    if not follows({}, "head"):
        return None
    sound: dict[str, Any] = dict(head)
    for name, block in data.items():
        if name == "behaviours" and isinstance(block, list):
            block = [
                one if follows({name: [one]}, f"{name} {at}") else _left_out(at)
                for at, one in enumerate(block)
            ]
        if follows({name: block}, name):
            sound[name] = block
    return caller_file.piece(marked, sound, "sound")


def sign_problems(marked: Marked, persona: Persona, basis: Basis) -> Iterator[Problem]:
    """A warning for each stop or referral that is true of a caller and that no question finds.

    Stops are ignored on the way, so that each of several signs is looked for. A sign may be found
    by a remark where the caller also hears the list: then the adviser knows that it is one.
    """
    true, found = facts_of(basis, persona.truth), Facts(basis, "metric")
    answers = {name: Answer(name, said) for name, said in persona.truth.items()}
    steps, _ = walk(basis.tree, answers, found, SOME_DAY, lambda *_: False)
    asked = {step.question.name for step in steps}
    if any(step.question.signs for step in steps):
        for one in persona.behaviours:
            if one.kind == "sign_in_passing":
                learn_answer(found, one.about, one.answer)
    for caution in grave(basis.tree):
        if caution.when.evaluate(true.lookup) is not True or caution.when.evaluate(found.lookup):
            continue
        open_ = caution.when.names - asked
        stated = [name for name in caller_file.listed_truth(marked) if name in open_]
        where = marked.value("truth", stated[0]) if stated else marked.key(caller_file.KEY)
        calls_for = caution.name.replace("_", " ")
        said = f"The tree never asks this caller about the sign for '{calls_for}'."
        fix = "Change an answer that leads past that question, or delete the sign."
        yield Problem(where, said, fix, "sign-never-asked", "warning")


FILE_KINDS = (caller_file.KEY, "ways_of_speaking", TRAITS_KEY)
"""Names at the top of a file that make it one of practice."""
UNSOUND = "unsound-tree"
"""The rule of a problem that only follows from those of the tree beside it."""


def practice_problems(path: Path) -> list[Problem]:
    """Everything wrong with a practice file, in the order of its lines.

    Its trees are looked for in the folder above it.
    """
    marked, problems = load_marked(path)
    if marked is None:
        return problems
    data = marked.data if isinstance(marked.data, dict) else {}
    if TRAITS_KEY not in data and caller_file.KEY not in data:
        problems = [*problems, *load_ways(path)[1]]
        choices = _choices(path.parent.parent)
        if choices is not None and not schema_problems(marked, load_schema(SCHEMA)):
            problems += unknown_answers(marked, choices)
        return problems
    if TRAITS_KEY not in data and (wrong_form := caller_file.file_problems(marked)):
        problems = [*problems, *wrong_form]
        # What has the right form is checked all the same: one round reports every mistake.
        sound = sound_part(marked)
        if sound is None:
            return problems
        marked = sound
    trees = path.parent.parent
    tree = _tree(trees / f"{marked.raw('tree')}.yaml", _state_of(trees))
    if tree is None:
        return [*problems, _no_tree(marked, trees)]
    if TRAITS_KEY in data:
        return [*problems, *load_traits(path, tree)[1]]
    problems = list(problems)
    ways, wrong = load_ways(words_beside(path, tree))
    if ways is None:
        first = wrong[0]
        said = f"The words file {first.where.file} cannot be read."
        problems.append(Problem(marked.key(caller_file.KEY), said, "Check it first.", "no-words"))
    population = with_derived(load_population(), derived_of(tree, None))
    problems += caller_problems(marked, tree, population, ways)
    traits, wrong_traits = traits_beside(path, tree)
    problems += draws_problems(marked, traits, wrong_traits)
    contacts, _ = load_contacts(trees / CONTACTS_FILE)
    errors = (one for one in problems if one.severity == "error")
    if ways is not None and contacts is not None and not any(errors):
        drawn = traits if caller_file.draws(marked) else None
        persona = persona_of(marked, path, tree, population, 1, ways, drawn)
        problems += sign_problems(marked, persona, Basis(tree, contacts, population))
    return problems


def _no_tree(marked: Marked, trees: Path) -> Problem:
    named, where = marked.raw("tree") or "", marked.value("tree")
    known = [other.stem for other in sorted(trees.glob("*.yaml"))]
    if named in known:
        said = f"The tree '{named}' has errors itself."
        return Problem(where, said, f"Check it first: {trees / f'{named}.yaml'}.", UNSOUND)
    return Problem(
        where, f"There is no tree '{named}' in {trees}.", nearest(named, known), "no-tree"
    )


def _state_of(folder: Path) -> tuple[tuple[str, int, int], ...]:
    """What tells whether a file of a folder was changed since."""
    stats = [(path.name, path.stat()) for path in sorted(folder.glob("*.yaml"))]
    return tuple((name, found.st_mtime_ns, found.st_size) for name, found in stats)


@lru_cache(maxsize=16)
def _tree(path: Path, _state: tuple[tuple[str, int, int], ...]) -> Tree | None:
    """The tree of a file, read once for all its callers."""
    return load_tree(path, limits=limits_beside(path)).tree if path.is_file() else None


def _choices(folder: Path) -> dict[str, tuple[str, ...]] | None:
    """Every question of the main and sub-trees of a folder -> its choices; None where a file
    cannot be read, which may have any."""
    found: dict[str, tuple[str, ...]] = {}
    for path in sorted(folder.glob("*.yaml")):
        marked, _ = load_marked(path)
        if marked is None:
            return None
        data = marked.data if isinstance(marked.data, dict) else {}
        questions = data.get("questions") if "tree" in data else None
        for name, block in (questions or {}).items():
            choices = block.get("choices") if isinstance(block, dict) else None
            found[name] = (*found.get(name, ()), *(choices or {}))
    return found
