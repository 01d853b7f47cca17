"""What the behaviours of a caller do to one reply: what shows, what is mended, what is withheld."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from consult.call.understand import is_unknown
from consult.practice.acts import Again, Coach
from consult.practice.model import IN_PASSING, MEASUREMENT, OPENING, WITHHOLDS

if TYPE_CHECKING:
    from collections.abc import Sequence

    from consult.practice.acts import Act, Turn
    from consult.practice.model import Behaviour, Persona
    from consult.tree.model import Question

FIGURES = frozenset(["length", "mass", "count"])
_USUAL_HEEL = 25.0
"""mm; where nothing says how high the heels are."""


@dataclass(frozen=True, slots=True)
class Effects:
    """What shows in one reply."""

    shown: tuple[Behaviour, ...] = ()
    withheld: Behaviour | None = None
    """No answer is given because of it."""
    mended: tuple[Behaviour, ...] = ()
    """Showed here before and are mended now."""
    settled: tuple[Behaviour, ...] = ()
    """Remarks made elsewhere that contradict what is answered now."""
    denied: bool = False
    """Has a sign that is asked about, and says none: it is mentioned later."""
    repeated: bool = False
    """The question was answered before."""

    def of(self, kind: str) -> Behaviour | None:
        """The first behaviour of a kind that shows."""
        return next((one for one in self.shown if one.kind == kind), None)

    @property
    def in_passing(self) -> tuple[Behaviour, ...]:
        """Those that say something of another question."""
        return tuple(one for one in self.shown if one.kind in IN_PASSING)


def effects_on_opening(persona: Persona) -> Effects:
    """What shows in the first words."""
    return Effects(tuple(b for b in persona.behaviours if b.at == OPENING and b.kind in IN_PASSING))


def effects(persona: Persona, question: Question, turns: Sequence[Turn], act: Act) -> Effects:
    """What shows when a question is asked; ``turns`` is all that was said before."""
    before = [turn for turn in turns if turn.about == question.name]
    careful = isinstance(act, (Coach, Again)) or bool(before)
    showed = {name for turn in turns for name in turn.shown}
    unknown = is_unknown(persona.truth[question.name])
    shown: list[Behaviour] = []
    mended: list[Behaviour] = []
    for one in persona.behaviours:
        if not _concerns(one, question):
            continue
        if one.kind in IN_PASSING:
            if one.name not in showed:
                shown.append(one)
        elif one.kind == "mixes_units":
            shown.append(one)
        elif one.kind == "for_somebody_else":
            if not _fetched(persona, one, turns):
                (mended if careful else shown).append(one)
        elif not careful and not (one.kind in MEASUREMENT and unknown):
            shown.append(one)
        elif before and one.name in before[-1].shown and _mends(one, persona, question):
            # What was mended in an earlier turn is not mended again.
            mended.append(one)
    withheld = next((one for one in shown if one.kind in WITHHOLDS), None)
    if withheld is not None:
        # Nothing is wrong yet with a figure that was not given.
        shown = [one for one in shown if one is withheld or one.kind in IN_PASSING]
    return Effects(
        shown=tuple(shown),
        withheld=withheld,
        mended=tuple(mended),
        settled=tuple(
            one
            for one in persona.behaviours
            if one.kind == "contradicts" and one.about == question.name and one.name in showed
        ),
        denied=not careful
        and any(
            one.denied_first and one.about == question.name and one.name not in showed
            for one in persona.behaviours
        ),
        repeated=any(question.name in turn.tells for turn in before),
    )


def added(persona: Persona, one: Behaviour) -> float:
    """mm or kg that a behaviour adds to a figure."""
    if one.off or one.kind != "shoes_on":
        return one.off
    heel = next((name for name, q in persona.questions.items() if q.sets == "heel"), "")
    return persona.measured.get(heel, 0.0) or _USUAL_HEEL


def _concerns(one: Behaviour, question: Question) -> bool:
    """Whether a behaviour can show at a question."""
    if one.at:
        return one.at == question.name
    match one.kind:
        case "mixes_units":
            return question.answer in ("length", "mass")
        case "rounds":
            return question.answer in FIGURES
        case "for_somebody_else":
            return question.measures is not None
        case _:
            return False


def _mends(one: Behaviour, persona: Persona, question: Question) -> bool:
    """Whether asking again changes the answer; a no may stay a no."""
    if one.kind == "refuses_consent":
        return persona.truth[question.name] != "no"
    return one.kind in MEASUREMENT | WITHHOLDS


def _fetched(persona: Persona, one: Behaviour, turns: Sequence[Turn]) -> bool:
    """Whether the one who will sit, or the tape, was fetched by now."""
    asked: set[str] = set()
    for turn in turns:
        question = persona.questions.get(turn.about)
        if question is not None and _concerns(one, question):
            if isinstance(turn.act, (Coach, Again)) or turn.about in asked:
                return True
            asked.add(turn.about)
    return False
