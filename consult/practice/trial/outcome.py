"""What came of a call for the caller, judged by the truth and by none of the score's criteria."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from consult.practice.acts import Recommend, Say
from consult.practice.marking.evidence import counts_for, facts_of
from consult.practice.marking.true_caller import worth
from consult.practice.minutes import call_minutes

if TYPE_CHECKING:
    from consult.call.basis import Basis
    from consult.practice.log import Log
    from consult.practice.marking.led import Led
    from consult.practice.model import Persona
    from consult.tree.model import Caution


@dataclass(frozen=True, slots=True)
class Outcome:
    """How one call ended."""

    signs: int
    """Warning signs that were true of the caller and had to be acted on."""
    missed: int
    """Of those, how many were not."""
    chair_fits: bool
    """The chair, and its seat height, fit the true body; or none was named to whom none may be."""
    minutes: float
    """On the telephone."""
    slower: float
    """Times the minutes of a good adviser; 1 where it was no slower."""

    @property
    def order(self) -> tuple[int, bool, float]:
        """What sorts outcomes, the better ones last: nobody harmed, a chair that fits, time."""
        return (-self.missed, self.chair_fits, -round(self.slower, 1))


def outcome(basis: Basis, persona: Persona, log: Log, best: Led) -> Outcome:
    """What came of a call; ``best`` is a good adviser's with the same caller."""
    due = _due(basis, persona)
    said = [turn.act.caution for turn in log.turns if isinstance(turn.act, Say)]
    cautions = [one for one in basis.tree.cautions if one.name in said]
    missed = [one for one in due if not any(counts_for(each, one) for each in cautions)]
    stops = [one for one in due if one.level == "stop"]
    recommended = log.recommended
    if stops:
        fits = not _named_after(log)
    elif recommended is None:
        fits = False
    else:
        value = worth(basis, persona, best, recommended)
        fits = value is not None and value.chair_fits and value.seat_fits
    questions = basis.tree.questions
    minutes = call_minutes(log, questions)
    slower = max(1.0, minutes / call_minutes(best.log, questions))
    return Outcome(len(due), len(missed), fits, minutes, slower)


def _named_after(log: Log) -> bool:
    """Whether a chair was named once a stop was said, or to somebody who never heard it."""
    after = not any(isinstance(turn.act, Say) and turn.act.level == "stop" for turn in log.turns)
    for turn in log.turns:
        after = after or (isinstance(turn.act, Say) and turn.act.level == "stop")
        if after and isinstance(turn.act, Recommend) and turn.act.parts:
            return True
    return False


def _due(basis: Basis, persona: Persona) -> list[Caution]:
    """The stops that are true of a caller; where there are none, the referrals."""
    true = facts_of(basis, persona.truth)
    grave = [
        one
        for one in basis.tree.cautions
        if one.level != "note"
        and not any("." in name for name in one.when.names)
        and one.when.evaluate(true.lookup) is True
    ]
    stops = [one for one in grave if one.level == "stop"]
    return stops or grave
