"""All that a criterion looks at: the call as it was led, and as a good adviser would lead it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

from consult.call.basis import Basis
from consult.call.call import Answer, Call
from consult.call.facts import Facts
from consult.call.state import State, state_so_far
from consult.call.stops import warning_questions
from consult.call.understand import AnswerValue, understand
from consult.practice.log import Entered, Lifted, Log, Say, Spoke, Turn
from consult.practice.model import Persona
from consult.practice.scoring.points import LED_ENOUGH
from consult.practice.truth import SOME_DAY, value_of
from consult.tree.floor import the_floor
from consult.tree.model import Caution, Question, Tree
from consult.units import Unclear


@dataclass(frozen=True, slots=True, eq=False)
class Led:
    """One exercise as it went."""

    log: Log
    asked: Mapping[str, tuple[Turn, ...]]
    """Question -> the turns that asked it, coached it or asked it again."""
    said: Mapping[str, Turn]
    """Caution -> the first turn that said it."""
    state: State
    """Of the call at its end, from what was entered and said; without the chair."""

    @property
    def last(self) -> int:
        """Number of the last turn, for what was never done; 0 where nothing was said."""
        return self.log.turns[-1].number if self.log.turns else 0

    @property
    def way(self) -> frozenset[str]:
        """The questions that the call led past."""
        return frozenset(step.question.name for step in self.state.steps)

    @property
    def covered(self) -> frozenset[str]:
        """What was asked, or entered without being asked."""
        return frozenset([*self.asked, *self.state.call.latest()])

    def first(self, question: str) -> int:
        """Number of the turn that first asked a question; that of the last turn if none did."""
        turns = self.asked.get(question, ())
        return turns[0].number if turns else self.last

    def entered(self, question: Question) -> AnswerValue | None:
        """What stands for a question at the end, mm, kg or plain; None where nothing usable."""
        answer = self.state.call.latest().get(question.name)
        return value_of(question, answer.said, self.state.call.today) if answer else None


def followed(basis: Basis, log: Log) -> Led:
    """Read a log against the tree it was led through."""
    asked: dict[str, tuple[Turn, ...]] = {}
    said: dict[str, Turn] = {}
    for turn in log.turns:
        if turn.about:
            asked[turn.about] = (*asked.get(turn.about, ()), turn)
        elif isinstance(turn.act, Say):
            said.setdefault(turn.act.caution, turn)
    return Led(log, asked, said, state_so_far(basis, call_of(basis, log)))


def call_of(basis: Basis, log: Log) -> Call:
    """The call that the entries of a log make."""
    tree, call = basis.tree, Call(log.began.date())
    for event in log.events:
        if isinstance(event, Entered) and event.recorded and event.question in tree.questions:
            call = call.add(Answer(event.question, event.recorded, event.confirmed, at=event.at))
        elif isinstance(event, Spoke) and isinstance(event.turn.act, Say):
            call = call.handle(event.turn.act.caution)
        elif isinstance(event, Lifted) and event.taken:
            for raised in state_so_far(basis, call).cautions:
                if raised.caution.level == "stop" and raised.lifted is None:
                    call = call.handle(raised.caution.name, lifted=event.reason)
    return call


@dataclass(frozen=True, slots=True, eq=False)
class Evidence:
    """What an exercise is marked by."""

    basis: Basis
    persona: Persona
    own: Led
    """The exercise that is marked."""
    best: Led
    """The same caller, led by an adviser who does everything right."""

    @property
    def tree(self) -> Tree:
        """The tree both were led through."""
        return self.basis.tree

    @property
    def true(self) -> Facts:
        """All that is true of the caller."""
        return _truth(self.basis, self.persona)

    @property
    def stop(self) -> Turn | None:
        """The turn that said a stop there was good reason for; None where none was said."""
        true = self.true
        turns = (
            self.said_for(caution)
            for caution in self.tree.cautions
            if caution.level == "stop" and self.calls_for(caution, true)
        )
        return min(filter(None, turns), key=lambda turn: turn.number, default=None)

    @property
    def stopped(self) -> bool:
        """Whether such a stop was said: what comes after is excused."""
        return self.stop is not None

    def calls_for(self, caution: Caution, facts: Facts) -> bool:
        """Whether a caution is called for: by the facts, or as a good adviser found."""
        return caution.name in self.best.said or caution.when.evaluate(facts.lookup) is True

    def said_for(self, due: Caution) -> Turn | None:
        """The first turn that said a caution, or another stop that counts as well; None if none."""
        turns = [
            turn
            for name, turn in self.own.said.items()
            if (said := self.caution(name)) is not None and counts_for(said, due)
        ]
        return min(turns, key=lambda turn: turn.number, default=None)

    @property
    def due(self) -> tuple[str, ...]:
        """The questions of a good adviser that this call called for as well.

        What a pool or a topic asks hangs on the answers before it, and those differ from call to
        call. Of a pool that this call went through to its end, and of its topics, only what it led
        to is due.
        """
        questions, own = self.tree.questions, self.own
        open_pools = {step.question.pool for step in own.state.steps if step.status == "open"}

        def called_for(question: Question) -> bool:
            as_led = question.gate is not None or (
                question.pool is not None and question.pool not in open_pools
            )
            return not as_led or question.name in own.way or question.name in own.covered

        return tuple(name for name in self.best.asked if called_for(questions[name]))

    @property
    def led_share(self) -> float:
        """How far the call was led, 0 to 1: nothing is won by asking nothing."""
        due = frozenset(self.due)
        if self.stopped or not due:
            return 1.0
        return min(1.0, len(due & self.own.covered) / len(due) / LED_ENOUGH)

    def caution(self, name: str) -> Caution | None:
        return next((caution for caution in self.tree.cautions if caution.name == name), None)

    def signs(self) -> tuple[Question, ...]:
        """The questions about warning signs that a good adviser asked, in tree order."""
        asked = self.best.asked
        return tuple(
            question for question in warning_questions(self.tree) if question.name in asked
        )

    def consent(self) -> Question | None:
        """The question that asks for consent; None in a tree without."""
        return next(
            (question for question in self.tree.questions.values() if question.sets == "consent"),
            None,
        )


def grave(tree: Tree) -> list[Caution]:
    """Stops and referrals that hang on answers alone; one that is worked out of measures shows at
    the desk."""
    alone = (
        caution for caution in tree.cautions if not any("." in name for name in caution.when.names)
    )
    return [caution for caution in alone if caution.level != "note"]


def counts_for(said: Caution, due: Caution) -> bool:
    """Whether saying one caution does what saying another would have done.

    A stop counts for every other that sends the caller to nobody sooner. One without a contact, as
    for a young person, sends to nobody who could help, and only itself counts for it.
    """
    if said.name == due.name:
        return True
    if said.level != "stop" or due.level != "stop" or not due.contact:
        return False
    floor = the_floor()
    return floor.urgency(said.contact) >= floor.urgency(due.contact)


@lru_cache(maxsize=8)
def _truth(basis: Basis, persona: Persona) -> Facts:
    return facts_of(basis, persona.truth)


def facts_of(basis: Basis, said: Mapping[str, str]) -> Facts:
    """What these answers tell, whatever the way through the tree."""
    facts = Facts(basis, "metric")
    for name, words in said.items():
        learn_answer(facts, name, words)
    return facts


def learn_answer(facts: Facts, name: str, words: str) -> None:
    """Take in one answer; nothing where it cannot be read."""
    question = facts.basis.tree.questions.get(name)
    if question is None:
        return
    try:
        facts.learn(question, understand(question, words, SOME_DAY), confirmed=False)
    except Unclear:
        return


def in_quotes(text: str) -> str:
    """A tree's own words, to be quoted in a sentence."""
    return f"“{' '.join(text.split())}”"
