"""The chair recommended, held against the true body: is it as good as the range allows?"""

from __future__ import annotations

from typing import TYPE_CHECKING

from consult.practice.acts import Recommend, Turn
from consult.practice.marking.item import Finding, Item, items
from consult.practice.marking.table import AS_GOOD
from consult.practice.marking.true_caller import worth
from consult.scale import format_length

if TYPE_CHECKING:
    from consult.practice.log import Log
    from consult.practice.marking.evidence import Evidence

NAME = "The chair recommended"
_SAME_SEAT = 10.0
"""mm, within which two seat heights are the same."""
_SEAT_WRONG = 0.5
"""Of the points, what is left where the right chair is set wrongly."""


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
        return items("chair", [Finding(NAME, 0.0, own[0].number, why, better, fails=True)])
    if own is None:
        why = "No chair was recommended."
        better = "Recommend the chair that consult works out, before the last questions."
        return items("chair", [Finding(NAME, 0.0, last, why, better, fails=True)])
    turn, said = own
    if not best[1].parts:
        if not said.parts:
            why = "No chair in the range is suitable for this caller, and you recommended none."
            return items("chair", [Finding(NAME, 1.0, turn.number, why)])
        why = "You recommended a chair, although none in the range is suitable for this caller."
        better = f"Say so: “{best[1].words}”"
        return items("chair", [Finding(NAME, 0.0, turn.number, why, better, fails=True)])
    return items("chair", [_compared(evidence, turn, said, best[1])])


def _compared(evidence: Evidence, turn: Turn, own: Recommend, best: Recommend) -> Finding:
    """The chair and its seat height, against the best of the range and what careful questions lead
    to; one that does not fit the true body fails the call."""
    better = f"With careful measures consult suggests: “{best.words}”"
    if not own.parts:
        why = "You recommended no chair, although the range has one for this caller."
        return Finding(NAME, 0.0, turn.number, why, better, fails=True)
    found, careful = (
        worth(evidence.basis, evidence.persona, evidence.best, one) for one in (own, best)
    )
    if found is None or careful is None:
        return Finding(NAME, 1.0, turn.number, "There is no range of chairs to compare it with.")
    reachable = min(found.best, careful.p)
    as_good = found.chair_fits or found.p >= reachable - AS_GOOD
    seat = found.seat_fits or _same_seat(own, best)
    if as_good and seat:
        why = f"It fits {_percent(found.p)} people like this caller; the best, "
        return Finding(NAME, 1.0, turn.number, f"{why}{_percent(found.best)}.")
    why = (
        f"It fits {_percent(found.p)} people with the caller's true measures; careful questions "
        f"lead to one that fits {_percent(reachable)}."
    )
    if not seat and found.seat_off is not None:
        side = "high" if found.seat_off > 0 else "low"
        off = format_length(abs(found.seat_off), "metric")
        why = f"The seat was set {off} too {side} for the caller's true measures."
    share = min(1.0, found.p / reachable if reachable else 0.0) * (1.0 if seat else _SEAT_WRONG)
    return Finding(NAME, share, turn.number, why, better, fails=True)


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
