"""The result of a simulated call: its length, and whether the chair is right.

The caller's true body and desk are known here, as no adviser knows them. What the chair ought to
have is taken from the same caller led in full: every question of a pool, every topic.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from consult.call.state import with_chair
from consult.call.worth import WORDS_A_SECOND, seconds_of
from consult.content.callers.chance import normal
from consult.content.callers.lead import led_state
from consult.content.callers.says import person
from consult.fit.choose import TrueFit, true_fit
from consult.fit.declared import ProductTruth, product_truth
from consult.fit.request import NO_ARMS_WANTED
from consult.fit.workplace import FIXED_HEIGHT, LOWEST, TAPE
from consult.range.parts import chair_has

if TYPE_CHECKING:
    from consult.body.measured import Sex
    from consult.call.basis import Basis
    from consult.call.state import State
    from consult.content.callers.lead import CallerSource
    from consult.fit.choose import Candidate
    from consult.fit.workplace import Workplace
    from consult.range.parts import Part, Span
    from consult.tree.model import Question

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
    said = sum(len(one.say.split()) for one in now.cautions)
    if now.chosen is not None:
        said += OFFER_WORDS
    return sum(seconds_of(step.question) for step in now.steps) + said / WORDS_A_SECOND


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
