"""Run a simulated caller through a tree, in one pass."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from consult.body.plausibility import TOGETHER
from consult.call.call import Answer, Call
from consult.call.facts import Facts
from consult.call.route import outside, walk
from consult.call.state import State, state_so_far
from consult.call.understand import understand
from consult.content.callers.says import Person, person, says
from consult.units import Unclear

if TYPE_CHECKING:
    from datetime import date

    from consult.body.measured import Sex
    from consult.body.population import Population
    from consult.call.basis import Basis
    from consult.tree.model import Caution, Question
    from consult.tree.nodes import Lookup
    from consult.tree.shares import Shares

_COUNTRY = "GB"


@dataclass(frozen=True, slots=True, eq=False)
class CallerSource:
    """Where simulated callers come from: the same source, the same callers, in any tree."""

    shares: Shares
    population: Population
    seed: int
    today: date
    known_as: Mapping[str, str] = field(default_factory=dict)
    """Question -> the name it had before, so that a new name alone changes no answer."""
    had: Mapping[str, frozenset[str]] = field(default_factory=dict)
    """Question -> the choices it had before, so that a new one changes no other answer."""


@dataclass(frozen=True, slots=True, eq=False)
class Simulated:
    """One simulated caller and the resulting call."""

    number: int
    """From 1."""
    call: Call
    body: Mapping[str, float]
    """True value of every body dimension, mm or kg; what was said has an error."""
    sex: Sex
    source: CallerSource
    """What leads the same caller through another tree."""


def drawn(source: CallerSource, count: int) -> list[Simulated]:
    """``count`` callers of a source before anything is asked: their calls are empty yet."""
    found = []
    for number in range(1, count + 1):
        who = _person(source, number)
        found.append(Simulated(number, _empty(source), who.body, who.sex, source))
    return found


def simulated(basis: Basis, shares: Shares, count: int, seed: int, today: date) -> list[Simulated]:
    """Run ``count`` callers through a tree. Same inputs, same callers, on any machine.

    What a caller says to a question hangs on seed, caller number and question name alone, not on
    the tree around it; bodies and errors of measures are those of the basis's population.
    """
    source = CallerSource(shares, basis.population, seed, today)
    return [replace(one, call=led(basis, source, one.number)) for one in drawn(source, count)]


def led(basis: Basis, source: CallerSource, number: int) -> Call:
    """The call of caller ``number``, run through the tree to its end."""
    return led_state(basis, source, number).call


def led_state(basis: Basis, source: CallerSource, number: int, *, thorough: bool = False) -> State:
    """The same with everything worked out but the chair; ``thorough``: led in full.

    Who is asked once more, as a value looks odd or is at odds with the others, stands by it.
    """
    who = _person(source, number)
    stands: set[str] = set()
    while True:
        call = _told(basis, source, who, stands, thorough)
        now = state_so_far(basis, call)
        doubted = {doubt.dimension for doubt in now.doubts if not doubt.confirmed}
        again = {
            answer.question
            for answer in call.answers
            if not answer.confirmed and _in_doubt(basis, answer.question, doubted)
        }
        if not again:
            return now
        # Every round at least one more measure is stood by.
        stands |= again


def leans_on_pools(basis: Basis, one: Simulated) -> bool:
    """Whether the caller hears other cautions where pools ask nothing than where they ask all."""
    unasked = replace(basis, ask_pools=False)
    full, bare = (
        led_state(basis, one.source, one.number, thorough=True),
        led_state(unasked, one.source, one.number),
    )
    return [each.caution for each in full.cautions] != [each.caution for each in bare.cautions]


def _person(source: CallerSource, number: int) -> Person:
    return person(source.population, source.shares, source.seed, number)


def _in_doubt(basis: Basis, question: str, doubted: set[str]) -> bool:
    asked = basis.tree.questions.get(question)
    measures = asked.measures if asked is not None else None
    return measures is not None and (measures in doubted or TOGETHER in doubted)


def _told(
    basis: Basis, source: CallerSource, who: Person, stands: set[str], thorough: bool
) -> Call:
    call = _empty(source)
    if thorough:
        call = call.led_in_full(True)
    facts = Facts(basis, call.system, thorough=thorough)
    telling = _Telling(basis, source, who, facts, stands)
    walk(basis.tree, telling, facts, source.today, _ends)
    return replace(call, answers=(*call.answers, *telling.given.values()))


def _empty(source: CallerSource) -> Call:
    return Call(source.today, "metric", _COUNTRY)


def _odd(question: Question, said: str, today: date) -> bool:
    """Whether the caller would be asked once more, as the value is not a usual one."""
    if question.expect is None:
        return False
    try:
        return bool(outside(question, understand(question, said, today)))
    except Unclear:
        return False


def _ends(_: Caution, _known: Lookup) -> bool:
    """Nobody lifts a stop in a simulated call."""
    return True


@dataclass(slots=True, eq=False)
class _Telling(Mapping[str, Answer]):
    """Answers that are given when they are asked for, and only where the question is asked."""

    basis: Basis
    source: CallerSource
    who: Person
    facts: Facts
    """What the walk has learnt so far; the same that it reads."""
    stands: set[str]
    given: dict[str, Answer] = field(default_factory=dict)

    def __getitem__(self, name: str) -> Answer:
        question = self.basis.tree.questions[name]
        # A question that keeps an answer told out of turn must not be answered to be skipped.
        if question.spared(self.facts.lookup, opened=self.facts.thorough):
            raise KeyError(name)
        source = self.source
        known_as = source.known_as.get(name, name)
        had = source.had.get(name, ())
        said = says(question, self.who, source.population, source.shares, known_as, had)
        odd = _odd(question, said, source.today)
        answer = Answer(name, said, confirmed=odd or name in self.stands)
        self.given[name] = answer
        return answer

    def __contains__(self, name: object) -> bool:
        """What was answered so far; to ask for an answer is to be given one."""
        return name in self.given

    def __iter__(self) -> Iterator[str]:
        return iter(self.given)

    def __len__(self) -> int:
        return len(self.given)
