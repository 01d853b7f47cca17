"""A running call: what is asked now, what an answer does, what must be said.

All decisions of the call screen are made here, so that another screen can run a call the same way.
Nothing here reads a clock or writes to a disk: times come in, the call goes out.
"""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import datetime
from typing import TYPE_CHECKING

from consult.call.ahead import Pace, TopicLine, WorkedOut, opening_answer, topics_of
from consult.call.by_name import BY_NAME, begins_by_name, fact_named, meant
from consult.call.call import COUNTRY, UNNAMED_STOP, Answer, Call, private_of
from consult.call.chair_lines import changed_chair
from consult.call.offer import (
    SEVERAL,
    Proposed,
    Reply,
    Trial,
    called_for,
    facts_in,
    no_more_measures,
    noted_words,
    offer,
    try_answer,
)
from consult.call.raised import Raised, needs_mark
from consult.call.state import State, state_so_far, with_chair
from consult.call.stops import WITHHELD, latched, sign_reminder, warning_questions
from consult.call.worth import Stopwatch, call_seconds
from consult.problems import listed
from consult.units import Proposal, System, Unclear

if TYPE_CHECKING:
    from collections.abc import Sequence

    from consult.call.basis import Basis
    from consult.call.follow_up import FirstCall
    from consult.tree.model import Question

_COUNTRY = re.compile(r"/\s*country(?:\s*[:=]\s*|\s+|$)(.*)", re.I | re.S)
UNITS_ROUND: dict[System, System] = {"metric": "imperial", "imperial": "both", "both": "metric"}


