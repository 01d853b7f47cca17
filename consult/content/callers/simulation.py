"""Simulated callers run through a tree, in one pass, and how long and how good their calls are."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Protocol, TypeVar

from consult.body.measured import Sex
from consult.body.plausibility import TOGETHER
from consult.body.population import Population
from consult.call.basis import Basis
from consult.call.call import Answer, Call
from consult.call.facts import Facts
from consult.call.route import outside, walk
from consult.call.state import State, state_so_far, with_chair
from consult.call.understand import understand
from consult.call.worth import WORDS_A_SECOND, seconds_of
from consult.content.callers.chance import normal
from consult.content.callers.says import Person, person, says
from consult.fit.choose import Candidate, TrueFit, true_fit
from consult.fit.declared import ProductTruth, product_truth
from consult.fit.request import NO_ARMS_WANTED
from consult.fit.workplace import FIXED_HEIGHT, LOWEST, TAPE, Workplace
from consult.range.parts import Part, Span, chair_has
from consult.tree.model import Caution, Question
from consult.tree.nodes import Lookup
from consult.tree.shares import Shares
from consult.units import Unclear

_T = TypeVar("_T")
_R = TypeVar("_R")

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
    """One simulated caller."""

    number: int
    """From 1."""
    source: CallerSource
    """What leads the same caller through another tree."""


class ForEach(Protocol):
    """The result of some work for each of some things, in their order, as ``map`` gives it."""

    def __call__(self, work: Callable[[_T], _R], things: Sequence[_T], /) -> Iterable[_R]: ...


def drawn(source: CallerSource, count: int) -> list[Simulated]:
    """``count`` callers of a source."""
    return [Simulated(number, source) for number in range(1, count + 1)]


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


def leans_on_pools(basis: Basis, simulated: Simulated) -> bool:
    """Whether the caller hears other cautions where pools ask nothing than where they ask all."""
    unasked = replace(basis, ask_pools=False)
    full, bare = (
        led_state(basis, simulated.source, simulated.number, thorough=True),
        led_state(unasked, simulated.source, simulated.number),
    )
    return [raised.caution for raised in full.cautions] != [
        raised.caution for raised in bare.cautions
    ]


def _person(source: CallerSource, number: int) -> Person:
    return person(source.population, source.shares, source.seed, number)


def _in_doubt(basis: Basis, question: str, doubted: set[str]) -> bool:
    asked = basis.tree.questions.get(question)
    measures = asked.measures if asked is not None else None
    return measures is not None and (measures in doubted or TOGETHER in doubted)


def _told(
    basis: Basis, source: CallerSource, who: Person, stands: set[str], thorough: bool
) -> Call:
    call = Call(source.today, "metric", _COUNTRY)
    if thorough:
        call = call.led_in_full(True)
    facts = Facts(basis, call.system, thorough=thorough)
    telling = _Telling(basis, source, who, facts, stands)
    walk(basis.tree, telling, facts, source.today, _ends)
    return replace(call, answers=(*call.answers, *telling.given.values()))


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


# -- the result of a simulated call: its length, and whether the chair is right -------------------
# The caller's true body and desk are known here, as no adviser knows them. What the chair ought to
# have is taken from the same caller led in full: every question of a pool, every topic.

OFFER_WORDS = 50
"""Words to say the chair, its price, its delivery and the odds (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class FeaturesKept:
    """How many of a number of features the chair has."""

    has: int = 0
    of: int = 0

    def __add__(self, other: FeaturesKept) -> FeaturesKept:
        return FeaturesKept(self.has + other.has, self.of + other.of)


@dataclass(frozen=True, slots=True)
class CallResult:
    """One call that ended with a chair the caller wants."""

    to_chair: int
    """Questions until it was offered."""
    questions: int
    seconds: float
    """Spoken and measured, by words and kinds of answer."""
    could_fit: bool
    """Whether some chair of the range fits the true body at the true desk."""
    fits: bool
    """Whether this one does, with the footrest advised."""
    fits_in_full: bool | None
    """Whether the one of the call led in full does; None where that call offers none."""
    musts: FeaturesKept
    preferences: FeaturesKept
    heard_signs: bool
    """The warning signs were asked before the chair was offered."""


def came_to(basis: Basis, source: CallerSource, number: int, now: State) -> list[CallResult]:
    """What the call of caller ``number`` came to, in a list; empty where no chair is wanted.

    ``now`` has its chair worked out; the caller is led once more, in full.
    """
    if not _wanted(basis, now):
        return []
    full = with_chair(basis, led_state(basis, source, number, thorough=True))
    who = person(source.population, source.shares, source.seed, number)
    return [call_result(basis, now, full, who.body, who.sex, source.seed * 1_000_003 + number)]


def _wanted(basis: Basis, now: State) -> bool:
    wants = now.stopped is None and now.agreed in ("recommended", "other")
    return wants and basis.range is not None and _best(now) is not None


def _best(now: State) -> Candidate | None:
    return now.chosen.choice.best if now.chosen is not None else None


def call_result(
    basis: Basis, now: State, full: State, body: Mapping[str, float], sex: Sex, seed: int
) -> CallResult:
    """The result of a call in which the caller wants the chair offered.

    ``full`` is the call of the same caller led in full. Both have their chair worked out.
    """
    best, in_full = _best(now), _best(full)
    assert best is not None
    assert basis.range is not None
    armless = [need for need in full.needs if need.feature == NO_ARMS_WANTED]
    needs = [(need.feature, need.strength, need.because) for need in armless]
    there = _true_place(full.workplace, seed)
    truth: TrueFit | ProductTruth
    if basis.range.fitting is not None:
        truth = product_truth(basis.range, body, full.workplace, full.told(basis).figure)
        could = bool(truth.suited)
    else:
        truth = true_fit(basis.range, basis.population, body, sex, there, needs)
        could = bool(truth.exact.fits.any())
    asked = [step.question for step in now.steps]
    agreed = next(at for at, question in enumerate(asked) if question.sets == "agreed")
    signs = [at for at, question in enumerate(asked) if question.signs]
    return CallResult(
        to_chair=sum(map(questions_in, asked[:agreed])),
        questions=sum(map(questions_in, asked)),
        seconds=seconds_spoken(now),
        could_fit=could,
        fits=_fits(truth, now, best),
        fits_in_full=_fits(truth, full, in_full) if in_full is not None else None,
        musts=_kept(full, "must", best.parts.values()),
        preferences=_kept(full, "prefer", best.parts.values()),
        heard_signs=bool(signs) and signs[0] < agreed,
    )


def questions_in(question: Question) -> int:
    """How many questions a caller hears in one: a text that asks two things counts as two."""
    return max(1, question.ask.count("?"))


def seconds_spoken(now: State) -> float:
    """How long the adviser and the caller talk, by words and kinds of answer."""
    words = sum(len(raised.say.split()) for raised in now.cautions)
    if now.chosen is not None:
        words += OFFER_WORDS
    return sum(seconds_of(step.question) for step in now.steps) + words / WORDS_A_SECOND


def _true_place(told: Workplace, seed: int) -> Workplace:
    """The workplace behind what a caller says of it: what was read off a tape has its error, and
    a desk stands somewhere though nobody measured it."""

    def true(name: str, value: float | None, usual: Span | None = None) -> float | None:
        middle, sd = (value, TAPE[name]) if value is not None else usual or (None, 0.0)
        return None if middle is None else max(0.0, middle + sd * normal(seed, name, "true"))

    desk, kind = told.desk, told.desk.kind
    desk = replace(
        desk,
        height=true("desk_height", desk.height, FIXED_HEIGHT if kind == "fixed" else None),
        lowest=true("desk_lowest", desk.lowest, LOWEST if kind == "adjustable" else None),
        thickness=true("desk_thickness", desk.thickness),
    )
    return replace(told, desk=desk, heel=true("heel", told.heel), spreads={})


def _fits(truth: TrueFit | ProductTruth, now: State, chair: Candidate) -> bool:
    codes = [part.code for part in chair.parts.values()]
    if isinstance(truth, ProductTruth) or truth.fits(codes):
        return truth.fits(codes)
    # At a desk whose height nobody measured, a footrest is left until the chair stands there.
    rests = [part.code for part in truth.exact.rests] if now.workplace.desk.undecided else []
    return any(truth.fits([*codes, rest]) for rest in rests)


def _kept(full: State, strength: str, parts: Iterable[Part]) -> FeaturesKept:
    asked = {need.feature for need in full.needs if need.strength == strength}
    return FeaturesKept(sum(chair_has(parts, feature) for feature in asked), len(asked))
