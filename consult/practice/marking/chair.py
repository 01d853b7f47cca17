"""The chair recommended, held against the true body: is it as good as the range allows?"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from consult.call.state import state_so_far
from consult.fit.true_fit import TrueFit, true_fit
from consult.practice.acts import Recommend, Turn
from consult.practice.marking.item import Finding, Item, items
from consult.practice.marking.table import AS_GOOD

if TYPE_CHECKING:
    from consult.call.state import State
    from consult.practice.log import Log
    from consult.practice.marking.evidence import Evidence

NAME = "The chair recommended"


def chair_marks(evidence: Evidence) -> tuple[Item, ...]:
    """Marks for the recommendation; none where nothing may be recommended and nothing was."""
    own, best = _recommended(evidence.own.log), _recommended(evidence.best.log)
    last = evidence.own.last
    if not evidence.tree.fits:
        return ()
    stop = evidence.stop
    # The sign may come out only after the chair, in a topic: until then it was right to name one.
    ended = stop is not None and (own is None or own[0].number > stop.number)
    if best is None or ended:
        if own is None or not own[1].parts:
            return ()
        why = "You recommended a chair to a caller after product advice had to stop."
        better = "Recommend none: read the caution, ask how to reach the caller, and close."
        return items("chair", [Finding(NAME, 0.0, own[0].number, why, better)])
    if own is None:
        why = "No chair was recommended."
        better = "Recommend the chair that consult works out, before the last questions."
        return items("chair", [Finding(NAME, 0.0, last, why, better)])
    turn, said = own
    if not best[1].parts:
        if not said.parts:
            why = "No chair in the range is suitable for this caller, and you recommended none."
            return items("chair", [Finding(NAME, 1.0, turn.number, why)])
        why = "You recommended a chair, although none in the range is suitable for this caller."
        better = f"Say so: “{best[1].words}”"
        return items("chair", [Finding(NAME, 0.0, turn.number, why, better)])
    return items("chair", [_compared(evidence, turn, said, best[1])])


def _compared(evidence: Evidence, turn: Turn, own: Recommend, best: Recommend) -> Finding:
    """P(fits) of the chair against the best of the range, and what careful questions lead to."""
    if not own.parts:
        why = "You recommended no chair, although the range has one for this caller."
        better = f"With careful measures consult suggests: “{best.words}”"
        return Finding(NAME, 0.0, turn.number, why, better)
    if set(own.parts) == set(best.parts):
        return Finding(NAME, 1.0, turn.number, "This is the chair that careful questions lead to.")
    found = _true_fit(evidence)
    if found is None:
        return Finding(NAME, 1.0, turn.number, "There is no range of chairs to compare it with.")
    p, reachable = found.p_fits(own.parts), min(found.best, found.p_fits(best.parts))
    if found.fits(own.parts) or p >= reachable - AS_GOOD:
        why = f"It fits {_percent(p)} of people like this caller; the best, {_percent(found.best)}."
        return Finding(NAME, 1.0, turn.number, why)
    why = (
        f"It fits {_percent(p)} of people with the caller's true measures; the best of the range "
        f"fits {_percent(found.best)}, and careful questions lead to one that fits "
        f"{_percent(reachable)}."
    )
    better = f"With careful measures consult suggests: “{best.words}”"
    return Finding(NAME, p / reachable, turn.number, why, better)


def _true_fit(evidence: Evidence) -> TrueFit | None:
    """The range held against the true body at the true desk, with what the caller truly needs."""
    basis, persona = evidence.basis, evidence.persona
    if basis.range is None:
        return None
    true = _true_state(evidence)
    needs = tuple((need.feature, need.strength, need.because) for need in true.needs)
    return true_fit(basis.range, basis.population, persona.body, persona.sex, true.workplace, needs)


def _true_state(evidence: Evidence) -> State:
    """A good adviser's call with the true figure in place of each that was measured."""
    call, questions = evidence.best.state.call, evidence.tree.questions
    answers = tuple(
        replace(one, said=evidence.persona.truth[one.question])
        if questions[one.question].answer in ("length", "mass", "count")
        else one
        for one in call.answers
    )
    return state_so_far(evidence.basis, replace(call, answers=answers))


def _recommended(log: Log) -> tuple[Turn, Recommend] | None:
    """The last recommendation and its turn."""
    found = [(turn, turn.act) for turn in log.turns if isinstance(turn.act, Recommend)]
    return found[-1] if found else None


def _percent(share: float) -> str:
    return f"{round(100 * share)} of 100"
