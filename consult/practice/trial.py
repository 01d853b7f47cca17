"""Whether the score tells good advisers from bad: advisers of known skill, many drawn callers.

What came of a call for the caller is judged by the truth and by none of the score's criteria.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from random import Random
from statistics import fmean, median

import numpy as np

from consult.call.basis import Basis
from consult.practice.exercise import Exercise
from consult.practice.log import Lifted, Log, Recommend, Say, call_minutes
from consult.practice.model import Persona
from consult.practice.model_call import PERFECT, Skill, led_exercise
from consult.practice.score import as_it_should_be, score_of
from consult.practice.scoring.chair import worth_of_chair
from consult.practice.scoring.evidence import Led, counts_for, facts_of, grave
from consult.tree.model import Caution, plain_name


@dataclass(frozen=True, slots=True)
class CallEnd:
    """How one call ended."""

    signs: int
    """Warning signs that were true of the caller and had to be acted on."""
    missed: int
    """Of those, how many were not."""
    chair_fits: bool
    """The chair, and its seat height, fit the true body; or none was named to whom none may be."""
    as_good: bool | None
    """The chair fits the true body as well as any of the range; None where none may be named."""
    questions: int
    """Different ones asked."""
    minutes: float
    """On the telephone."""
    slower: float
    """Times the minutes of a good adviser; 1 where it was no slower."""

    @property
    def order(self) -> tuple[int, bool, float]:
        """What sorts outcomes, the better ones last: nobody harmed, a chair that fits, time."""
        return (-self.missed, self.chair_fits, -round(self.slower, 1))


def outcome(basis: Basis, persona: Persona, log: Log, best: Led) -> CallEnd:
    """What came of a call; ``best`` is a good adviser's with the same caller."""
    due = _due(basis, persona)
    said = [turn.act.caution for turn in log.turns if isinstance(turn.act, Say)]
    cautions = [caution for caution in basis.tree.cautions if caution.name in said]
    lifted = any(isinstance(event, Lifted) and event.taken for event in log.events)
    missed = [
        caution
        for caution in due
        if lifted or not any(counts_for(caution, caution) for caution in cautions)
    ]
    stops = [caution for caution in due if caution.level == "stop"]
    recommended = log.recommended
    value = worth_of_chair(basis, persona, best, recommended) if recommended is not None else None
    as_good = value is not None and value.chair_fits
    fits = not _named_after(log) if stops else as_good and value is not None and value.seat_fits
    questions = basis.tree.questions
    minutes = call_minutes(log, questions)
    return CallEnd(
        signs=len(due),
        missed=len(missed),
        chair_fits=fits,
        as_good=None if stops else as_good,
        questions=len({turn.about for turn in log.turns if turn.about}),
        minutes=minutes,
        slower=max(1.0, minutes / call_minutes(best.log, questions)),
    )


def _named_after(log: Log) -> bool:
    """Whether a chair was named once a stop was said, or to somebody who never heard it."""
    stops = (t.number for t in log.turns if isinstance(t.act, Say) and t.act.level == "stop")
    since = next(stops, 0)
    named = (t.number for t in log.turns if isinstance(t.act, Recommend) and t.act.parts)
    return any(number > since for number in named)


def _due(basis: Basis, persona: Persona) -> list[Caution]:
    """The stops that are true of a caller; where there are none, the referrals."""
    true = facts_of(basis, persona.truth)
    cautions = [
        caution for caution in grave(basis.tree) if caution.when.evaluate(true.lookup) is True
    ]
    return [caution for caution in cautions if caution.level == "stop"] or cautions


_ACTS = 90
_ACT_SECONDS = 10
_AHEAD = 3
"""Open questions among which one is chosen."""
_CHOICE = [*["ask"] * 8, *["coach"] * 3, "again", *["enter"] * 8, *["say"] * 4, "hint", "recommend"]


def by_chance(basis: Basis, persona: Persona, seed: int, began: datetime) -> Log:
    """A call led by chance; asks and enters most of all. Same inputs, same log."""
    chance, questions = Random(f"{persona.name}/{seed}"), basis.tree.questions
    exercise = Exercise(basis, persona, seed, "guided", began)
    asks = {"ask": exercise.ask, "coach": exercise.coach, "again": exercise.again}
    heard: dict[str, str] = dict(exercise.opening(began).tells)
    at = began
    for _ in range(_ACTS):
        at += timedelta(seconds=_ACT_SECONDS)
        act, session = chance.choice(_CHOICE), exercise.session
        ahead = [question.name for question in session.now.to_ask][:_AHEAD]
        name = chance.choice(ahead or list(questions))
        match act:
            case "ask" | "coach" | "again":
                heard |= asks[act](name, at).tells
            case "enter" if heard:
                about = chance.choice(list(heard))
                exercise.enter(f"/{plain_name(about)}: {heard.pop(about)}", at)
            case "say" if session.now.to_say:
                exercise.say(session.now.to_say[0], at)
            case "hint":
                exercise.hint()
            case "recommend" if chance.random() < 0.2:
                exercise.recommend(at)
    exercise.close(at)
    return exercise.log


