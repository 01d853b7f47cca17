"""What can be learned: to notice each kind of behaviour, to meet each criterion of the marks."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from consult.practice.marking.table import LABELS

if TYPE_CHECKING:
    from datetime import date

    from consult.practice.learner.model import Done

NOTICING: Mapping[str, str] = {
    "mixes_units": "units that change from one figure to the next",
    "rounds": "a rounded figure",
    "vague": "a vague answer",
    "volunteers": "an answer given early",
    "wrong_tape": "a tape held at the wrong point",
    "shoes_on": "a measure taken with shoes on",
    "contradicts": "two answers that contradict each other",
    "hurry": "a caller who wants to skip a question",
    "sign_in_passing": "a warning sign said in passing",
    "refuses_consent": "a caller who will not talk about health",
    "for_somebody_else": "a caller who speaks for somebody else",
    "interrupted": "a caller who is interrupted",
}
"""Kind of behaviour -> what there was to notice."""


@dataclass(frozen=True, slots=True, order=True)
class Topic:
    """One thing to learn."""

    what: Literal["behaviour", "criterion"]
    name: str
    """Kind of the behaviour, or name of the criterion."""

    @property
    def words(self) -> str:
        """As it is told to the learner."""
        known = NOTICING if self.what == "behaviour" else LABELS
        return known.get(self.name, self.name)


@dataclass(frozen=True, slots=True)
class Try:
    """How it went with a topic in one exercise."""

    day: date
    well: bool


def tries(done: Sequence[Done]) -> dict[Topic, tuple[Try, ...]]:
    """Every topic met so far -> how it went, in the order of the exercises.

    A topic met several times in one exercise went well where it did every time.
    """
    found: dict[Topic, list[Try]] = {}
    for one in done:
        well: dict[Topic, bool] = {}
        for topic, fine in _met(one):
            well[topic] = well.get(topic, True) and fine
        for topic, fine in well.items():
            found.setdefault(topic, []).append(Try(one.day, fine))
    return {topic: tuple(found[topic]) for topic in sorted(found)}


def _met(done: Done) -> Iterator[tuple[Topic, bool]]:
    for behaviour in done.met:
        if behaviour.noticed is not None:
            yield Topic("behaviour", behaviour.kind), behaviour.noticed
    for mark in done.marks:
        # What could not be earned in this call tells nothing.
        if mark.of > 0 or mark.fails:
            yield Topic("criterion", mark.criterion), mark.full
