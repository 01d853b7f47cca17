"""Scripted trainees: people who do not lead a call as they should, each in their own way."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta

from consult.call.basis import Basis
from consult.call.stops import warning_questions
from consult.practice.exercise import Exercise
from consult.practice.log import Log
from consult.practice.model import Guidance, Persona
from consult.practice.trial import by_chance
from consult.tree.model import Question, plain_name

BEGAN = datetime(2026, 11, 25, 9)


class Clock:
    """A clock that moves on by some seconds whenever it is read."""

    def __init__(self, seconds: float = 10.0) -> None:
        self.at, self.step = BEGAN, timedelta(seconds=seconds)

    def __call__(self) -> datetime:
        """The time now."""
        self.at += self.step
        return self.at


Trainee = Callable[[Basis, Persona, int, Guidance], Log]


def typed(question: Question, said: str) -> str:
    """What is typed to enter an answer by the name of its question."""
    return f"/{plain_name(question.name)}: {said}"


def _stand(exercise: Exercise, question: Question, said: str, now: Clock) -> None:
    """Enter an answer, and once more where the desk doubts it: it stands unasked."""
    if not exercise.enter(typed(question, said), now()).taken:
        exercise.enter(typed(question, said), now())


def _none_of(question: Question) -> str:
    return next(name for name in question.choices if name in ("none", question.exclusive))


def quitter(basis: Basis, persona: Persona, seed: int, level: Guidance) -> Log:
    """Says hello and closes."""
    now = Clock()
    exercise = Exercise(basis, persona, seed, level, BEGAN)
    exercise.opening(now())
    exercise.close(now())
    return exercise.log


def careless(basis: Basis, persona: Persona, seed: int, level: Guidance) -> Log:
    """Never asks about warning signs, believes every first figure, says no caution."""
    now, done = Clock(), set[str]()
    exercise = Exercise(basis, persona, seed, level, BEGAN)
    exercise.opening(now())
    signs = {one.name for one in warning_questions(basis.tree)}
    while True:
        question = next((q for q in exercise.session.now.to_ask if q.name not in done), None)
        if question is None:
            break
        done.add(question.name)
        if question.name in signs:
            _stand(exercise, question, _none_of(question) if question.choices else "?", now)
            continue
        if question.sets == "agreed":
            exercise.recommend(now())
        turn = exercise.ask(question.name, now())
        _stand(exercise, question, turn.tells.get(question.name, "?"), now)
    exercise.close(now())
    return exercise.log


def led_by_the_desk(
    basis: Basis,
    persona: Persona,
    seed: int,
    level: Guidance,
    *,
    hints: int = 0,
    seconds: float = 10,
) -> Log:
    """Asks what stands on the desk, once and plainly, and says every caution it raises."""
    now, done = Clock(seconds), set[str]()
    exercise = Exercise(basis, persona, seed, level, BEGAN)
    exercise.opening(now())
    for _ in range(hints):
        exercise.hint()
    while True:
        for raised in exercise.session.now.to_say:
            exercise.say(raised, now())
        question = next((q for q in exercise.session.now.to_ask if q.name not in done), None)
        if question is None:
            break
        done.add(question.name)
        if question.sets == "agreed":
            exercise.recommend(now())
        turn = exercise.ask(question.name, now())
        _stand(exercise, question, turn.tells.get(question.name, "?"), now)
    exercise.close(now())
    return exercise.log


def hinted(basis: Basis, persona: Persona, seed: int, level: Guidance) -> Log:
    """Takes three hints, and else does as the desk says."""
    return led_by_the_desk(basis, persona, seed, level, hints=3)


def hasty(basis: Basis, persona: Persona, seed: int, level: Guidance) -> Log:
    """Names a chair after a few questions, with the measures left out, and closes."""
    now = Clock(2.0)
    exercise = Exercise(basis, persona, seed, level, BEGAN)
    exercise.opening(now())
    for _ in range(len(basis.tree.questions)):
        for raised in exercise.session.now.to_say:
            exercise.say(raised, now())
        question = exercise.session.asking
        if question is None:
            break
        if question.measures or question.sets in ("desk_height", "desk_thickness"):
            _stand(exercise, question, "?", now)
            continue
        if question.sets == "agreed":
            break
        turn = exercise.ask(question.name, now())
        said: str = turn.tells.get(question.name, "?")
        exercise.enter(typed(question, said), now())
        if exercise.session.asking is question:
            break
    exercise.recommend(now())
    exercise.close(now())
    return exercise.log


def at_random(basis: Basis, persona: Persona, seed: int, _level: Guidance) -> Log:
    """Does one thing after another that can be done, by chance; asks and enters most of all."""
    return by_chance(basis, persona, seed, BEGAN)
