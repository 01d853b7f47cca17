"""The chair recommended, held against the true body: is it as good as the range allows?"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import lru_cache

from consult.call.basis import Basis
from consult.call.call import Answer
from consult.call.state import state, state_so_far
from consult.fit.choose import TrueFit, true_fit
from consult.fit.declared import ProductTruth, product_truth
from consult.practice.exercise import parts_and_seat
from consult.practice.log import Log, Recommend, Turn
from consult.practice.model import Persona
from consult.practice.scoring.evidence import Evidence, Led
from consult.practice.scoring.points import AS_GOOD, SEAT_OFF, Finding
from consult.practice.speech import SPOKEN_FIGURES
from consult.scale import format_length


@dataclass(frozen=True, slots=True)
class ChairWorth:
    """A recommendation held against the true caller."""

    p: float
    """P(fits): share of people with the caller's true measures whom the chair fits."""
    best: float
    """The same of the best chair of the range that may be offered."""
    exact: bool
    """It fits the true body itself."""
    seat_off: float | None
    """mm that the seat was set too high, or too low below 0; None where either is not known."""

    @property
    def chair_fits(self) -> bool:
        """It fits the true body, or as well as any of the range."""
        return self.exact or self.p >= self.best - AS_GOOD

    @property
    def seat_fits(self) -> bool:
        """The seat was set near enough to where the true body needs it."""
        return self.seat_off is None or abs(self.seat_off) <= SEAT_OFF


def worth_of_chair(basis: Basis, persona: Persona, best: Led, said: Recommend) -> ChairWorth | None:
    """What a recommendation is worth; None without a range of chairs, or without a chair.

    ``best`` is a good adviser's call, which knows what is asked of this caller.
    """
    found, seat = _held(basis, persona, best)
    if found is None or not said.parts:
        return None
    off = None if seat is None or said.seat_height is None else said.seat_height - seat
    return ChairWorth(found.p_fits(said.parts), found.best, found.fits(said.parts), off)


@lru_cache(maxsize=32)
def _held(
    basis: Basis, persona: Persona, best: Led
) -> tuple[TrueFit | ProductTruth | None, float | None]:
    """The range against the true body at the true desk, and the seat height it needs, mm."""
    if basis.range is None:
        return None, None
    questions, call = basis.tree.questions, best.state.call
    answers = tuple(
        replace(answer, said=persona.truth[answer.question])
        if questions[answer.question].answer in SPOKEN_FIGURES
        else answer
        for answer in call.answers
    )
    true = state_so_far(basis, replace(call, answers=answers))
    needs = tuple((need.feature, need.strength, need.because) for need in true.needs)
    _, height = parts_and_seat(true)
    if basis.range.fitting is not None:
        figure = true.told(basis).figure
        return product_truth(basis.range, persona.body, true.workplace, figure, needs), height
    who = basis.population, persona.body, persona.sex
    return true_fit(basis.range, *who, true.workplace, needs), height


def spoiled_the_chair(evidence: Evidence, question: str) -> bool:
    """Whether the chair, or its seat height, would have come out better with the true figure.

    Of an error that shows at no one question, whether the chair does not fit: it bore on all.
    """
    said = evidence.own.log.recommended
    own = _worth(evidence, said) if said is not None else None
    if own is None or (own.chair_fits and own.seat_fits):
        return False
    call = evidence.own.state.call
    answer = call.latest().get(question)
    if answer is None:
        return True
    true = evidence.persona.truth[question]
    then = state(evidence.basis, call.add(Answer(question, true)))
    right = _worth(evidence, Recommend(*parts_and_seat(then)))
    return right is not None and _better(own, right)


def _worth(evidence: Evidence, said: Recommend) -> ChairWorth | None:
    return worth_of_chair(evidence.basis, evidence.persona, evidence.best, said)


def _better(own: ChairWorth, right: ChairWorth) -> bool:
    """Whether putting it right makes a difference: a better chair, or a seat nearer by a third of
    what it may be off."""
    if right.p > own.p + AS_GOOD or (right.exact and not own.exact):
        return True
    if own.seat_off is None or right.seat_off is None:
        return False
    return abs(own.seat_off) - abs(right.seat_off) > SEAT_OFF / 3


