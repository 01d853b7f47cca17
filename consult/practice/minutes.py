"""How long a practice call would have taken on the telephone, whatever the clock says here.

A caller on the screen answers at once; a real one fetches a tape. So time is counted by what was
said and done: words at their usual speed, answers and tapes as at the call screen, and for a hint
the time that a caller would wait while the adviser asks somebody.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from consult.call.worth import TAPE_SECONDS, WORDS_A_SECOND, seconds_of, taped
from consult.practice.acts import Again, Ask, Coach
from consult.practice.log import Hinted, Spoke

if TYPE_CHECKING:
    from collections.abc import Mapping

    from consult.practice.acts import Turn
    from consult.practice.log import Log
    from consult.tree.model import Question

HINT_SECONDS = 20.0
"""For which the caller waits while the adviser asks a colleague (common practice, no source)."""
ANSWER_SECONDS = 4.0
"""What a caller says to anything that is no question, and to one left open (as above)."""


def call_minutes(log: Log, questions: Mapping[str, Question]) -> float:
    """Minutes of a call as it would have been on the telephone."""
    seconds = 0.0
    for event in log.events:
        if isinstance(event, Spoke):
            seconds += turn_seconds(event.turn, questions)
        elif isinstance(event, Hinted):
            seconds += HINT_SECONDS
    return seconds / 60


def turn_seconds(turn: Turn, questions: Mapping[str, Question]) -> float:
    """How long an act and its reply take."""
    question = questions.get(turn.about)
    if question is None or not isinstance(turn.act, (Ask, Coach, Again)):
        return len(turn.adviser.split()) / WORDS_A_SECOND + ANSWER_SECONDS
    coaching = len(question.coach.split())
    read = coaching if isinstance(turn.act, Coach) else 0
    if turn.about not in turn.tells:
        return (len(question.ask.split()) + read) / WORDS_A_SECOND + ANSWER_SECONDS
    tape = taped(question)
    # What stands for a taped question has its coaching in it, read out or not.
    seconds = seconds_of(question) + (read - (coaching if tape else 0)) / WORDS_A_SECOND
    if isinstance(turn.act, Again) and question.answer == "length" and not tape:
        # Known by heart the first time; once more means to the wall with a tape.
        seconds += TAPE_SECONDS
    return seconds
