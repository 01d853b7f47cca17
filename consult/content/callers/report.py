"""Simulated callers counted: length of calls, results and faults, and what a new range does."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from statistics import median
from typing import Literal

from consult.call.basis import Basis
from consult.call.expectation import TreePart, TreePiece, come_to, pieces_of
from consult.call.state import State, with_chair
from consult.content.callers.says import person
from consult.content.callers.simulation import CallerSource, CallResult, FeaturesKept, led_state
from consult.moves import MovePiece, opposed
from consult.range.model import Range
from consult.range.parts import CHAIR_KINDS, Kind
from consult.tree.model import Tree
from consult.units import format_length, format_mass

# -- faults of one simulated call, in any tree ----------------------------------------------------

FaultKind = Literal[
    "stuck", "contradiction", "opposed", "advice after a stop", "health before consent"
]
MovesOf = Callable[["State"], Iterable[MovePiece]]
"""What the documents of a call have the reader move."""


@dataclass(frozen=True, slots=True)
class Fault:
    """One fault of a call."""

    kind: FaultKind
    what: str
    """The question, or both pieces of advice, by name; what is opposed, with the thing moved."""
    about: frozenset[str]
    """Questions whose answers led there."""


def advice_pieces(now: State) -> Iterator[MovePiece]:
    """What the advice and the notes of a call have the caller move, without any document."""
    for given in now.advice:
        advice = given.advice
        yield MovePiece(f"advice '{advice.name}'", advice.moves, advice.may_move)
    for note in now.fit.notes if now.fit is not None else ():
        yield MovePiece(f"note '{note.name}'", note.moves, note.may_move)


def faults(tree: Tree, now: State, pieces: MovesOf = advice_pieces) -> Iterator[Fault]:
    """Every fault at the end of a fully answered call.

    ``pieces`` says what the call's documents have the caller move; opposed ones are a fault.
    """
    if now.current is not None:
        name = now.current.name
        yield Fault("stuck", f"'{name}'", frozenset([name]))
    yield from _contradictions(tree, now)
    about = {f"advice '{entry.advice.name}'": entry.advice.when.names for entry in now.advice}
    for pair in opposed(pieces(now)):
        both = (about.get(piece.name, frozenset()) for piece in (pair.one, pair.other))
        yield Fault("opposed", str(pair), frozenset[str]().union(*both))
    if now.stopped is not None:
        for given in now.advice:
            message = f"'{given.advice.name}' after '{now.stopped.name}'"
            yield Fault("advice after a stop", message, given.advice.when.names)
    yield from _health_too_soon(now)


def _contradictions(tree: Tree, now: State) -> Iterator[Fault]:
    given = {entry.advice.name: entry.advice for entry in now.advice}
    for advice in tree.advice:
        for other in advice.contradicts:
            if advice.name in given and other in given:
                about = advice.when.names | given[other].when.names
                yield Fault("contradiction", f"'{advice.name}' with '{other}'", about)


def _health_too_soon(now: State) -> Iterator[Fault]:
    """Answers about health that were asked for before a clear yes, but the warning signs."""
    consent = False
    for step in now.steps:
        if step.question.sets == "consent":
            consent = step.understood is not None and step.understood.value is True
        elif step.question.private == "health" and not consent and step.answer is not None:
            name = step.question.name
            if not step.question.stored_with_consent:
                yield Fault("health before consent", f"'{name}'", frozenset([name]))


# -- the report on many ---------------------------------------------------------------------------

_MOST = 6
"""Answers in a sample; more are not read."""


@dataclass(frozen=True, slots=True)
class CallLengths:
    """How many questions a call has."""

    shortest: int
    median: float
    longest: int
    of: int
    """Questions in the tree: a call that asked every one would be so long."""

    @property
    def share(self) -> float:
        """The part of all questions that the median caller is asked, 0 to 1."""
        return self.median / self.of


@dataclass(frozen=True, slots=True)
class Spread:
    """A median and the ninth decile."""

    median: float
    ninety: float

    @classmethod
    def of(cls, values: Sequence[float]) -> Spread:
        """Of at least one value; the ninth tenth is a value that occurred."""
        ordered = sorted(values)
        return cls(median(ordered), ordered[math.ceil(0.9 * len(ordered)) - 1])


@dataclass(frozen=True, slots=True)
class OfferedChairs:
    """The calls that ended with a chair the caller wants."""

    callers: int
    to_chair: Spread
    """Questions until it was offered."""
    questions: Spread
    minutes: Spread
    """Talk and measuring, by words and kinds of answer."""
    fits: FeaturesKept
    """Of those whom some chair of the range fits, body and desk."""
    fits_in_full: FeaturesKept
    """The same of the callers led in full."""
    musts: FeaturesKept
    """Features that the full call finds necessary, and whether the chair has them."""
    preferences: FeaturesKept
    heard_signs: int


@dataclass(frozen=True, slots=True)
class CallerTrouble:
    """One fault, and how often it happened."""

    kind: FaultKind
    what: str
    callers: int
    sample: int
    """Number of the first caller it happens to."""
    answers: tuple[str, ...]
    """What that caller said that bears on it: "hours: 9"; the last of them where that is much."""


@dataclass(frozen=True, slots=True)
class CallersReport:
    """The figures of simulated callers in a tree."""

    tree: str
    version: str
    callers: int
    stopped: int
    """Callers whom a stop ends the call for."""
    lengths: CallLengths
    met: Mapping[TreePiece, int]
    """Every piece of the tree, in its order -> how many callers came to it."""
    troubles: tuple[CallerTrouble, ...]
    offered: OfferedChairs | None = None
    """None where nobody was offered a chair, or where it was not looked at."""

    @property
    def unmet(self) -> tuple[TreePiece, ...]:
        """Pieces that no caller reached. ``consult check --prove`` finds out whether one can."""
        return tuple(piece for piece, count in self.met.items() if not count)


@dataclass(frozen=True, slots=True)
class EndedCall:
    """All that is counted of one call."""

    number: int
    """Of its caller."""
    questions: int
    stopped: bool
    pieces: tuple[tuple[TreePart, str], ...]
    """Kind and name of every piece of the tree that it came to."""
    faults: tuple[tuple[Fault, tuple[str, ...]], ...]
    """Each with the answers that bear on it."""
    results: tuple[CallResult, ...] = ()
    """What it came to for its caller; empty where no chair is wanted, or none was looked at."""


def ended_call(
    tree: Tree,
    number: int,
    now: State,
    pieces: MovesOf = advice_pieces,
    results: Iterable[CallResult] = (),
) -> EndedCall:
    """What is counted of the call of caller ``number``.

    ``pieces`` says what the documents of a call have the caller move.
    """
    return EndedCall(
        number,
        len(now.steps),
        now.stopped is not None,
        tuple(come_to(now)),
        tuple((fault, _answers(fault, now)) for fault in faults(tree, now, pieces)),
        tuple(results),
    )


def callers_report(tree: Tree, calls: Iterable[EndedCall]) -> CallersReport:
    """Count at least one call."""
    met = dict.fromkeys(pieces_of(tree), 0)
    places = {(piece.part, piece.name): piece for piece in met}
    lengths: list[int] = []
    results: list[CallResult] = []
    stopped = 0
    troubles: dict[tuple[FaultKind, str], CallerTrouble] = {}
    for call in calls:
        lengths.append(call.questions)
        results += call.results
        stopped += call.stopped
        for piece in call.pieces:
            met[places[piece]] += 1
        for fault, answers in call.faults:
            key = (fault.kind, fault.what)
            before = troubles.get(key) or CallerTrouble(*key, 0, call.number, answers)
            troubles[key] = replace(before, callers=before.callers + 1)
    return CallersReport(
        tree=tree.name,
        version=tree.version,
        callers=len(lengths),
        stopped=stopped,
        lengths=CallLengths(min(lengths), median(lengths), max(lengths), len(tree.questions)),
        met=met,
        troubles=tuple(troubles.values()),
        offered=_offered(results) if results else None,
    )


def _offered(results: Sequence[CallResult]) -> OfferedChairs:
    fitting = [result for result in results if result.could_fit]
    in_full = [result for result in fitting if result.fits_in_full is not None]
    return OfferedChairs(
        callers=len(results),
        to_chair=Spread.of([result.to_chair for result in results]),
        questions=Spread.of([result.questions for result in results]),
        minutes=Spread.of([result.seconds / 60 for result in results]),
        fits=FeaturesKept(sum(result.fits for result in fitting), len(fitting)),
        fits_in_full=FeaturesKept(
            sum(bool(result.fits_in_full) for result in in_full), len(in_full)
        ),
        musts=sum((result.musts for result in results), FeaturesKept()),
        preferences=sum((result.preferences for result in results), FeaturesKept()),
        heard_signs=sum(result.heard_signs for result in results),
    )


def _answers(fault: Fault, now: State) -> tuple[str, ...]:
    answers = [step.answer for step in now.steps if step.answer is not None]
    bearing = [answer for answer in answers if answer.question in fault.about]
    # What is worked out rests on the whole call; its end tells most.
    return tuple(f"{a.question}: {a.said}" for a in (bearing or answers)[-_MOST:])


# -- A new range tried on simulated callers before it is published: what nobody gets, and who gets
# nothing.


_BESIDE: tuple[Kind, ...] = ("footrest", "model")
"""What is chosen with the chair; a desk raiser is advised later, where the desk is too low."""
_NAMED = 10
"""Callers without a chair who are named one by one."""


@dataclass(frozen=True, slots=True)
class RangeTrial:
    """What came of it."""

    callers: int
    """Who reached the end of the call with or without a chair; not those whom a sign stopped."""
    chosen: Counter[str]
    """Code -> callers whose chair has the part."""
    without: tuple[str, ...]
    """Each caller for whom no chair remains, in words, with the reason."""


def tried(
    basis: Basis, source: CallerSource, count: int, progress: Callable[[int], None]
) -> RangeTrial:
    """Lead ``count`` callers through a call in full; ``progress`` hears the number of each."""
    chosen: Counter[str] = Counter()
    without = []
    led = 0
    assert basis.range is not None, "a range is tried"
    for number in range(1, count + 1):
        progress(number)
        now = with_chair(basis, led_state(basis, source, number, thorough=True))
        if now.stopped is not None or now.chosen is None:
            continue
        led += 1
        # What was suggested, whatever the caller then settled on.
        choice = now.chosen.choice
        if choice.best is not None:
            parts = choice.best.parts
            of_it = (*parts.values(), *basis.range.sold_as(parts))
            chosen.update({part.code for part in of_it})
        else:
            because = choice.none_because.text("metric") if choice.none_because else ""
            without.append(_words(basis, source, number, because))
    return RangeTrial(led, chosen, tuple(without))


def _words(basis: Basis, source: CallerSource, number: int, because: str) -> str:
    who = person(basis.population, source.shares, source.seed, number)
    size = f"{format_length(who.body['stature'], 'metric')}, "
    size += format_mass(who.body["weight"], "metric")
    return f"{'a woman' if who.sex == 'female' else 'a man'} of {size}: {because}"


def _kinds(range_: Range) -> tuple[Kind, ...]:
    return tuple(range_.parts) if range_.fitting is not None else (*CHAIR_KINDS, *_BESIDE)


def trial_words(basis: Basis, trial: RangeTrial) -> Iterator[str]:
    """The trial in sentences."""
    assert basis.range is not None, "a range is tried"
    yield f"Tried on {trial.callers} simulated callers."
    never: dict[Kind, list[str]] = {
        kind: [
            part.code
            for part in basis.range.on_sale(kind)
            if part.code and not trial.chosen[part.code]
        ]
        for kind in _kinds(basis.range)
    }
    for kind, codes in never.items():
        if codes:
            yield f"Never chosen, {kind.replace('_', ' ')}: {', '.join(codes)}."
    if not trial.without:
        yield "There was a chair for everybody."
        return
    yield f"No chair remains for {len(trial.without)} of them:"
    for words in trial.without[:_NAMED]:
        yield f"  {words}"
    if len(trial.without) > _NAMED:
        yield f"  and {len(trial.without) - _NAMED} more."
