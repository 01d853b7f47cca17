"""Traits of callers that the content lead writes once and every drawn caller may have.

A caller's file with ``draws:`` names groups of traits and how many of each; which ones, how large
an error is, and whom they meet is decided by the seed.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TypeVar

from consult.content.callers.chance import ChanceKey, uniform
from consult.marked.marks import Marked, Steps, load_marked
from consult.marked.schema import load_schema, schema_problems
from consult.practice import caller_file
from consult.practice.caller_check import part_problems
from consult.practice.caller_file import CallerParts
from consult.practice.model import Behaviour
from consult.problems import Problem, listed, nearest
from consult.recall import recall
from consult.tree.model import Tree

_Place = TypeVar("_Place")
TRAITS_FILE = "traits.yaml"
TRAITS_KEY = "traits_of_callers"
_SCHEMA = Path(__file__).with_name("traits.schema.json")
_SHARE = re.compile(r"(\d{1,3}) in 100")
_STEP = 5.0
"""mm, and half a kg with tenths: an error is drawn in steps that a tape shows."""


@dataclass(frozen=True, slots=True)
class CallerTrait:
    """One thing a caller may be, know, say or get wrong."""

    name: str
    parts: CallerParts


Traits = Mapping[str, list[CallerTrait]]
"""Group -> its traits, in the order of the file."""


def load_traits(path: Path, tree: Tree) -> tuple[Traits | None, list[Problem]]:
    """Read a file of traits; None where it has errors, which the problems name."""
    marked, problems = load_marked(path)
    if marked is None:
        return None, problems
    key = str(path), marked.digest, id(tree)
    _, traits, told = recall(_loaded, key, _MOST, lambda: (tree, *_load(marked, problems, tree)))
    return traits, list(told)


_MOST = 8
_loaded: dict[tuple[str, str, int], tuple[Tree, Traits | None, list[Problem]]] = {}
"""By file, text and tree, which stands beside so that no other can have its ``id``: all callers of
a folder draw from one file. When there are ``_MOST``, all are forgotten."""


def _load(
    marked: Marked, problems: list[Problem], tree: Tree
) -> tuple[Traits | None, list[Problem]]:
    wrong_form = schema_problems(marked, load_schema(_SCHEMA))
    problems = [*problems, *wrong_form]
    sound = _sound(marked) if wrong_form else marked
    if sound is not None:
        problems = [*problems, *_problems(sound, tree)]
    if any(problem.severity == "error" for problem in problems):
        return None, problems
    traits: dict[str, list[CallerTrait]] = {}
    for name, one in _apart(marked).items():
        traits.setdefault(one.data["group"], []).append(CallerTrait(name, caller_file.parts(one)))
    return traits, problems


def _sound(marked: Marked) -> Marked | None:
    """The file without its traits of the wrong form, so that the others are checked all the same;
    None where not even its head has the right form."""
    data = marked.data
    if not isinstance(data, dict) or not isinstance(data.get("traits"), dict):
        return None
    part, schema = caller_file.piece, load_schema(_SCHEMA)
    traits = {
        name: block
        for name, block in data["traits"].items()
        if not schema_problems(part(marked, {**data, "traits": {name: block}}, name), schema)
    }
    return part(marked, {**data, "traits": traits}, "sound") if traits else None


def draws_problems(
    marked: Marked, traits: Traits | None, problems: Sequence[Problem] = ()
) -> Iterator[Problem]:
    """What a caller's file draws that there is not; ``problems`` are those of the traits' file."""
    for group in caller_file.draws(marked):
        where = marked.key("draws", group)
        if traits is None:
            said, fix = (
                "There are no traits to draw from.",
                f"Write {TRAITS_FILE} beside the callers.",
            )
            if problems:
                said, fix = "The traits cannot be read.", f"Check {TRAITS_FILE} first."
            yield Problem(where, said, fix, "no-traits")
            return
        if group not in traits:
            said = f"There is no group of traits called '{group}'."
            fix = nearest(group, traits) or f"There are {listed(traits)}."
            yield Problem(where, said, fix, "unknown-group")


def with_traits(
    parts: CallerParts, draws: Mapping[str, str], traits: Traits, key: ChanceKey
) -> CallerParts:
    """A caller with the traits that chance gives; the caller's own file goes first.

    Two traits at odds, about the same answer or at the same question, are never drawn together.
    """
    for group, said in draws.items():
        wanted = _many(said, (*key, group))
        for trait in sorted(traits[group], key=lambda trait: uniform(*key, trait.name, "trait")):
            if wanted and not _at_odds(parts, trait.parts):
                parts = _joined(parts, trait.parts)
                wanted -= 1
    return parts


def _many(said: str, key: ChanceKey) -> int:
    """How many traits "2", "1 to 3" or "40 in 100" are this time."""
    share = _SHARE.fullmatch(said)
    if share:
        return int(uniform(*key, "any") * 100 < int(share[1]))
    low, _, high = said.partition(" to ")
    return int(low) + int(uniform(*key, "many") * (int(high or low) - int(low) + 1))


def _at_odds(parts: CallerParts, more: CallerParts) -> bool:
    """Whether a trait speaks of an answer, or shows at a question, that is taken."""
    if parts.truth.keys() & more.truth.keys():
        return True
    shown = {(behaviour.at, behaviour.kind) for behaviour in parts.behaviours}
    spoken_of = {behaviour.about for behaviour in parts.behaviours if behaviour.about}
    measured = {behaviour.at for behaviour in parts.behaviours if not behaviour.about}
    return any(
        (behaviour.at, behaviour.kind) in shown
        or behaviour.about in spoken_of
        or (not behaviour.about and behaviour.at in measured)
        or (behaviour.about in parts.truth and behaviour.about not in more.truth)
        for behaviour in more.behaviours
    )


def _joined(parts: CallerParts, more: CallerParts) -> CallerParts:
    return replace(
        parts,
        opening=parts.opening or more.opening,
        truth={**more.truth, **parts.truth},
        says={**more.says, **parts.says},
        manner=parts.manner if parts.manner != caller_file.PLAIN else more.manner,
        behaviours=(*parts.behaviours, *more.behaviours),
    )


def sized(parts: CallerParts, key: ChanceKey) -> CallerParts:
    """The same caller, each error as large as chance makes it."""
    return replace(
        parts, behaviours=tuple(_sized(behaviour, key) for behaviour in parts.behaviours)
    )


def _sized(behaviour: Behaviour, key: ChanceKey) -> Behaviour:
    if behaviour.off_to is None:
        return behaviour
    step = _STEP if abs(behaviour.off_to) >= 20 else 1.0
    drawn = behaviour.off + uniform(*key, behaviour.name, "off") * (
        behaviour.off_to - behaviour.off
    )
    return replace(behaviour, off=round(drawn / step) * step, off_to=None)


def _problems(marked: Marked, tree: Tree) -> Iterator[Problem]:
    named = marked.raw("tree") or ""
    if named != tree.name:
        message = f"These traits are for the tree '{named}', not for '{tree.name}'."
        fix = "Use that tree, or change the name."
        yield Problem(marked.value("tree"), message, fix, "other-tree")
        return
    for trait in _apart(marked).values():
        yield from part_problems(trait, tree)


def _apart(marked: Marked) -> dict[str, Marked]:
    """Each trait of a file as if it were a file of its own, its places kept."""
    values, keys = _by_trait(marked.values), _by_trait(marked.keys)
    return {
        name: Marked(marked.file, block, values[name], keys[name], marked.digest)
        for name, block in marked.data["traits"].items()
    }


def _by_trait(places: Mapping[Steps, _Place]) -> Mapping[str | int, Mapping[Steps, _Place]]:
    found: dict[str | int, dict[Steps, _Place]] = {}
    for steps, place in places.items():
        if len(steps) > 1 and steps[0] == "traits":
            found.setdefault(steps[1], {})[steps[2:]] = place
    return found
