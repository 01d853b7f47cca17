"""A log read back from its JSON, and an exercise led again from it: nothing else decides it."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import TYPE_CHECKING, Any, get_args

from consult.practice.exercise import Exercise
from consult.practice.log import (
    Act,
    Again,
    Ask,
    Close,
    Closed,
    Coach,
    Entered,
    Event,
    Hinted,
    Lifted,
    Log,
    Recommend,
    Say,
    Spoke,
    Turn,
)

if TYPE_CHECKING:
    from consult.call.basis import Basis
    from consult.practice.model import Persona


ACTS = {kind.__name__.lower(): kind for kind in get_args(Act)}
EVENTS = {kind.__name__.lower(): kind for kind in get_args(Event)}


def log_of(data: Mapping[str, Any]) -> Log:
    """The log of its JSON."""
    began, events = datetime.fromisoformat(data["began"]), map(_event_of, data["events"])
    return Log(**{**data, "began": began, "events": tuple(events)})


def _event_of(data: Mapping[str, Any]) -> Event:
    rest = {name: value for name, value in data.items() if name != "event"}
    if rest.get("at") is not None:
        rest["at"] = datetime.fromisoformat(rest["at"])
    if "turn" in rest:
        turn = rest["turn"]
        rest["turn"] = Turn(**{**turn, "act": _act_of(turn["act"]), "shown": tuple(turn["shown"])})
    event: Event = EVENTS[data["event"]](**rest)
    return event


def _act_of(data: Mapping[str, Any] | None) -> Act | None:
    if data is None:
        return None
    rest = {name: value for name, value in data.items() if name != "act"}
    if "parts" in rest:
        rest["parts"] = tuple(rest["parts"])
    act: Act = ACTS[data["act"]](**rest)
    return act


def replayed(basis: Basis, persona: Persona, log: Log) -> Exercise:
    """The exercise led again from its log: acts and entries, in order, to the same log.

    Raises ValueError in words where a caution of the log is not raised now, as by another tree.
    """
    exercise = Exercise(basis, persona, log.seed, log.level, log.began)
    for event in log.events:
        match event:
            case Spoke(turn, at):
                _led_again(exercise, turn.act, at or log.began, at)
            case Entered():
                exercise.enter(event.said, event.at)
            case Lifted():
                exercise.lift(event.reason, event.at)
            case Hinted():
                exercise.hint()
            case Closed():
                exercise.close(event.at)
    return exercise


def _led_again(exercise: Exercise, act: Act | None, at: datetime, stated: datetime | None) -> None:
    match act:
        case None:
            exercise.opening(stated)
        case Ask(question):
            exercise.ask(question, stated)
        case Coach(question):
            exercise.coach(question, stated)
        case Again(question):
            exercise.again(question, stated)
        case Say(caution):
            raised = next(
                (one for one in exercise.session.now.cautions if one.caution.name == caution), None
            )
            if raised is None:
                raise ValueError(f"The log says '{caution}', which nothing raises now.")
            exercise.say(raised, at)
        case Recommend():
            exercise.recommend(at)
        case Close():
            # The event that follows it ends the call with both.
            pass
