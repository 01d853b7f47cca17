"""The measures a call may still need, for the measuring sheet."""

from __future__ import annotations

from typing import TYPE_CHECKING

from consult.tree.constant import TRUE, outcomes
from consult.tree.model import END

if TYPE_CHECKING:
    from collections.abc import Set

    from consult.call.basis import Basis
    from consult.call.state import State
    from consult.tree.condition import Condition
    from consult.tree.constant import Outcomes
    from consult.tree.model import Question, Route

_STATURE = "stature"
_OF_A_MOVING_DESK = ("desk_lowest", "desk_highest")


def to_measure(basis: Basis, now: State) -> tuple[Question, ...]:
    """The lengths a call has no figure for and may yet ask for, in the order of the tree.

    One answered with "not known" is still to be measured. Left out is what the answers rule out:
    the lowest setting of a desk that does not move. After a stop nothing is measured.
    """
    if now.stopped is not None:
        return ()
    may_come = _MayCome(basis, now)
    return tuple(
        question
        for question in basis.tree.questions.values()
        if question.answer == "length" and may_come.wanted(question)
    )


class _MayCome:
    """Which questions may come, as far as the answers of a call tell."""

    def __init__(self, basis: Basis, now: State) -> None:
        self._tree, self._facts = basis.tree, now.told(basis)
        # What is only noted as it is said, such as that no tape is there, holds of the call alone.
        asked = basis.tree.questions.items()
        noted = {name for name, one in asked if one.asked_as_told}
        self._settled = now.call.latest().keys() - noted
        """Questions that nothing more is heard to."""
        self._known = {n for n in basis.tree.questions if self._facts.value(n) is not None}
        measured = {self._tree.questions[name].measures for name in self._known}
        self._body_known = _STATURE in measured
        self._reached = self._reach()
        # What no way leads to any more will not be answered.
        self._settled |= basis.tree.questions.keys() - self._reached

    def wanted(self, question: Question) -> bool:
        """Whether it has no figure, and its conditions may let it be asked."""
        if question.name in self._known or question.name not in self._reached:
            return False
        # One height told for a desk means that it is fixed, until something else is said.
        kind, height = self._facts.choice("desk_kind"), self._facts.setting("desk_height")
        if question.sets in _OF_A_MOVING_DESK and kind is None and height is not None:
            return False
        skip, only = question.skip_when, question.ask_when
        if skip and self._outcomes(skip, question.name) == TRUE:
            return False
        return only is None or True in self._outcomes(only, question.name)

    def _reach(self) -> Set[str]:
        """Every question that a way leads to which the answers so far allow."""
        found, next_ = set[str](), [self._tree.first]
        while next_:
            name = next_.pop()
            if name != END and name not in found:
                found.add(name)
                next_ += self._onward(self._tree.questions[name].routes)
        return found

    def _onward(self, routes: tuple[Route, ...]) -> list[str]:
        goes = []
        for route in routes:
            may = TRUE if route.when is None else self._outcomes(route.when)
            if True in may:
                goes.append(route.go)
            if may == TRUE:
                break
        return goes

    def _outcomes(self, condition: Condition, own: str = "") -> Outcomes:
        """What a condition can come to, whatever is still answered.

        What is worked out from the body says little before the stature is known, and is taken as
        it is from then on.
        """
        kept = {*self._settled, own}
        known = [
            one for one in condition.names if (self._body_known if "." in one else one in kept)
        ]
        return outcomes(condition.node, {name: self._facts.lookup(name) for name in known})