class Session:
    """A call on the screen. ``now`` is all there is to show; every change makes a new one."""

    def __init__(self, basis: Basis, call: Call, at: datetime) -> None:
        self.basis = basis
        self._private = private_of(basis.tree)
        self.now = state_so_far(basis, call)
        self.before: State | None = None
        """The state before the last answer, to show what it changed."""
        self.ahead: tuple[Question, ...] = ()
        """Asked before the question whose turn it is."""
        self.watch = Stopwatch(at)
        self.proposed: Proposed | None = None
        """What may be meant by the answer that was just given back."""
        self._topic = ""
        """The topic that is gone through out of turn; '' where none is."""
        self.change = ""
        """What the last answer changed in the chair; '' before two chairs can be compared."""
        self.first: FirstCall | None = None
        """The call that this one follows, where its chair is set up in this one."""
        self.worked: WorkedOut | None = None
        """What was worked out last; the state in it may be an earlier one."""

    # -- what is asked ------------------------------------------------------------------------

    @property
    def asking(self) -> Question | None:
        """The current question; None when nothing is left to ask."""
        return self.ahead[0] if self.ahead else self.now.current

    @property
    def amending(self) -> Answer | None:
        """The answer that the question asked has already."""
        return self._answered(self.asking) if self.ahead and self.asking else None

    def ask(self, *questions: Question) -> None:
        """Ask these questions first, then continue."""
        self.ahead, self.proposed, self._topic = questions, None, ""

    def back(self) -> None:
        """Ask the question whose turn it is."""
        self.ask()

    def ask_warnings(self) -> None:
        """Ask the warning signs now: those still open, or all of them again."""
        every = warning_questions(self.basis.tree)
        self.ask(*([question for question in every if self._answered(question) is None] or every))

    @property
    def last_answered(self) -> str | None:
        """The question answered last, by name."""
        names = (answer.question for answer in reversed(self.now.call.answers))
        return next((name for name in names if name in self.basis.tree.questions), None)

    @property
    def why_next(self) -> str:
        """Why the question at hand is asked next; '' while that is worked out, or has no reason."""
        known = self.worked is not None and self.worked.state is self.now and not self.ahead
        return self.worked.why_next if known and self.worked else ""

    def pace(self, at: datetime) -> Pace:
        """How long the call has taken, and how long it will."""
        so_far = call_seconds([answer.took for answer in self.now.call.answers])
        to_go = self.worked.coming.seconds if self.worked else None
        return Pace(so_far + self.watch.seconds(at), 0.0 if self.now.finished else to_go)

    # -- answers ------------------------------------------------------------------------------

    def offer(self, said: str, at: datetime) -> Reply:
        """Offer what was typed as an answer. If it is odd, typing it again confirms it."""
        if place := _COUNTRY.fullmatch(said):
            return self.be_in(place.group(1), at)
        if self.proposed is not None:
            held = self.proposed
            if proposal := held.chosen(said):
                return self._with_rest(self.take(proposal, at), held, at)
        if begins_by_name(said):
            call = self.now.call
            facts = facts_in(self.basis.tree, said, call.today, call.system)
            if len(facts) > 1:
                return self._offer_each(facts, at)
        try:
            question, words = meant(self.basis.tree, self.asking, said)
        except Unclear as unclear:
            return Reply(False, str(unclear))
        if question is None:
            return Reply(False, "Nothing is left to ask.")
        if begins_by_name(said) and not words.strip():
            self.ask(question)
            return Reply(True)
        return self._offer(question, words, at, said=said)

    def _offer_each(self, facts: Sequence[str], at: datetime) -> Reply:
        """Offer every fact of a line as if it had been typed alone; those given back are left."""
        before, noted, lines = self.now, list[str](), list[str]()
        back: list[tuple[str, Reply, Proposed | None]] = []
        for fact in facts:
            self.proposed = None
            try:
                named = fact_named(self.basis.tree, fact)
                reply = Reply(False, f"There is no answer after “{fact}”.")
                if named.said.strip():
                    # How long each of them took cannot be told apart.
                    reply = self._offer(
                        named.question, named.said, at, said=BY_NAME + fact, alone=False
                    )
            except Unclear as unclear:
                reply = Reply(False, str(unclear))
            if reply.taken:
                noted.append(named.question.name)
                lines += filter(None, [reply.tell])
            else:
                back.append((fact, reply, self.proposed))
        if self.now is not before:
            self.before = before
        if noted:
            lines.insert(0, noted_words(self.now, *noted))
        if not back:
            return Reply(True, "\n".join(lines))
        (fact, reply, self.proposed), *others = back
        # The next of them has its turn, and is told why, once the first is right.
        rest = SEVERAL.join(other for other, _, _ in others)
        lines += [f"Also unclear: {rest}."] if rest else []
        return self._left(replace(reply, noted="\n".join(lines)), fact, rest)

    def _left(self, reply: Reply, fact: str, rest: str) -> Reply:
        """What was given back, as a line to mend, its first fact selected."""
        line = BY_NAME + SEVERAL.join(filter(None, (fact, rest)))
        if self.proposed is not None:
            self.proposed = replace(self.proposed, said=line, rest=rest)
        # One alone is replaced with its slash, as if it had been typed alone.
        selected = (len(BY_NAME) if rest else 0, len(BY_NAME) + len(fact))
        return replace(reply, left=line, selected=selected)

    def _with_rest(self, reply: Reply, held: Proposed, at: datetime) -> Reply:
        """What became of a reading, and then of the facts that were left in the line after it."""
        if not held.rest:
            return reply
        if not reply.taken:
            fact = held.said[len(BY_NAME) : -len(SEVERAL + held.rest)]
            return self._left(reply, fact, held.rest)
        then = self.offer(BY_NAME + held.rest, at)
        if not then.taken and not then.left:
            then = self._left(then, held.rest, "")
        return replace(then, noted="\n".join(filter(None, (reply.tell, then.noted))))

    def take(self, proposal: Proposal, at: datetime) -> Reply:
        """Take one reading of the answer that was given back."""
        assert self.proposed is not None
        question, said = self.proposed.question, self.proposed.said
        return self._offer(question, proposal.said, at, said=said, stands=proposal.confirmed)

    def _offer(
        self,
        question: Question,
        words: str,
        at: datetime,
        *,
        said: str,
        stands: bool = False,
        alone: bool = True,
    ) -> Reply:
        """Offer the answer to a question; ``alone`` where the line held nothing else."""
        old = self._answered(question)
        offered = offer(
            self.basis,
            self.now,
            question,
            words,
            stands=stands,
            note=old.note if old else "",
            at=at,
            took=self.watch.seconds(at) if alone else None,
        )
        self.proposed, reminder = None, sign_reminder(self.basis.tree, question, words)
        if offered.state is None:
            again = (Proposal(words, words, confirmed=True),) if offered.may_stand else ()
            if offered.proposals or again:
                self.proposed = Proposed(question, said, offered.proposals or again)
            trouble = "\n".join(filter(None, (offered.trouble, reminder)))
            return Reply(False, trouble, offered.proposals)
        out_of_turn = question is not self.asking
        self.ahead = tuple(waiting for waiting in self.ahead if waiting is not question)
        country = self.now.country
        mentions = self._become(offered.state, at)
        if self._topic:
            self.ahead = self._left_of(self._topic)
            self._topic = self._topic if self.ahead else ""
        lines = [noted_words(self.now, question.name)] if out_of_turn and alone else []
        if out_of_turn and not self.ahead:
            self.ahead = called_for(self.basis.tree, self.now, question)
        lines += filter(None, (*no_more_measures(self.basis, self.now, question), reminder))
        if self.now.country != country:
            lines.append(f"{self._numbers()} For another country, type /country and its name.")
        return Reply(True, "\n".join([*lines, *mentions]))

    def whole(self) -> State:
        """``now`` with its chair, chosen here where that is still being worked out."""
        return self.now if self.now.chosen else with_chair(self.basis, self.now)

    def trial(self, said: str) -> Trial | str:
        """What an answer would change; why that cannot be told, where it cannot."""
        try:
            question, words = meant(self.basis.tree, self.asking, said)
        except Unclear as unclear:
            return str(unclear)
        if question is None or not words.strip():
            return "Type the other answer first, for this question or as /desk 70 for another."
        return try_answer(self.basis, self.whole(), question, words)

    # -- the first call -----------------------------------------------------------------------

    @property
    def first_wanted(self) -> str:
        """The reference of a first call whose card is to be read here and was not yet; else ''."""
        reference = self.now.first_reference.strip()
        cards = any(question.card for question in self.basis.tree.questions.values())
        return reference if cards and (self.first is None or self.first.said != reference) else ""

    def follow(self, first: FirstCall, at: datetime) -> None:
        """Take over what the first call gives, where nobody answered it here."""
        self.first, call = first, self.now.call
        for answer in first.answers:
            if answer.question not in call.latest():
                call = call.add(replace(answer, at=at))
        if call is not self.now.call:
            self._become(self._with(call), at)

    def card_words(self, question: Question) -> str:
        """What the caller's card says of the step that a question goes through; '' without one."""
        words = self.first.card.get(question.card or "") if self.first else None
        return words.text(self.now.call.system) if words else ""

    # -- topics -------------------------------------------------------------------------------

    def topics(self) -> tuple[TopicLine, ...]:
        """What else can be gone through, open or not."""
        return topics_of(self.basis, self.now)

    def open_topic(self, name: str, at: datetime | None = None) -> None:
        """Open a topic; amending the adviser's answer, or taking it back, closes it again."""
        self._become(self._with(self.now.call.add(opening_answer(self.basis, self.now, name, at))))

    def go_through(self, topic: TopicLine, at: datetime) -> Reply:
        """Ask what is left of a topic now, opening it where it is closed."""
        if topic.status == "closed":
            self.open_topic(topic.name, at)
        left = self._left_of(topic.name)
        if not left:
            return Reply(False, f"There is nothing left to ask about {topic.title}.")
        self.ask(*left)
        self._topic = topic.name
        return Reply(True, f"{topic.title}: Esc goes back to the earlier question.")

    def _left_of(self, topic: str) -> tuple[Question, ...]:
        return tuple(question for question in self.now.to_ask if question.topic == topic)

    def remark(self, question: Question, note: str, at: datetime) -> None:
        """Store a note with the answer to a question."""
        old = self._answered(question)
        if old is not None:
            self._become(self._with(self.now.call.add(replace(old, note=note, at=at, took=None))))

    # -- cautions -----------------------------------------------------------------------------

    def said(self, raised: Raised, at: datetime) -> None:
        """Record that a caution was said to the caller."""
        if raised.caution.level == "stop":
            self.ahead = ()
        self._become(self._with(self.now.call.handle(raised.caution.name, at=at)))

    def lift(self, reason: str, at: datetime) -> Reply:
        """Lift every stop in force, for a stated reason."""
        held = [raised for raised in self.now.cautions if raised.in_force]
        if not held:
            return Reply(False, "There is no stop to lift.")
        if not reason.strip():
            return Reply(False, "A stop can be lifted only with a reason.")
        call, names = self.now.call, [raised.caution.name for raised in held]
        if UNNAMED_STOP not in names and latched(call, WITHHELD):
            names.append(UNNAMED_STOP)
        for name in names:
            call = call.handle(name, lifted=reason.strip(), at=at)
        self._become(self._with(call), at)
        return Reply(True, "The stop is lifted. The caution stays on the screen with your reason.")

    # -- the rest -----------------------------------------------------------------------------

    def be_in(self, country: str, at: datetime) -> Reply:
        """Set the country of the caller, by its name or code."""
        contacts = self.basis.contacts
        code = contacts.find(country)
        if code is None:
            shown = " ".join(country.split())[:40]
            unknown = f"“{shown}” is not a known country." if shown else self._numbers()
            names = listed([contacts.name(known) for known in contacts.countries])
            return Reply(False, f"{unknown} Type /country and {names}.")
        self._become(self._with(self.now.call.add(Answer(COUNTRY, code, at=at))))
        return Reply(True, self._numbers())

    def _numbers(self) -> str:
        return f"Cautions now give the contacts of: {self.basis.contacts.name(self.now.country)}."

    def turn_thorough(self, at: datetime) -> Reply:
        """Ask every question that may matter, or again only those worth their time."""
        full = not self.now.call.thorough
        self._become(self._with(self.now.call.led_in_full(full, at)))
        asks = "every question that may matter" if full else "only what is worth its time"
        return Reply(True, f"consult now asks {asks}.")

    def turn_units(self) -> None:
        """Switch to the next units: metric, imperial, both."""
        call = replace(self.now.call, system=UNITS_ROUND[self.now.call.system])
        self.before, self.now = None, self._with(call)

    def take_in(self, of: State, worked: WorkedOut) -> bool:
        """Use what was worked out for a state, unless an answer came since."""
        if of is not self.now:
            return False
        if self.worked is not None and self.before is not None:
            self.change = changed_chair(self.worked.state, worked.state)
        self.now, self.worked = worked.state, worked
        return True

    def hold(self, at: datetime) -> None:
        """Put the call on hold."""
        self.watch = self.watch.hold(at)

    def go_on(self, at: datetime) -> None:
        """Continue after a hold."""
        self.watch = self.watch.go_on(at)

    def _answered(self, question: Question | None) -> Answer | None:
        return self.now.call.latest().get(question.name) if question else None

    def _with(self, call: Call) -> State:
        return state_so_far(self.basis, call)

    def _become(self, then: State, at: datetime | None = None) -> list[str]:
        """Take a new state; what the adviser should mention because of it."""
        known = {raised.caution.name for raised in self.now.cautions}
        if needs_mark(self._private, then.call, then.cautions, then.consent):
            then = self._with(then.call.handle(UNNAMED_STOP, at=at))
        self.before, self.now = self.now, then
        if at is not None:
            self.watch = Stopwatch(at)
        if then.stopped is not None and self.before.stopped is None:
            self.ahead = ()
        new = [raised for raised in then.cautions if raised.caution.name not in known]
        return [f"Mention: {raised.say}" for raised in new if raised.caution.level == "note"]
