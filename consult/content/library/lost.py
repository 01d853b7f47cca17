"""What protects callers less than before, such as cautions that some would not hear any more."""

from __future__ import annotations

import random
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cache
from itertools import combinations, product
from math import prod
from pathlib import Path

from consult.content.changes.folders import LoadTree, changed_folders, load_unfilled
from consult.content.changes.trees import CAUTION_LEVELS
from consult.content.effect.differences import renamed_questions
from consult.content.library.files import read_files, touched_trees
from consult.content.library.publish import Judged
from consult.content.names_in_words import quantity_in_words, quote, unit_of
from consult.tree.condition import Condition
from consult.tree.model import Caution, Question, Tree
from consult.tree.nodes import ChoiceName, Name, Number, Value, pieces
from consult.tree.quantities import QUANTITIES

EVERY = "every_caution"
"""Stands for all cautions, where what is live cannot be read any more."""


@dataclass(frozen=True, slots=True)
class Weaker:
    """One way in which something protects less; publishing needs a reason for each such thing."""

    what: str
    """ "caution.numb_legs", "contact.GB.emergency"; what a reason is given for."""
    why: str
    """A plain sentence."""
    level: str = ""
    """Of a caution."""


def lost_in_folders(
    old: Path, new: Path, mains: list[str], load: LoadTree = load_unfilled
) -> list[Weaker]:
    """What is lost in the main trees named, by comparing them alone."""
    losses: dict[Weaker, None] = {}
    for name in mains:
        losses.update(dict.fromkeys(_lost_in_file(old / name, new / name, load)))
    return list(losses)


def _lost_in_file(old: Path, new: Path, load: LoadTree) -> Iterator[Weaker]:
    if not old.is_file():
        return
    before = load(old)
    if before is None:
        why = (
            f"{old} cannot be read by this version of consult, so removed warnings cannot be "
            "found. Compare the cautions yourself."
        )
        yield Weaker(EVERY, why)
        return
    if not new.is_file():
        for caution in before.cautions:
            yield _lost(caution, f"Its tree {new.name} was removed.")
        return
    after = load(new)
    if after is not None:
        yield from lost_in_trees(before, after)


def lost_in_trees(old: Tree, new: Tree) -> Iterator[Weaker]:
    """Cautions removed, renamed, lowered, or with a condition that no longer covers what it did."""
    after = {caution.name: caution for caution in new.cautions}
    for caution in old.cautions:
        now = after.get(caution.name)
        if now is None:
            twin = next((later.name for later in new.cautions if later.say == caution.say), None)
            renamed = f"It was renamed to '{twin}'." if twin else "It was removed."
            yield _lost(caution, renamed)
            continue
        if CAUTION_LEVELS.index(now.level) < CAUTION_LEVELS.index(caution.level):
            yield _lost(caution, f"It was lowered from {caution.level} to {now.level}.")
        told = no_longer(caution.when, now.when, (old, new))
        if told is not None:
            yield _lost(
                caution, f"It no longer applies, for example, where {_words(told, new, old)}."
            )
        for name in sorted(caution.when.names & old.questions.keys() & new.questions.keys()):
            question, other = old.questions[name], new.questions[name]
            if question.unit != other.unit:
                how = f"'{name}' is read in {other.unit or 'no unit'}, before in {question.unit}"
                yield _lost(caution, f"Its condition now means something else: {how}.")


def _lost(caution: Caution, why: str) -> Weaker:
    return Weaker(f"caution.{caution.name}", why, caution.level)


def _words(told: AnswersTold, *trees: Tree) -> str:
    names = {name: quantity_in_words(name) if "." in name else quote(name) for name in told}
    return " and ".join(f"{names[name]} is {_value(name, told[name], trees)}" for name in told)


def _value(name: str, value: Value | None, trees: tuple[Tree, ...]) -> str:
    asked = [tree.questions[name] for tree in trees if name in tree.questions]
    if value is None:
        return "not known"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, (str, frozenset)):
        names = sorted(value) if isinstance(value, frozenset) else [value]
        labels = {
            choice: label
            for question in reversed(asked)
            for choice, label in question.choices.items()
        }
        return " and ".join(f"“{labels.get(choice, choice)}”" for choice in names)
    if isinstance(value, float):
        unit = unit_of(name, trees[0]) or unit_of(name, trees[-1])
        return f"{value:g}{f' {unit}' if unit else ''}"
    return str(value)


