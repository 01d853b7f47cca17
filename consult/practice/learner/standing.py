"""What a learner is good at, what not yet, and whom to practise on next."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from consult.practice.learner.due import Resting, due, resting
from consult.practice.learner.topics import Topic, tries

if TYPE_CHECKING:
    from consult.practice.learner.model import Done
    from consult.practice.model import Persona

_EVER = date.min
ENOUGH = 3
"""Times in a row that something has to go well before it is called a strength."""


@dataclass(frozen=True, slots=True)
class Standing:
    """One topic, over all exercises."""

    topic: Topic
    times: int
    missed: int
    in_a_row: int
    """Times it went well since the last miss."""

    @property
    def strong(self) -> bool:
        """It went well often enough lately."""
        return self.in_a_row >= ENOUGH

    @property
    def weak(self) -> bool:
        """It was missed, and has not gone well often enough since."""
        return self.missed > 0 and not self.strong


@dataclass(frozen=True, slots=True)
class Outlook:
    """What there is to say of a learner on a day."""

    exercises: int
    passed: int
    strengths: tuple[Standing, ...]
    """What went well longest first."""
    weak: tuple[Standing, ...]
    """What was missed most often first."""
    due: tuple[Resting, ...]
    later: tuple[Resting, ...]


def outlook(done: Sequence[Done], today: date) -> Outlook:
    """Strengths, weak points and what comes next."""
    all_ = standings(done)
    return Outlook(
        exercises=len(done),
        passed=sum(one.passed for one in done),
        strengths=tuple(sorted((one for one in all_ if one.strong), key=_long)),
        weak=tuple(sorted((one for one in all_ if one.weak), key=_often_missed)),
        due=due(done, today),
        later=tuple(one for one in resting(done) if one.due > today),
    )


def standings(done: Sequence[Done]) -> tuple[Standing, ...]:
    """Every topic met so far, in the order of their names."""
    found = []
    for topic, each in tries(done).items():
        in_a_row = 0
        for one in each:
            in_a_row = in_a_row + 1 if one.well else 0
        missed = sum(not one.well for one in each)
        found.append(Standing(topic, len(each), missed, in_a_row))
    return tuple(found)


def next_caller(
    callers: Mapping[str, Iterable[Topic]], done: Sequence[Done], today: date
) -> str | None:
    """The caller to practise on: shows what is due, and was played least; None without callers.

    ``callers``: name -> the topics it shows. Of several played equally seldom, the one that shows
    more of what is due, then the one that was played longest ago, then the first by name. Where
    nothing is due, or nobody shows it, all callers are looked at.
    """
    wanted = {one.topic for one in due(done, today)}
    shown = {name: len(wanted.intersection(topics)) for name, topics in callers.items()}
    fit = [name for name in callers if shown[name]] or list(callers)
    plays = {name: [one.day for one in done if one.caller == name] for name in fit}
    return min(
        fit,
        key=lambda name: (len(plays[name]), -shown[name], max(plays[name], default=_EVER), name),
        default=None,
    )


def topics_of(persona: Persona) -> frozenset[Topic]:
    """What a caller lets the adviser practise."""
    return frozenset(Topic("behaviour", one.kind) for one in persona.behaviours)


def _long(one: Standing) -> tuple[int, Topic]:
    return (-one.in_a_row, one.topic)


def _often_missed(one: Standing) -> tuple[int, int, Topic]:
    return (-one.missed, one.in_a_row, one.topic)