_BLIND = Skill(coaches=False, notices=False, asks_again=False, hears=False)
BY_THE_SCREEN = "follows the screen"
"""Does what the screen says, and enters what is said; notices nothing else."""
SKILLS: Mapping[str, Skill] = {
    "perfect": PERFECT,
    BY_THE_SCREEN: Skill(notices=False),
    "hasty": replace(_BLIND, measures=False),
    "never notices": _BLIND,
    "hint before everything": Skill(hints=True),
    "measures all twice": Skill(twice=True),
    "asks all": Skill(everything=True),
    "misses one sign": Skill(misses_a_sign=True),
    "gives way": Skill(gives_way=True),
}
RANDOM = "random"
"""Does one thing after another that can be done, by chance."""
ADVISERS = (*SKILLS, RANDOM)
_BEGAN = datetime(2026, 1, 5, 9)
"""Which day it is decides nothing here."""


@dataclass(frozen=True, slots=True)
class AdviserTrial:
    """One call of one adviser."""

    adviser: str
    seed: int
    share: float
    """The score, 0 to 1."""
    passed: bool
    outcome: CallEnd


@dataclass(frozen=True, slots=True)
class AdviserSummary:
    """How one adviser did over all callers."""

    adviser: str
    calls: int
    passed: int
    score: float
    """Mean, of 100."""
    fits: int
    """Calls in which the chair fits the true body, or none was named where none may be."""
    missed: int
    """Calls with a warning sign missed."""
    minutes: float
    """Median."""
    chairs: int
    """Calls in which a chair was due."""
    as_good: int
    """Of those, how many got one that fits the true body as well as any of the range."""
    questions: float
    """Median."""
    signs: int
    """Warning signs that had to be acted on."""
    signs_missed: int


def trials(
    basis: Basis,
    drawn: Iterable[tuple[int, Persona]],
    tell: Callable[[int], None] = lambda _: None,
) -> Iterator[AdviserTrial]:
    """Every adviser with every caller; ``tell`` hears after each caller how many were done."""
    for done, (seed, persona) in enumerate(drawn, 1):
        best = as_it_should_be(basis, persona, seed, _BEGAN.date())
        for adviser in ADVISERS:
            log = _led(basis, persona, seed, adviser)
            score = score_of(log, persona, basis)
            result = outcome(basis, persona, log, best)
            yield AdviserTrial(adviser, seed, score.share, score.passed, result)
        tell(done)


def adviser_summaries(found: Sequence[AdviserTrial]) -> list[AdviserSummary]:
    """One row for each adviser, in their order."""
    return [
        _summary(adviser, [trial for trial in found if trial.adviser == adviser])
        for adviser in dict.fromkeys(trial.adviser for trial in found)
    ]


def _summary(adviser: str, own: Sequence[AdviserTrial]) -> AdviserSummary:
    ends = [trial.outcome for trial in own]
    due = [end.as_good for end in ends if end.as_good is not None]
    return AdviserSummary(
        adviser=adviser,
        calls=len(own),
        passed=sum(trial.passed for trial in own),
        score=100 * fmean(trial.share for trial in own),
        fits=sum(end.chair_fits for end in ends),
        missed=sum(end.missed > 0 for end in ends),
        minutes=median(end.minutes for end in ends),
        chairs=len(due),
        as_good=sum(due),
        questions=median(end.questions for end in ends),
        signs=sum(end.signs for end in ends),
        signs_missed=sum(end.missed for end in ends),
    )


def rank_correlation(found: Sequence[AdviserTrial]) -> float:
    """Of score and outcome over all calls, by ranks: 1 where both sort the calls alike.

    Calls that are worth the same share the mean of their ranks. NaN where all are worth the same.
    """
    if (
        len({trial.share for trial in found}) < 2
        or len({trial.outcome.order for trial in found}) < 2
    ):
        return float("nan")
    scores = _ranks([(round(trial.share, 3),) for trial in found])
    outcomes = _ranks([trial.outcome.order for trial in found])
    return float(np.corrcoef(scores, outcomes)[0, 1])


def passed_with_a_sign_missed(found: Sequence[AdviserTrial]) -> int:
    """Calls that passed though a warning sign was missed."""
    return sum(trial.passed and trial.outcome.missed > 0 for trial in found)


def _led(basis: Basis, persona: Persona, seed: int, adviser: str) -> Log:
    if adviser == RANDOM:
        return by_chance(basis, persona, seed, _BEGAN)
    return led_exercise(basis, persona, seed, "guided", _BEGAN, SKILLS[adviser])


def _ranks(values: Sequence[tuple[float, ...]]) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    """The rank of each value, from 0; of equal ones the mean."""
    places: dict[tuple[float, ...], list[int]] = {}
    for place, value in enumerate(sorted(values)):
        places.setdefault(value, []).append(place)
    return np.array([fmean(places[value]) for value in values], np.float64)
