"""A finished exercise and its score, made ready to be kept; as plain data and back."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass, field, fields
from datetime import date
from functools import partial
from typing import Any, TypeVar

from consult.practice.log import Entered, Event, Lifted, Log, Spoke, Turn, log_json
from consult.practice.model import (
    MEASUREMENT,
    STOP,
    WITHHOLDS,
    Behaviour,
    Guidance,
    Persona,
    level_called,
)
from consult.practice.scoring.points import Score, ScoreItem
from consult.problems import CannotDoError

_T = TypeVar("_T")


class PracticeTrouble(CannotDoError):  # noqa: N818 - it is shown, not only raised
    """Something wrong with what is kept of practice; its text can be shown as it is."""


@dataclass(frozen=True, slots=True)
class Met:
    """A behaviour of the caller that showed."""

    name: str
    """As in the caller's file."""
    kind: str
    noticed: bool | None
    """None where neither the score nor what was done after it tell."""


@dataclass(frozen=True, slots=True)
class Done:
    """One finished exercise."""

    learner: str
    """As the learner wrote it."""
    day: date
    caller: str
    seed: int
    level: Guidance
    total: float
    out_of: float
    passed: bool
    marks: tuple[ScoreItem, ...] = ()
    met: tuple[Met, ...] = ()
    log: Mapping[str, Any] = field(default_factory=dict)
    """As ``consult.practice.log.log_json`` has it; empty where none was kept."""

    @property
    def of_100(self) -> float:
        """The total as a share of what could be had, 0 to 100."""
        share = self.total / self.out_of if self.out_of > 0 else 0.0
        return 100 * min(max(share, 0.0), 1.0)


@dataclass(frozen=True, slots=True)
class LearnerRecord:
    """All that is kept of one learner."""

    learner: str
    done: tuple[Done, ...] = ()
    """In the order they were finished."""
    troubles: tuple[str, ...] = ()
    """What could not be read, in words."""


_SAME = 1.0
"""mm or kg between two ways of saying one figure."""


def noticed(behaviour: Behaviour, persona: Persona, log: Log) -> bool | None:
    """None where it never showed, or where nothing the adviser does would tell."""
    showed = [
        (event.turn, log.events[at:])
        for at, event in enumerate(log.events, 1)
        if isinstance(event, Spoke) and behaviour.name in event.turn.shown
    ]
    if not showed:
        return None
    _, later = showed[0]
    if behaviour.at == STOP:
        return not any(isinstance(each, Lifted) and each.taken for each in later)
    if behaviour.kind in MEASUREMENT | WITHHOLDS:
        # Fetching the tape, or the one who will sit, mends it for every question after.
        return any(_asked(turn.about, events) for turn, events in showed)
    if behaviour.kind == "contradicts":
        asked = any(_asked(turn.about, events) for turn, events in showed)
        return asked or _asked(behaviour.about, later)
    if behaviour.kind in ("volunteers", "sign_in_passing"):
        entered = (each for each in later if isinstance(each, Entered) and each.taken)
        return any(each.question == behaviour.about for each in entered)
    if behaviour.kind == "mixes_units":
        return all(_meant(turn, persona, log) for turn, _ in showed)
    return None


def _asked(question: str, later: Iterable[Event]) -> bool:
    return any(isinstance(each, Spoke) and each.turn.about == question for each in later)


def _meant(turn: Turn, persona: Persona, log: Log) -> bool:
    """Whether the figure entered in the end is the one that the caller meant."""
    # It loads numpy, which the list of callers does without.
    from consult.practice.truth import value_of

    told, question = turn.tells.get(turn.about), persona.questions[turn.about]
    entered = [
        entry.recorded for entry in log.entries if entry.taken and entry.question == question.name
    ]
    if told is None or not entered:
        return told is None
    meant, last = (value_of(question, said, log.began.date()) for said in (told, entered[-1]))
    return isinstance(meant, float) and isinstance(last, float) and abs(meant - last) <= _SAME


def finished(learner: str, day: date, persona: Persona, log: Log, score: Score) -> Done:
    """What is kept of an exercise that ended on this day."""
    return Done(
        learner=learner,
        day=day,
        caller=persona.name,
        seed=log.seed,
        level=log.level,
        total=score.total,
        out_of=score.out_of,
        passed=score.passed,
        marks=score.items,
        met=tuple(_met(persona, log, score)),
        log=log_json(log),
    )


def _met(persona: Persona, log: Log, score: Score) -> Iterator[Met]:
    """Behaviours that showed, and those that the score speak of though they never did.

    A sign that was never told, because nobody asked where it would have been, was missed too.
    """
    showed = {name for turn in log.turns for name in turn.shown}
    for behaviour in persona.behaviours:
        about = [item for item in score.items if item.behaviour == behaviour.name]
        if about:
            yield Met(behaviour.name, behaviour.kind, all(item.full for item in about))
        elif behaviour.name in showed:
            yield Met(behaviour.name, behaviour.kind, noticed(behaviour, persona, log))


def average(done: Sequence[Done]) -> float | None:
    """Of 100, to a tenth; None without exercises."""
    return round(sum(exercise.of_100 for exercise in done) / len(done), 1) if done else None


# -- as plain data --------------------------------------------------------------------------------


def done_json(done: Done) -> dict[str, Any]:
    """An exercise as plain data, for ``json.dumps``."""
    return {**asdict(done), "day": done.day.isoformat()}


def done_of(data: Any) -> Done:
    """The exercise of plain data; ValueError in words where it is none."""
    try:
        exercise: Done = _made(Done, {"log": {}, **data})
    except (KeyError, TypeError, ValueError, AttributeError) as error:
        raise ValueError("This is not a finished exercise, or it is damaged.") from error
    return exercise


def _made(kind: Any, data: Mapping[str, Any]) -> Any:
    """One of the classes above of plain data, each field read by its type."""
    return kind(**{one.name: _READ[one.type](data[one.name]) for one in fields(kind)})


def _a(kind: type[_T], value: Any) -> _T:
    """The value, if it is of that kind; a yes or no is no number."""
    if not isinstance(value, kind) or (isinstance(value, bool) and kind is not bool):
        raise TypeError(value)
    return value


def _number(value: Any) -> float:
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        raise TypeError(value)
    try:
        number = float(value)
    except OverflowError:
        number = math.inf
    if not math.isfinite(number):
        raise ValueError(value)
    return number


_READ: Mapping[Any, Callable[[Any], Any]] = {
    "str": partial(_a, str),
    "int": partial(_a, int),
    "float": _number,
    "bool": partial(_a, bool),
    "bool | None": lambda value: None if value is None else _a(bool, value),
    "date": date.fromisoformat,
    "Guidance": level_called,
    "tuple[ScoreItem, ...]": lambda every: tuple(
        _made(ScoreItem, {"came_up": True, **one}) for one in every
    ),
    "tuple[Met, ...]": lambda every: tuple(_made(Met, one) for one in every),
    "Mapping[str, Any]": partial(_a, dict),
}
"""Type of a field -> what reads it; what earlier versions did not write has a value by then."""
