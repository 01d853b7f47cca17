"""What the desk replies to something typed: taken, given back with its readings, or put off."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

from consult.call.by_name import BY_NAME
from consult.call.wording import question_label
from consult.call.worth import taped

if TYPE_CHECKING:
    from collections.abc import Sequence

    from consult.call.basis import Basis
    from consult.call.state import State
    from consult.tree.model import Question, Tree
    from consult.units import Proposal

SEVERAL = ", "
"""Between facts that are left in a line to be mended."""
LETTERS = "abcdefgh"
"""One for each reading of an answer; figures would be answers themselves."""


@dataclass(frozen=True, slots=True)
class Reply:
    """The result of something typed."""

    taken: bool
    tell: str = ""
    """The message for the adviser; '' if there is none."""
    proposals: tuple[Proposal, ...] = ()
    """Possible meanings; ``Session.take`` stores one, and so does typing its letter."""
    left: str = ""
    """Of several facts in one line, those that were not stored, as a line again."""
    selected: tuple[int, int] = (0, 0)
    """Where in ``left`` the first of them stands, to be replaced; ``tell`` is about that one."""
    noted: str = ""
    """A message about the others."""


@dataclass(frozen=True, slots=True)
class Proposed:
    """Possible readings of an answer that was not stored."""

    question: Question
    said: str
    """The text that was given back."""
    proposals: tuple[Proposal, ...]
    rest: str = ""
    """Further facts of the line, given back as well; they come after it."""

    def chosen(self, said: str) -> Proposal | None:
        """The reading a text takes: the same text again, nothing, y or a letter."""
        word = said.strip().casefold()
        if self.rest and said.startswith(BY_NAME) and said.endswith(SEVERAL + self.rest):
            # What was selected in the line was replaced by a letter.
            word = said[len(BY_NAME) : -len(SEVERAL + self.rest)].strip().casefold() or BY_NAME
        if said == self.said or word in ("", "y", "yes"):
            return self.proposals[0]
        at = LETTERS.find(word) if len(word) == 1 else -1
        return self.proposals[at] if 0 <= at < len(self.proposals) else None


def stored_words(now: State, *names: str) -> str:
    """That facts were recorded, and of which nothing follows yet."""
    said = f"Stored: {_in_a_row(names)}."
    later = [name for name in names if now.step(name) is None]
    if not later:
        return said
    if len(names) == 1:
        return f"{said} It is used when the call reaches that question."
    which = "They are used" if later == list(names) else f"{_in_a_row(later)} will be used"
    return f"{said} {which} when the call reaches those questions."


def _in_a_row(names: Sequence[str]) -> str:
    """Questions as people list them: "Lower leg, desk height"."""
    first, *others = map(question_label, names)
    return ", ".join([first, *map(str.lower, others)])


def called_for(tree: Tree, now: State, question: Question) -> tuple[Question, ...]:
    """The open question that one answer alone calls for: the parts of "other parts"."""
    every = tree.questions.keys()
    for step, then in pairwise(now.steps):
        if step.question is question and then.status == "open":
            goes = (r.when for r in question.routes if r.go == then.question.name and r.when)
            if any(when.names & every == {question.name} for when in goes):
                return (then.question,)
    return ()


def no_more_measures(basis: Basis, now: State, question: Question) -> list[str]:
    """Told once measures were asked for in vain; nothing where others may still be asked."""
    in_vain = question.pool and taped(question) and not now.call.thorough
    if not in_vain or not now.told(basis).cannot_measure:
        return []
    return ["Two measures are not known, so no others are asked. One told later still counts."]