CHAIR_ITEM = "The chair recommended"
_SAME_SEAT = 10.0
"""mm, within which two seat heights are the same."""
_SEAT_WRONG = 0.5
"""Of the points, what is left where the right chair is set wrongly."""


def chair_findings(evidence: Evidence) -> Iterator[Finding]:
    """Of the recommendation; nothing where nothing may be recommended and nothing was."""
    if not evidence.tree.fits:
        return
    own, best = _recommended(evidence.own.log), _recommended(evidence.best.log)
    stop = evidence.stop
    # The sign may come out only after the chair, in a topic: until then it was right to name one.
    ended = stop is not None and (own is None or own[0].number > stop.number)
    if best is None or ended:
        if own is not None and own[1].parts:
            why = "You recommended a chair to a caller after product advice had to stop."
            better = "Recommend none: read the caution, ask how to reach the caller, and close."
            yield Finding(CHAIR_ITEM, 0.0, own[0].number, why, better, fails=True)
    elif own is None:
        why = "No chair was recommended."
        better = "Recommend the chair that consult works out, before the last questions."
        yield Finding(CHAIR_ITEM, 0.0, evidence.own.last, why, better, fails=True)
    elif best[1].parts:
        yield _compared(evidence, *own, best[1])
    elif own[1].parts:
        why = "You recommended a chair, although none in the range is suitable for this caller."
        better = f"Say so: “{best[1].words}”"
        yield Finding(CHAIR_ITEM, 0.0, own[0].number, why, better, fails=True)
    else:
        why = "No chair in the range is suitable for this caller, and you recommended none."
        yield Finding(CHAIR_ITEM, 1.0, own[0].number, why)


def _compared(evidence: Evidence, turn: Turn, own: Recommend, best: Recommend) -> Finding:
    """The chair and its seat height, against the best of the range and what careful questions lead
    to; one that does not fit the true body fails the call."""
    better = f"With careful measures consult suggests: “{best.words}”"
    if not own.parts:
        why = "You recommended no chair, although the range has one for this caller."
        return Finding(CHAIR_ITEM, 0.0, turn.number, why, better, fails=True)
    worth, careful = (
        worth_of_chair(evidence.basis, evidence.persona, evidence.best, recommend)
        for recommend in (own, best)
    )
    if worth is None or careful is None:
        return Finding(
            CHAIR_ITEM, 1.0, turn.number, "There is no range of chairs to compare it with."
        )
    reachable = min(worth.best, careful.p)
    as_good = worth.chair_fits or worth.p >= reachable - AS_GOOD
    seat = worth.seat_fits or _same_seat(own, best)
    if as_good and seat:
        why = f"It fits {_percent(worth.p)} people like this caller; the best, "
        return Finding(CHAIR_ITEM, 1.0, turn.number, f"{why}{_percent(worth.best)}.")
    why = (
        f"It fits {_percent(worth.p)} people with the caller's true measures; careful questions "
        f"lead to one that fits {_percent(reachable)}."
    )
    if not seat and worth.seat_off is not None:
        side = "high" if worth.seat_off > 0 else "low"
        off = format_length(abs(worth.seat_off), "metric")
        why = f"The seat was set {off} too {side} for the caller's true measures."
    share = min(1.0, worth.p / reachable if reachable else 0.0) * (1.0 if seat else _SEAT_WRONG)
    return Finding(CHAIR_ITEM, share, turn.number, why, better, fails=True)


def _same_seat(own: Recommend, best: Recommend) -> bool:
    """Whether the seat was set where careful questions lead to."""
    if own.seat_height is None or best.seat_height is None:
        return own.seat_height is best.seat_height
    return abs(own.seat_height - best.seat_height) <= _SAME_SEAT


def _recommended(log: Log) -> tuple[Turn, Recommend] | None:
    """The last recommendation and its turn."""
    found = [(turn, turn.act) for turn in log.turns if isinstance(turn.act, Recommend)]
    return found[-1] if found else None


def _percent(share: float) -> str:
    return f"{round(100 * share)} of 100"
