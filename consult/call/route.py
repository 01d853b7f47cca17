"""The route of a call through its tree: what was asked, what is next, what is ahead."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from functools import lru_cache, partial
from typing import TYPE_CHECKING, Literal

from consult.call.call import READ_OUT, Answer
from consult.call.facts import Facts
from consult.call.gains import worth_of_pool
from consult.call.understand import Understood, understand
from consult.call.wording import in_own_unit
from consult.call.worth import taped, worth_their_time
from consult.recall import recall
from consult.tree.model import END, Caution, Question, Tree
from consult.units import System, Unclear

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence
    from datetime import date

    from consult.body.population import Population
    from consult.call.basis import Basis
    from consult.call.gains import PoolWorth
    from consult.tree.nodes import Lookup

StepStatus = Literal["answered", "unknown", "unclear", "open"]


@dataclass(frozen=True, slots=True)
class Step:
    """One question on the route."""

    question: Question
    status: StepStatus
    answer: Answer | None = None
    understood: Understood | None = None
    trouble: str = ""
    """Why the answer cannot be used ('unclear'), or why to ask once more."""

    @property
    def to_ask(self) -> bool:
        """Whether there is no answer yet, or none that can be used."""
        return self.status in ("open", "unclear")


def walk(
    tree: Tree,
    answers: Mapping[str, Answer],
    facts: Facts,
    today: date,
    ends: Callable[[Caution, Lookup], bool],
    held: Caution | None = None,
) -> tuple[list[Step], Caution | None]:
    """Follow the tree through the answers, and add each one to ``facts``.

    Past the first open question the way goes on as if the caller did not know, so that answers
    given earlier to later questions still count and what lies ahead can be shown. The second
    result is the stop caution that ended product advice, if one did: ``ends`` tells which do, as
    far as is known by then.
    ``held`` is a stop that holds whatever the answers say now; then nothing open is asked but what
    the tree asks after a stop.

    Of a topic that is not open only the questions that have an answer are on the way. Of the
    questions of a pool that have no answer, at most one is on the way: the first that
    ``worth_asking`` gives, chosen anew after each answer. Past an open question the
    first in the order of the file stands for it, as nobody knows yet which it will be.
    """
    way = _Way(tree, answers, facts, today, ends, held)
    name, closing = tree.first, held is None
    while name != END and name not in way.seen:
        question = tree.questions[name]
        if question.pool is not None:
            name = way.through_pool(question, asking=closing)
        elif closing or name in answers or _skipped(question, None, facts):
            name = way.past(question)
        else:
            closing, name = True, tree.after_stop or END
    return way.steps, way.stopped


@dataclass(slots=True)
class _Way:
    """A way while it is walked."""

    tree: Tree
    answers: Mapping[str, Answer]
    facts: Facts
    today: date
    ends: Callable[[Caution, Lookup], bool]
    stopped: Caution | None
    steps: list[Step] = field(default_factory=list)
    seen: set[str] = field(default_factory=set)

    def past(self, question: Question) -> str:
        """Add the answer to a question, and return what comes next."""
        self.seen.add(question.name)
        answer = self.answers.get(question.name)
        step_read = None if answer is None else read_answer(question, answer, self.today)
        if not _skipped(question, step_read, self.facts):
            step = step_read or Step(question, "open")
            self.steps.append(step)
            if step.understood and step.answer:
                self.facts.learn(question, step.understood, step.answer.confirmed)
        if self.stopped is None and self._stops_at(question):
            # A sign told out of turn ends the questions before it, too.
            self.steps = [step for step in self.steps if step.status != "open"]
            return self.tree.after_stop or END
        return _next(question, self.facts)

    def through_pool(self, first: Question, *, asking: bool) -> str:
        """Take in every answer to the questions of a pool; with ``asking`` one more is asked."""
        members, onward = [first], _next(first, self.facts)
        while onward != END and self.tree.questions[onward].pool == first.pool:
            members.append(self.tree.questions[onward])
            onward = _next(members[-1], self.facts)
        self.seen |= {question.name for question in members}
        free = self.stopped is None
        for member in members:
            if member.name in self.answers:
                after = self.past(member)
                if free and self.stopped is not None:
                    return after
        left = [question for question in members if question.name not in self.answers]
        while asking:
            spared = [question for question in left if _skipped(question, None, self.facts)]
            open_now = [question for question in left if question not in spared]
            ahead = any(step.status == "open" for step in self.steps)
            best = next(iter(open_now), None)
            if not ahead:
                best = next(iter(worth_asking(self.facts, open_now, spared)), None)
            if best is None:
                break
            left.remove(best)
            after = self.past(best)
            if free and self.stopped is not None:
                return after
            asking = self.steps[-1].status != "open"
        return onward

    def _stops_at(self, question: Question) -> bool:
        """Whether the answer to a question raises a stop, which is then in force."""
        # Only an answer to a question it reads can have raised a stop since the last look.
        for stop in self.tree.stops_by_question[question.name]:
            if self.facts.holds(stop.when) and self.ends(stop, self.facts.lookup):
                self.stopped = stop
                break
        return self.stopped is not None


def _skipped(question: Question, told: Step | None, facts: Facts) -> bool:
    """Whether it is passed by, with what was told or without an answer; one that names itself in
    its conditions sees its own answer."""
    if told and told.understood is not None and question.name in question.asked_by:
        facts = facts.copy()
        facts.learn(question, told.understood, confirmed=False)
    gate = question.gate
    if gate is not None and not (told or facts.thorough) and not facts.holds(gate):
        return True
    return question.spared(facts.lookup, opened=True)


def read_answer(question: Question, answer: Answer | None, today: date) -> Step:
    """The answer to one question as a step of the route."""
    if answer is None:
        return Step(question, "open")
    if read_out(question, answer):
        return Step(question, "unknown", answer, Understood(None))
    try:
        heard = understand(question, answer.said, today)
    except Unclear as unclear:
        return Step(question, "unclear", answer, trouble=str(unclear))
    if heard.value is None:
        return Step(question, "unknown", answer, heard)
    trouble = "" if answer.confirmed else outside(question, heard)
    return Step(question, "answered", answer, heard, trouble)


def read_out(question: Question, answer: Answer) -> bool:
    """Whether all that was stored of an answer is that the list was read to the caller."""
    return question.stored_with_consent and answer.said == READ_OUT


def outside(question: Question, heard: Understood) -> str:
    """Why to ask once more: the value lies outside what is usual. Empty where it does not."""
    if question.expect is None or not isinstance(heard.value, float):
        return ""
    low, high = question.expect
    if low <= heard.value <= high:
        return ""
    figure = in_own_unit(question, heard.value)
    usual = f"{in_own_unit(question, low)} to {in_own_unit(question, high)}"
    return f"{figure} is outside the usual {usual}. Please ask the caller to measure it again."


def _next(question: Question, facts: Facts) -> str:
    for route in question.routes:
        if route.when is None or route.when.evaluate(facts.lookup) is True:
            return route.go
    return END


# -- which question of a pool is asked ------------------------------------------------------------
# What is worked out of a pool is kept with the range by all that it depends on besides: a call
# passes its pools anew with every answer, and callers go through the trees of two versions.

_KEPT = 6000
"""Results about pools that are kept with a range; when there are so many, all are forgotten."""

_PoolKey = tuple[
    str,
    "Population",
    "System",
    "tuple[tuple[str, Understood], ...]",
    "frozenset[str]",
    "tuple[str, ...]",
    "tuple[str, ...]",
]
"""The rules of its pools, population, units, what was told that they read, what of that was
confirmed, the questions to ask, and those spared."""


def worth_asking(
    facts: Facts, questions: Sequence[Question], spared: Sequence[Question] = ()
) -> tuple[Question, ...]:
    """The questions of a pool that are worth their time now, the one to ask next first.

    ``spared`` are those of the pool that are not asked now and may be once more is known. Where
    nothing is chosen nothing can be said of worth, and every question is asked.
    """
    if not facts.basis.ask_pools:
        return ()
    if not questions or facts.thorough or facts.offered is None:
        return tuple(questions)
    key, known = _pool_key(facts, questions, spared), facts.offered.kept
    made = partial(_worth_of, facts.basis, key)
    worth, tree = recall(known.setdefault("worth asking", {}), key, _KEPT, made), facts.basis.tree
    asked = [tree.questions[name] for name in worth.alone]
    return worth_their_time(asked, worth.gains(tree.questions), worth.least)


def _pool_key(facts: Facts, asked: Sequence[Question], spared: Sequence[Question]) -> _PoolKey:
    rules, read = _pool_rules(facts.basis)
    told = tuple((name, understood) for name, understood in facts.in_one_order() if name in read)
    tapeless = facts.cannot_measure
    asked_names, spared_names = (
        tuple(question.name for question in some if not (tapeless and taped(question)))
        for some in (asked, spared)
    )
    people, confirmed = facts.basis.population, read & facts.confirmed
    return rules, people, facts.system, told, confirmed, asked_names, spared_names


def _worth_of(basis: Basis, key: _PoolKey) -> PoolWorth:
    """Of a call as far as a key tells of it."""
    _, _, system, understood, confirmed, *names = key
    facts = Facts(basis, system, dict(understood), set(confirmed))
    request = facts.request()
    assert request is not None, "asked of a call without a range"
    asked, later = ([basis.tree.questions[name] for name in some] for some in names)
    return worth_of_pool(facts, request, asked, later)


@lru_cache(maxsize=8)
def _pool_rules(basis: Basis) -> tuple[str, frozenset[str]]:
    """All of a basis, as text, that decides what hearing a question of a pool adds, and the
    questions whose answers do; two versions of a tree that say the same here gain alike."""
    tree = basis.tree
    pieces = [(piece.when, piece.adjusts) for piece in (*tree.needs, *tree.adjusting)]
    keeping = [caution.when for caution in tree.keeping_seat_up]
    read = frozenset().union(
        *(condition.names for condition in (*keeping, *(when for when, _ in pieces)))
    )
    read |= {adjusts.question for _, adjusts in pieces if adjusts is not None}
    read |= {
        name for question in tree.questions.values() if question.pool for name in question.asked_by
    }
    deciding = {
        name: _without_words(question)
        for name, question in tree.questions.items()
        if question.pool or question.measures or question.sets or name in read or tree.declared
    }
    needs = [(need.name, need.feature, need.strength) for need in tree.needs]
    rules = (deciding, pieces, keeping, needs, tree.fits, basis.shares, basis.limits)
    return repr(rules), frozenset(deciding)


def _without_words(question: Question) -> Question:
    """The question without its texts, its seconds, its place and where the way goes on to."""
    choices = dict.fromkeys(question.choices, "")
    nowhere = question.where._replace(file="", line=0, column=0)
    silent = replace(question, ask="", coach="", called=(), choices=choices, seconds=None)
    return replace(silent, where=nowhere, routes=())