# -- whether a changed condition is still true for every caller it was true for -------------------
# Found by trying answers, not by proof: every answer that the two conditions can tell apart, in
# all combinations where those are not too many, else in many drawn with a fixed seed.

_MOST = 20_000
"""Combinations of answers tried."""
_TOGETHER = 3
"""Choices of one question tried together, at most, besides all of them."""

AnswersTold = Mapping[str, Value | None]


def no_longer(old: Condition, new: Condition, trees: tuple[Tree, Tree]) -> AnswersTold | None:
    """Answers for which the old condition counts and the new does not; None where none is found.

    A question that was only renamed is the same question; what is given back has its new name.
    """
    if old.text.split() == new.text.split():
        return None
    called = renamed_questions(*trees)
    named = {called.get(name, name) for name in old.names} | new.names
    asked = trees[0].questions.keys() | trees[1].questions.keys()
    names = sorted(subject for subject in named if "." in subject or subject in asked)
    written = [*pieces(old.node), *pieces(new.node)]
    numbers = sorted({piece.value for piece in written if isinstance(piece, Number)})
    mentioned = {piece.name for piece in written if isinstance(piece, (ChoiceName, Name))}
    domains = [_domain(name, trees, numbers, mentioned) for name in names]
    for values in _tried(domains):
        told = dict(zip(names, values, strict=True))
        before = {**told, **{was: told.get(now) for was, now in called.items()}}
        if old.evaluate(before.get) is True and new.evaluate(told.get) is not True:
            return told
    return None


def _tried(domains: Sequence[Sequence[Value | None]]) -> Iterator[tuple[Value | None, ...]]:
    if prod(map(len, domains)) <= _MOST:
        yield from product(*domains)
        return
    draw = random.Random(0)
    for _ in range(_MOST):
        yield tuple(draw.choice(domain) for domain in domains)


def _domain(
    name: str, trees: tuple[Tree, Tree], numbers: Sequence[float], mentioned: set[str]
) -> list[Value | None]:
    asked = [tree.questions[name] for tree in trees if name in tree.questions]
    if not asked:
        owner, _, rest = name.partition(".")
        kind = QUANTITIES.get(owner, {}).get(rest)
        return [None, True, False] if kind == "yes-no" else [None, *_around(numbers)]
    return [
        None,
        *dict.fromkeys(
            value for question in asked for value in _answers(question, numbers, mentioned)
        ),
    ]


def _answers(asked: Question, numbers: Sequence[float], mentioned: set[str]) -> Iterator[Value]:
    match asked.answer:
        case "yes-no":
            yield from (True, False)
        case "choice":
            yield from asked.choices
        case "choices":
            yield from (frozenset((name,)) for name in asked.choices)
            choices = [
                name for name in asked.choices if name in mentioned and name != asked.exclusive
            ]
            for count in (*range(2, _TOGETHER + 1), len(choices)):
                yield from (frozenset(combination) for combination in combinations(choices, count))
        case "date":
            yield from (date(2026, 1, 1), date(2026, 6, 1), date(2026, 12, 31))
        case "text":
            yield "said"
        case _:
            yield from _around(numbers)


def _around(numbers: Sequence[float]) -> Iterator[float]:
    """Every number that is written, and one on either side of it."""
    for number in numbers or (1.0,):
        step = max(abs(number), 1.0) / 1000
        yield from (number - step, number, number + step)


# -- judge a folder of trees by comparing it with the live one, file by file ----------------------


def compared(live: Path, new: Path) -> Judged:
    """Changes, and what is weaker; whether the new folder is sound is not asked here."""
    load = cache(load_unfilled)
    changes = changed_folders(live, new, load=load)
    lost = lost_in_folders(live, new, touched_trees(read_files(live), read_files(new)), load)
    weaker = (Weaker(change.about, change.text) for change in changes if change.weaker)
    return Judged((), tuple(changes), (*lost, *weaker))
