"""A call: an append-only list of answers, stored exactly as said, and what of it may be stored."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable

    from consult.call.understand import AnswerValue
    from consult.tree.contacts import Contacts
    from consult.tree.model import Question, Tree
    from consult.units import System


@dataclass(frozen=True, slots=True)
class Answer:
    """One thing the caller said to one question. A later answer to the same question amends it."""

    question: str
    said: str
    """Exactly what the adviser typed."""
    confirmed: bool = False
    """It looked odd, was asked again and confirmed by the caller."""
    note: str = ""
    at: datetime | None = None
    took: float | None = None
    """Seconds the question was before the adviser, time on hold left out; for the content lead."""


@dataclass(frozen=True, slots=True)
class Handled:
    """A caution that was said to the caller, or a stop that was lifted with a reason."""

    caution: str
    """Its name; ``UNNAMED_STOP`` for a stop that may tell of health."""
    after: int
    """How many answers had been given by then: a later answer can raise the caution anew."""
    lifted: str = ""
    """Why the stop was lifted; '' where the caution was said to the caller."""
    at: datetime | None = None


UNTOLD = "the reason was not stored"
"""In place of why a stop was lifted, where that may tell of health."""
READ_OUT = "list read, answer not stored"
"""In place of the answer to a list of warning signs, where consent to storing it is missing."""
UNNAMED_STOP = ""
"""In place of the name of a stop, where that would tell of health."""
COUNTRY = "/country"
"""The answer that says where the caller is, in no tree; its text is a code of the contacts file."""
THOROUGH = "/thorough"
"""The answer that says whether the call is led in full, in no tree: yes or no."""
ODDS = "/odds"
"""How sure consult was of the chair agreed on, stored when a call ends; see ``stated_odds``."""
CAME = "/outcome"
"""What came of the chair of a call; see ``chair_outcome``."""
IN_NO_TREE = frozenset({COUNTRY, THOROUGH, ODDS, CAME})
"""Answers that are no question's."""


@dataclass(frozen=True, slots=True)
class Call:
    """The data of a call; everything else is computed from it."""

    today: date
    """The day of the call; "in two weeks" counts from it."""
    system: System = "metric"
    country: str = "GB"
    answers: tuple[Answer, ...] = ()
    handled: tuple[Handled, ...] = ()
    names: Mapping[str, str] = field(default_factory=dict, compare=False)
    """Name that a question had when it was answered -> its name in the tree the call is read with;
    the answers stay as they were recorded. See ``by_name.read_with``."""

    @property
    def thorough(self) -> bool:
        """Whether every pool and topic is asked in full, worth its time or not.

        Stored among the answers, so that anyone who continues or replays the call takes its route.
        """
        last = next(
            (answer for answer in reversed(self.answers) if answer.question == THOROUGH), None
        )
        return last is not None and last.said == "yes"

    def add(self, answer: Answer) -> Call:
        """The call with one more answer."""
        return replace(self, answers=(*self.answers, answer))

    def led_in_full(self, thorough: bool, at: datetime | None = None) -> Call:
        """The call with every question of its pools asked from now on, or not."""
        return self.add(Answer(THOROUGH, "yes" if thorough else "no", at=at))

    def handle(self, caution: str, *, lifted: str = "", at: datetime | None = None) -> Call:
        """The call with one more caution said or stop lifted."""
        handled = Handled(caution, len(self.answers), lifted, at)
        return replace(self, handled=(*self.handled, handled))

    def latest(self) -> dict[str, Answer]:
        """The answer that counts for each question, by question name."""
        return {self.names.get(answer.question, answer.question): answer for answer in self.answers}


# -- the country of the caller: set by the adviser, else answered, else the setting ---------------


def country_of(contacts: Contacts, call: Call, delivery: AnswerValue | None) -> str:
    """The code of the country whose contacts are said.

    ``delivery`` is where the chair goes, as answered: callers mostly are where their chair goes.
    Where it goes to the whole of which the setting is a part, the part stands.
    """
    answer = call.latest().get(COUNTRY)
    if answer is not None:
        return contacts.find(answer.said) or answer.said
    answered = contacts.find(delivery) if isinstance(delivery, str) else None
    if answered is None or call.country.startswith(f"{answered}-"):
        return call.country
    return answered


def set_country(call: Call, code: str) -> Call:
    """The call at a desk in this country, wherever the caller was said to be."""
    answer = call.latest().get(COUNTRY)
    return replace(call.add(Answer(COUNTRY, code)) if answer else call, country=code)


# -- what may be stored without consent to storing health answers ---------------------------------
# One rule for every place a call is written to. Each answer, and each caution dealt with, is given
# what anybody may read in its place: itself, a mark that tells nothing, or nothing.


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
        recorded
        for name, question in questions
        if question.private == "health"
        for recorded in _recorded(name, question)
    )
    always = frozenset(
        recorded
        for name, question in questions
        if question.stored_with_consent
        for recorded in _recorded(name, question)
    )
    telling = frozenset(caution.name for caution in tree.cautions if caution.when.names & health)
    stops = frozenset(caution.name for caution in tree.cautions if caution.level == "stop")
    # Why a stop without a name was lifted may tell as much as its name would.
    return Private(health, always, telling | {UNNAMED_STOP}, stops | {UNNAMED_STOP})


def _recorded(name: str, question: Question) -> tuple[str, ...]:
    """The names an answer to a question may be recorded under: its own, and those of before."""
    return name, *(former.replace(" ", "_") for former in question.names)


def bare_answers(private: Private, answers: Iterable[Answer]) -> tuple[Answer | None, ...]:
    """Each answer as it may be stored without consent; None if nothing of it may be.

    Of a list that everybody hears there is one mark, the same whatever was answered and however
    often, with no time that the answer could have lengthened.
    """
    bare: list[Answer | None] = []
    marked: set[str] = set()
    for answer in answers:
        if answer.question not in private.questions:
            bare.append(answer)
        elif answer.question in private.always_asked - marked:
            marked.add(answer.question)
            bare.append(Answer(answer.question, READ_OUT, at=answer.at))
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
    for entry in handled:
        if entry.caution not in private.telling:
            bare.append(entry)
        elif entry.caution not in private.stops:
            bare.append(None)
        else:
            (held.discard if entry.lifted else held.add)(entry.caution)
            stands = "held" if held else "lifted"
            mark = replace(entry, caution=UNNAMED_STOP, lifted="" if held else UNTOLD)
            bare.append(mark if stands != last else None)
            last = stands
    return tuple(bare)


def marked_stopped(private: Private, handled: Iterable[Handled]) -> bool:
    """Whether what may be stored without consent says that a stop for health is in force."""
    marks = [mark for mark in bare_handled(private, handled) if mark is not None]
    last = next((mark for mark in reversed(marks) if mark.caution == UNNAMED_STOP), None)
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
        answers=tuple(answer for answer in answers if answer is not None),
        handled=tuple(
            replace(handled, after=place[min(handled.after, len(answers))])
            for handled in bare_handled(private, call.handled)
            if handled is not None
        ),
    )
