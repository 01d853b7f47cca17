"""What another answer would change, line by line, without storing it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from consult.call.chosen_json import of_a_hundred
from consult.call.wording import NAMES, question_label
from consult.fit.range_model import CHAIR_KINDS
from consult.units import format_length

if TYPE_CHECKING:
    from consult.call.state import State
    from consult.units import System

NOTHING = "nothing"
"""Stands where something appears, or goes."""
_SEEN = 1.0
"""mm; less is not seen in any unit."""


@dataclass(frozen=True, slots=True)
class Difference:
    """One thing that would change."""

    topic: str
    before: str
    after: str


def differences(before: State, after: State, system: System) -> tuple[Difference, ...]:
    """Every visible change, the most serious first; both states have their chairs chosen."""
    return (
        *_cautions(before, after),
        *_requirements(before, after, system),
        *_chair(before, after),
        *_notes(before, after, system),
        *_questions(before, after),
    )


def _cautions(before: State, after: State) -> Iterator[Difference]:
    was = {one.caution.name: one for one in before.cautions}
    now = {one.caution.name: one for one in after.cautions}
    for name, one in now.items():
        if name not in was:
            yield Difference(one.caution.level.upper(), NOTHING, one.say)
    for name, one in was.items():
        if name not in now:
            yield Difference(one.caution.level.upper(), one.say, NOTHING)


def _requirements(before: State, after: State, system: System) -> Iterator[Difference]:
    was = before.fit.requirements if before.fit else {}
    now = after.fit.requirements if after.fit else {}
    for name in {**was, **now}:
        old, new = was.get(name), now.get(name)
        if old and new and abs(old.target - new.target) < _SEEN:
            continue
        yield Difference(
            NAMES[name],
            format_length(old.target, system) if old else NOTHING,
            format_length(new.target, system) if new else NOTHING,
        )


def _chair(before: State, after: State) -> Iterator[Difference]:
    was = before.picked.parts if before.picked else {}
    now = after.picked.parts if after.picked else {}
    for kind in dict.fromkeys([*CHAIR_KINDS, *was, *now]):
        old, new = was.get(kind), now.get(kind)
        if old != new:
            label = kind.replace("_", " ").capitalize()
            yield Difference(label, old.name if old else NOTHING, new.name if new else NOTHING)
    odds = [
        of_a_hundred(state.chosen.ordered.p_fits)
        if state.chosen and state.chosen.ordered
        else NOTHING
        for state in (before, after)
    ]
    if odds[0] != odds[1]:
        yield Difference("People with these measures it fits", odds[0], odds[1])
    prices = [
        f"{state.picked.price:.2f}" if state.picked and state.picked.parts else NOTHING
        for state in (before, after)
    ]
    if prices[0] != prices[1]:
        yield Difference("Price", prices[0], prices[1])


def _notes(before: State, after: State, system: System) -> Iterator[Difference]:
    was = {note.name: note.say.text(system) for note in (before.fit.notes if before.fit else ())}
    now = {note.name: note.say.text(system) for note in (after.fit.notes if after.fit else ())}
    for name in {**was, **now}:
        if was.get(name) != now.get(name):
            yield Difference("Workplace", was.get(name, NOTHING), now.get(name, NOTHING))


def _questions(before: State, after: State) -> Iterator[Difference]:
    was = {step.question.name for step in before.steps}
    now = {step.question.name for step in after.steps}
    for step in after.steps:
        if step.question.name not in was:
            yield Difference("Question", NOTHING, question_label(step.question.name))
    for step in before.steps:
        if step.question.name not in now:
            yield Difference("Question", question_label(step.question.name), NOTHING)
