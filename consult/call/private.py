"""What may be stored of a call without consent to storing health answers.

One rule for every place a call is written to. Each answer, and each caution dealt with, is given
what anybody may read in its place: itself, a mark that tells nothing, or nothing.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from consult.call.call import READ_OUT, UNNAMED_STOP, UNTOLD, Answer, Handled

if TYPE_CHECKING:
    from collections.abc import Iterable

    from consult.call.call import Call
    from consult.tree.model import Question, Tree


@dataclass(frozen=True, slots=True)
class Private:
    """Names whose content may only be stored with consent."""

    questions: frozenset[str]
    always_asked: frozenset[str]
    """Those asked without consent too: that one was asked is stored in place of its answer."""
    telling: frozenset[str]
    """Cautions that apply because of a health answer: that one was raised tells of it."""
    stops: frozenset[str]
    """Those that end product advice; that a call was stopped is always stored."""


def private_of(tree: Tree) -> Private:
    """The private names of a tree."""
    questions = tree.questions.items()
    health = frozenset(
        each for name, one in questions if one.private == "health" for each in _recorded(name, one)
    )
    always = frozenset(
        each for name, one in questions if one.stored_with_consent for each in _recorded(name, one)
    )
    telling = frozenset(one.name for one in tree.cautions if one.when.names & health)
    stops = frozenset(one.name for one in tree.cautions if one.level == "stop")
    # Why a stop without a name was lifted may tell as much as its name would.
    return Private(health, always, telling | {UNNAMED_STOP}, stops | {UNNAMED_STOP})


def _recorded(name: str, question: Question) -> tuple[str, ...]:
    """The names an answer to a question may be recorded under: its own, and those of before."""
    return name, *(each.replace(" ", "_") for each in question.names)


def bare_answers(private: Private, answers: Iterable[Answer]) -> tuple[Answer | None, ...]:
    """Each answer as it may be stored without consent; None if nothing of it may be.

    Of a list that everybody hears there is one mark, the same whatever was answered and however
    often, with no time that the answer could have lengthened.
    """
    bare: list[Answer | None] = []
    marked: set[str] = set()
    for one in answers:
        if one.question not in private.questions:
            bare.append(one)
        elif one.question in private.always_asked - marked:
            marked.add(one.question)
            bare.append(Answer(one.question, READ_OUT, at=one.at))
        else:
            bare.append(None)
    return tuple(bare)


def bare_handled(private: Private, handled: Iterable[Handled]) -> tuple[Handled | None, ...]:
    """Each caution said or lifted, as it may be stored without consent; None if it may not.

    Of stops that tell of health there is a mark where the first was raised, and one where the last
    was lifted: how many there were stays untold.
    """
    bare: list[Handled | None] = []
    held: set[str] = set()
    last = ""
    for one in handled:
        if one.caution not in private.telling:
            bare.append(one)
        elif one.caution not in private.stops:
            bare.append(None)
        else:
            (held.discard if one.lifted else held.add)(one.caution)
            stands = "held" if held else "lifted"
            mark = replace(one, caution=UNNAMED_STOP, lifted="" if held else UNTOLD)
            bare.append(mark if stands != last else None)
            last = stands
    return tuple(bare)


def marked_stopped(private: Private, handled: Iterable[Handled]) -> bool:
    """Whether what may be stored without consent says that a stop for health is in force."""
    marks = [one for one in bare_handled(private, handled) if one is not None]
    last = next((one for one in reversed(marks) if one.caution == UNNAMED_STOP), None)
    return last is not None and not last.lifted


def without_health(tree: Tree, call: Call) -> Call:
    """The call as it may be stored when consent is missing: no answer about health in it.

    That it was stopped is stored, so that nobody goes on with it unaware; why is not.
    """
    private = private_of(tree)
    answers = bare_answers(private, call.answers)
    place = [0]
    for answer in answers:
        place.append(place[-1] + (answer is not None))
    return replace(
        call,
        answers=tuple(one for one in answers if one is not None),
        handled=tuple(
            replace(one, after=place[min(one.after, len(answers))])
            for one in bare_handled(private, call.handled)
            if one is not None
        ),
    )
