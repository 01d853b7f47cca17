"""Answers offered to a call: one, several in a line, one only tried; and what the desk replies."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from itertools import pairwise
from typing import TYPE_CHECKING

from consult.call.by_name import BY_NAME, begins_with_name, fact_named
from consult.call.call import Answer
from consult.call.fit_json import of_a_hundred
from consult.call.route import outside
from consult.call.state import State, state_so_far, with_chair
from consult.call.understand import likelier, understand
from consult.call.wording import figure_name, question_label
from consult.call.worth import taped
from consult.hearing.spoken import in_digits
from consult.problems import listed
from consult.range.parts import CHAIR_KINDS
from consult.scale import money
from consult.units import Proposal, System, Unclear, format_length

if TYPE_CHECKING:
    from consult.call.basis import Basis
    from consult.tree.model import Question, Tree

STANDS = "If it was measured again and is right, press Enter."


@dataclass(frozen=True, slots=True)
class Offered:
    """The result of offering an answer."""

    state: State | None
    """The call with the answer, before its chair is chosen; None if the answer was returned."""
    trouble: str = ""
    """What to ask or say instead."""
    may_stand: bool = False
    """Whether it is only odd, not unreadable: offered again with ``stands``, it is stored."""
    proposals: tuple[Proposal, ...] = ()
    """Possible meanings, if known; each can be stored instead."""


def offer(
    basis: Basis,
    now: State,
    question: Question,
    said: str,
    *,
    stands: bool = False,
    note: str = "",
    at: datetime | None = None,
    took: float | None = None,
) -> Offered:
    """Offer ``said`` as the answer to ``question``.

    An answer outside what is usual, or at odds with the other measures, is given back once; with
    ``stands`` it is taken as confirmed. A figure that hung on the caller's units is recorded with
    its unit, so that it means the same whatever units are shown later.
    """
    try:
        heard = understand(question, said, now.call.today, now.call.system)
    except Unclear as unclear:
        return Offered(None, str(unclear), proposals=unclear.proposals)
    said = heard.settled or said
    odd = outside(question, heard)
    likely = likelier(question, said) if odd and not stands else ()
    if likely:
        words = listed(proposal.words for proposal in likely)
        typed = Proposal(said, f"{said.strip()}, as it was said", confirmed=True)
        return Offered(None, f"{odd} Or did they say {words}?", True, (*likely, typed))
    then = state_so_far(basis, now.call.add(Answer(question.name, said, stands, note, at, took)))
    if not odd and question.measures:
        doubts = (d for d in then.doubts if d.dimension == question.measures)
        odd = next((doubt.message for doubt in doubts if stands or not doubt.confirmed), "")
    if odd and not stands:
        return Offered(None, f"{odd} {STANDS}", may_stand=True)
    if stands and not odd:
        then = state_so_far(basis, now.call.add(Answer(question.name, said, False, note, at, took)))
    return Offered(then)


# -- several answers in one line: "leg 41, thigh 47, desk 73" -------------------------------------
# A line is parted at commas, semicolons and line ends, where a fact begins after one. A comma
# inside a number ("41,5") parts nothing, nor does one that belongs to the answer before it ("5
# ft, 2 in", "neck, hips").

_SIGN = re.compile(r"[,;\r\n]")
"""What may stand between two facts."""
_LISTED = ("choices", "text")
"""Kinds of answers that have commas of their own: the rest of the line belongs to one."""
LONGEST = 2_000
"""Characters; a longer line is one answer, a text."""


def facts_in(tree: Tree, line: str, today: date, system: System) -> tuple[str, ...]:
    """The facts of a line, each as typed, name and answer; one where it is not several.

    A slash before a fact says nothing.
    """
    facts = [""]
    if len(line) > LONGEST:
        return (line,)
    sign = ""
    for piece, after in _pieces(line):
        if sign and _begins(tree, facts[-1], sign, piece, today, system):
            facts.append(piece)
        else:
            facts[-1] += sign + piece
        sign = after
    return tuple(fact.strip().removeprefix("/").strip() for fact in facts)


def _pieces(line: str) -> list[tuple[str, str]]:
    """What stands between the signs, each with the sign after it."""
    pieces, at = [], 0
    for sign in _SIGN.finditer(line):
        pieces.append((line[at : sign.start()], sign.group()))
        at = sign.end()
    return [*pieces, (line[at:], "")]


def _begins(tree: Tree, before: str, sign: str, piece: str, today: date, system: System) -> bool:
    """Whether a fact of its own begins after a sign."""
    text = piece.strip().removeprefix("/").strip()
    plain = in_digits(text)
    # What begins with a figure goes on with the number, or the answer, before it.
    if not plain[:1].isalpha():
        return False
    try:
        named_fact = fact_named(tree, before)
        if named_fact.question.answer in _LISTED:
            return False
    except Unclear:
        named_fact = None
    try:
        named = bool(fact_named(tree, text).said.strip())
    except Unclear:
        named = False
    if named and begins_with_name(tree, text):
        return True
    if named_fact is not None:
        try:
            understand(named_fact.question, named_fact.said + sign + piece, today, system)
        except Unclear:
            pass
        else:
            return False
    # A name that is not known, or is mistyped, with a figure after it.
    return named or any(letter.isdecimal() or letter == "?" for letter in plain)


# -- what another answer would change, line by line, without storing it ---------------------------

NO_CHANGE = "nothing"
"""Stands where something appears, or goes."""
_SEEN = 1.0
"""mm; less is not seen in any unit."""


@dataclass(frozen=True, slots=True)
class TrialChange:
    """One thing that would change."""

    topic: str
    before: str
    after: str


def differences(before: State, after: State, system: System) -> tuple[TrialChange, ...]:
    """Every visible change, the most serious first; both states have their chairs chosen."""
    return (
        *_cautions(before, after),
        *_requirements(before, after, system),
        *_chair(before, after),
        *_notes(before, after, system),
        *_questions(before, after),
    )


def _cautions(before: State, after: State) -> Iterator[TrialChange]:
    was = {raised.caution.name: raised for raised in before.cautions}
    now = {raised.caution.name: raised for raised in after.cautions}
    for name, raised in now.items():
        if name not in was:
            yield TrialChange(raised.caution.level.upper(), NO_CHANGE, raised.say)
    for name, raised in was.items():
        if name not in now:
            yield TrialChange(raised.caution.level.upper(), raised.say, NO_CHANGE)


def _requirements(before: State, after: State, system: System) -> Iterator[TrialChange]:
    was, now = (fit.requirements if fit else {} for fit in (before.fit_at_desk, after.fit_at_desk))
    for name in {**was, **now}:
        old, new = was.get(name), now.get(name)
        if old and new and abs(old.target - new.target) < _SEEN:
            continue
        yield TrialChange(
            figure_name(name, after.fit),
            format_length(old.target, system) if old else NO_CHANGE,
            format_length(new.target, system) if new else NO_CHANGE,
        )


def _chair(before: State, after: State) -> Iterator[TrialChange]:
    was = before.picked.parts if before.picked else {}
    now = after.picked.parts if after.picked else {}
    for kind in dict.fromkeys([*CHAIR_KINDS, *was, *now]):
        old, new = was.get(kind), now.get(kind)
        if old != new:
            label = kind.replace("_", " ").capitalize()
            yield TrialChange(label, old.name if old else NO_CHANGE, new.name if new else NO_CHANGE)
    odds = [
        of_a_hundred(state.chosen.ordered.p_fits)
        if state.chosen and state.chosen.ordered
        else NO_CHANGE
        for state in (before, after)
    ]
    if odds[0] != odds[1]:
        yield TrialChange("People with these measures it fits", odds[0], odds[1])
    prices = [
        money(state.picked.price, state.chosen.chosen_for.range.currency)
        if state.picked and state.picked.parts and state.chosen
        else NO_CHANGE
        for state in (before, after)
    ]
    if prices[0] != prices[1]:
        yield TrialChange("Price", prices[0], prices[1])


def _notes(before: State, after: State, system: System) -> Iterator[TrialChange]:
    was = {note.name: note.say.text(system) for note in (before.fit.notes if before.fit else ())}
    now = {note.name: note.say.text(system) for note in (after.fit.notes if after.fit else ())}
    for name in {**was, **now}:
        if was.get(name) != now.get(name):
            yield TrialChange("Workplace", was.get(name, NO_CHANGE), now.get(name, NO_CHANGE))


def _questions(before: State, after: State) -> Iterator[TrialChange]:
    was = {step.question.name for step in before.steps}
    now = {step.question.name for step in after.steps}
    for step in after.steps:
        if step.question.name not in was:
            yield TrialChange("Question", NO_CHANGE, question_label(step.question.name))
    for step in before.steps:
        if step.question.name not in now:
            yield TrialChange("Question", question_label(step.question.name), NO_CHANGE)


@dataclass(frozen=True, slots=True)
class Trial:
    """What an answer would change if it were stored."""

    question: Question
    said: str
    odd: str
    """Why it would be asked again; '' if it would not."""
    found: tuple[TrialChange, ...]


def try_answer(basis: Basis, whole: State, question: Question, words: str) -> Trial | str:
    """What an answer would change in a state with its chair; why that cannot be told."""
    tried, odd = offer(basis, whole, question, words), ""
    if tried.state is None and tried.may_stand:
        odd = tried.trouble.split("\n")[0]
        tried = offer(basis, whole, question, words, stands=True)
    if tried.state is None:
        return tried.trouble
    changes = differences(whole, with_chair(basis, tried.state), whole.call.system)
    return Trial(question, words, odd, changes)


# -- what the desk replies to something typed: taken, given back, or put off ----------------------

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


def noted_words(now: State, *names: str) -> str:
    """That facts were recorded, and of which nothing follows yet."""
    message = f"Noted: {_in_a_row(names)}."
    later = [name for name in names if now.step(name) is None]
    if not later:
        return message
    if len(names) == 1:
        return f"{message} It is used when the call reaches that question."
    which = "They are used" if later == list(names) else f"{_in_a_row(later)} will be used"
    return f"{message} {which} when the call reaches those questions."


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
