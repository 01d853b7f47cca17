"""A call: an append-only list of answers, stored exactly as they were said."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from consult.call.understand import Value
    from consult.tree.contacts import Contacts
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
        last = next((one for one in reversed(self.answers) if one.question == THOROUGH), None)
        return last is not None and last.said == "yes"

    def add(self, answer: Answer) -> Call:
        """The call with one more answer."""
        return replace(self, answers=(*self.answers, answer))

    def led_in_full(self, thorough: bool, at: datetime | None = None) -> Call:
        """The call with every question of its pools asked from now on, or not."""
        return self.add(Answer(THOROUGH, "yes" if thorough else "no", at=at))

    def handle(self, caution: str, *, lifted: str = "", at: datetime | None = None) -> Call:
        """The call with one more caution said or stop lifted."""
        one = Handled(caution, len(self.answers), lifted, at)
        return replace(self, handled=(*self.handled, one))

    def latest(self) -> dict[str, Answer]:
        """The answer that counts for each question, by question name."""
        return {self.names.get(one.question, one.question): one for one in self.answers}


# -- the country of the caller: set by the adviser, else answered, else the setting ---------------


def country_of(contacts: Contacts, call: Call, delivery: Value | None) -> str:
    """The code of the country whose contacts are said.

    ``delivery`` is where the chair goes, as answered: callers mostly are where their chair goes.
    Where it goes to the whole of which the setting is a part, the part stands.
    """
    told = call.latest().get(COUNTRY)
    if told is not None:
        return contacts.find(told.said) or told.said
    answered = contacts.find(delivery) if isinstance(delivery, str) else None
    if answered is None or call.country.startswith(f"{answered}-"):
        return call.country
    return answered


def set_country(call: Call, code: str) -> Call:
    """The call at a desk in this country, wherever the caller was said to be."""
    told = call.latest().get(COUNTRY)
    return replace(call.add(Answer(COUNTRY, code)) if told else call, country=code)
