"""An exercise led again from its log: the proof that nothing but the log decides how it went."""

from __future__ import annotations

from typing import TYPE_CHECKING

from consult.practice.exercise import Exercise
from consult.practice.log import (
    Again,
    Ask,
    Close,
    Closed,
    Coach,
    Entered,
    Hinted,
    Lifted,
    Recommend,
    Say,
    Spoke,
)

if TYPE_CHECKING:
    from datetime import datetime

    from consult.call.basis import Basis
    from consult.practice.log import Act, Log
    from consult.practice.model import Persona


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
