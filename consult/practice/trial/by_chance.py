"""An adviser who does one thing after another that can be done, by chance."""

from __future__ import annotations

from datetime import datetime, timedelta
from random import Random
from typing import TYPE_CHECKING

from consult.practice.exercise import Exercise
from consult.tree.model import plain_name

if TYPE_CHECKING:
    from consult.call.basis import Basis
    from consult.practice.acts import Turn
    from consult.practice.log import Log
    from consult.practice.model import Persona

_ACTS = 90
_SECONDS = 10
_AHEAD = 3
"""Open questions among which one is chosen."""
_CHOICE = [*["ask"] * 8, *["coach"] * 3, "again", *["enter"] * 8, *["say"] * 4, "hint", "recommend"]


def by_chance(basis: Basis, persona: Persona, seed: int, began: datetime) -> Log:
    """A call led by chance; asks and enters most of all. Same inputs, same log."""
    chance, questions = Random(f"{persona.name}/{seed}"), basis.tree.questions
    exercise = Exercise(basis, persona, seed, "guided", began)
    heard: dict[str, str] = dict(exercise.opening(began).tells)
    at = began
    for _ in range(_ACTS):
        at += timedelta(seconds=_SECONDS)
        act, session = chance.choice(_CHOICE), exercise.session
        turn: Turn | None = None
        ahead = [one.name for one in session.now.to_ask][:_AHEAD]
        name = chance.choice(ahead or list(questions))
        match act:
            case "ask":
                turn = exercise.ask(name, at)
            case "coach":
                turn = exercise.coach(name, at)
            case "again":
                turn = exercise.again(name, at)
            case "enter" if heard:
                about = chance.choice(list(heard))
                exercise.enter(f"/{plain_name(about)}: {heard.pop(about)}", at)
            case "say" if session.to_say():
                exercise.say(session.to_say()[0], at)
            case "hint":
                exercise.hint()
            case "recommend" if chance.random() < 0.2:
                exercise.recommend(at)
        heard |= dict(turn.tells) if turn is not None else {}
    exercise.close(at)
    return exercise.log
