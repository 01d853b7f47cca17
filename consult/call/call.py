"""A call is an append-only list of answers, kept exactly as they were said."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from consult.tree.model import Tree
    from consult.units import System


@dataclass(frozen=True, slots=True)
class Answer:
    """One thing the caller said to one question. A later answer to the same question amends it."""

    question: str
    said: str
    """Exactly what the adviser typed."""
    confirmed: bool = False
    """Asked again because it looked odd, and the caller stands by it."""
    note: str = ""
    at: datetime | None = None
    took: float | None = None
    """Seconds the question was before the adviser, time on hold left out; for the content lead."""


@dataclass(frozen=True, slots=True)
class Handled:
    """A caution dealt with: said to the caller or, with a reason, a stop lifted."""

    caution: str
    """Its name; '' for a stop whose name would tell of health that may not be kept."""
    after: int
    """How many answers had been given by then: a later answer can raise the caution anew."""
    lifted: str = ""
    """Why the stop was lifted; '' where the caution was said to the caller."""
    at: datetime | None = None


UNTOLD = "the reason was not kept"
"""In place of why a stop was lifted, where that may tell of health."""


@dataclass(frozen=True, slots=True)
class Call:
    """Everything a call has to keep; all else is computed again from it."""

    today: date
    """The day of the call; "in two weeks" counts from it."""
    system: System = "metric"
    country: str = "GB"
    answers: tuple[Answer, ...] = ()
    handled: tuple[Handled, ...] = ()
    thorough: bool = False
    """Whether every question of a pool is asked; how a desk leads the call, and not stored."""

    def add(self, answer: Answer) -> Call:
        """The call with one more answer."""
        return replace(self, answers=(*self.answers, answer))

    def handle(self, caution: str, *, lifted: str = "", at: datetime | None = None) -> Call:
        """The call with one more caution dealt with."""
        one = Handled(caution, len(self.answers), lifted, at)
        return replace(self, handled=(*self.handled, one))

    def latest(self) -> dict[str, Answer]:
        """The answer that counts for each question, by question name."""
        return {answer.question: answer for answer in self.answers}


def without_health(tree: Tree, call: Call) -> Call:
    """The call as it may be kept when consent is missing: no answer about health in it.

    That it was stopped is kept, so that nobody goes on with it unaware; why is not.
    """
    health = {name for name, question in tree.questions.items() if question.private == "health"}
    telling = {caution.name for caution in tree.cautions if caution.when.names & health}
    place = [0]
    for answer in call.answers:
        place.append(place[-1] + (answer.question not in health))
    return replace(
        call,
        answers=tuple(a for a in call.answers if a.question not in health),
        handled=tuple(
            replace(
                one,
                caution="" if one.caution in telling else one.caution,
                after=place[min(one.after, len(call.answers))],
                lifted=UNTOLD if one.lifted and one.caution in telling else one.lifted,
            )
            for one in call.handled
            if one.caution not in telling or stops(tree, one.caution)
        ),
    )


def stops(tree: Tree, caution: str) -> bool:
    """Whether a caution of this name ends product advice; '' is a stop whose name is not kept."""
    return not caution or any(c.name == caution and c.level == "stop" for c in tree.cautions)
