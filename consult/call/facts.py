"""The answers of a call as facts, for conditions, the body estimate and the fit."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import lru_cache
from typing import TYPE_CHECKING, cast

from consult.body.plausibility import read_body
from consult.call.chosen import request_for
from consult.call.understand import AnswerValue, Understood
from consult.call.worth import cannot_measure
from consult.fit.assess import assess
from consult.fit.declared import declared_fit
from consult.fit.request import FitRequest
from consult.fit.requirements import Fit
from consult.fit.workplace import (
    DEFAULT_HEEL,
    TAPE,
    Adjusted,
    Desk,
    DeskKind,
    Lenses,
    Present,
    Workplace,
)
from consult.fit.worth import open_measures, settled, worth
from consult.range.model import Reach
from consult.tree.condition import SETTLED
from consult.tree.model import SETS_CHOICES
from consult.units import to_unit

if TYPE_CHECKING:
    from consult.body.estimate import Estimate
    from consult.body.measured import Measured, Sex
    from consult.body.plausibility import Doubt
    from consult.call.basis import Basis
    from consult.range.model import Range
    from consult.tree.condition import Condition
    from consult.tree.model import Need, Question
    from consult.units import System

Body = tuple["Estimate", "tuple[Doubt, ...]"]

NO_FIT = Fit({}, (), {}, {})
"""Of a tree that works out nothing: every figure of it is not known."""


@dataclass(slots=True)
class Facts:
    """What is known so far; the body and the fit are worked out when first asked for."""

    basis: Basis
    system: System
    understood: dict[str, Understood] = field(default_factory=dict)
    confirmed: set[str] = field(default_factory=set)
    thorough: bool = False
    """Whether every question of a pool is asked, worth its time or not, and every topic is open."""
    _body: Body | None = None
    _fit: Fit | None = None
    _looked_up: dict[str, AnswerValue | None] = field(default_factory=dict)
    """What ``lookup`` gave since the last answer that could change it."""

    def copy(self) -> Facts:
        """A copy, to add facts to."""
        understood, confirmed = dict(self.understood), set(self.confirmed)
        return Facts(self.basis, self.system, understood, confirmed, self.thorough)

    def learn(self, question: Question, understood: Understood, confirmed: bool) -> None:
        """Add one answer."""
        self.understood[question.name] = understood
        if confirmed:
            self.confirmed.add(question.name)
        self._looked_up.pop(question.name, None)
        if question.measures or question.sets in ("sex", "stature_origin"):
            self._body = self._fit = None
            self._looked_up.clear()
        elif (
            question.sets
            or self.basis.tree.declared
            or question.name in self.basis.tree.read_by_workplace
        ):
            self._fit = None
            self._looked_up.clear()

    def value(self, name: str) -> AnswerValue | None:
        """The value of a question, mm or kg where it is a measure; None where not known."""
        understood = self.understood.get(name)
        return understood.value if understood else None

    def lookup(self, name: str) -> AnswerValue | None:
        """The value for a condition: questions in their own unit, ``fit.`` and ``body.`` in cm."""
        looked_up = self._looked_up
        if name not in looked_up:
            looked_up[name] = self._worked_out(name)
        return looked_up[name]

    def _worked_out(self, name: str) -> AnswerValue | None:
        if "." not in name:
            understood = self.understood.get(name)
            if understood is None:
                return None
            value = understood.value
            if not isinstance(value, float):
                return value
            unit = self.basis.tree.questions[name].unit
            return to_unit(value, unit) if unit else value
        kind, _, rest = name.partition(".")
        if kind == "range":
            return self.basis.limits.get(name)
        if rest == SETTLED:
            return self.settled
        if kind == "fit":
            quantity = self.fit.quantities.get(rest)
            return quantity if isinstance(quantity, bool) or quantity is None else quantity / 10
        mean = self.body[0].dimensions[rest].mean
        return mean if self.basis.population.unit(rest) == "kg" else mean / 10

    def holds(self, condition: Condition) -> bool:
        """Whether a condition is true by what is known; at once where it waits for an answer."""
        waits_for = condition.waits_for
        if waits_for is not None and waits_for.isdisjoint(self.understood):
            return False
        return condition.evaluate(self.lookup) is True

    @property
    def body(self) -> Body:
        """The estimate and the doubts about the measures."""
        if self._body is None:
            self._body = read_body(self.basis.population, self.measures(), self.sex, self.system)
        return self._body

    @property
    def fit(self) -> Fit:
        """The set-up for what is known."""
        if not self.basis.tree.fits:
            return NO_FIT
        if self._fit is None:
            self._fit = self._assessed()
        return self._fit

    def _assessed(self) -> Fit:
        range_ = self.basis.range
        if range_ is not None and range_.fitting is not None:
            return declared_fit(range_.fitting, self.body[0], self.workplace(), self.figure)
        return _assess(self.body[0], self.workplace(), range_.reach() if range_ else None)

    def figure(self, name: str) -> float | None:
        """The answer to a question in mm or kg, or as a number; None where it is none."""
        value = self.value(name) if name in self.basis.tree.questions else None
        return value if isinstance(value, float) else None

    @property
    def chairs(self) -> Range | None:
        """The chairs that one may be chosen of; None where it is no chair, or none is."""
        return self.offered if self.offered is None or self.offered.fitting is None else None

    @property
    def offered(self) -> Range | None:
        """What the tree chooses from, chairs or another product; None where it chooses nothing."""
        return self.basis.range if self.basis.tree.fits else None

    @property
    def settled(self) -> bool | None:
        """Whether no further measure would change the choice of chair; None where none is chosen.

        Features that later answers call for are not in it yet.
        """
        if self.chairs is None:
            return None
        request = FitRequest(self.chairs, self.body[0], self.workplace(), open_places=True)
        asked = open_measures(request)
        return settled(worth(request, self.basis.population, asked).values())

    @property
    def cannot_measure(self) -> bool:
        """Whether measures were asked for in vain."""
        asked = self.basis.tree.questions
        return cannot_measure(
            (asked[name], understood.value is not None)
            for name, understood in self.understood.items()
        )

    def in_one_order(self) -> tuple[tuple[str, Understood], ...]:
        """Every answer, in one order however they came; of several to the same fact the last
        counts, so that those stay as they came."""
        asked = (self.basis.tree.questions[name] for name in self.understood)
        set_by = [fact for question in asked if (fact := question.measures or question.sets)]
        understood = self.understood.items()
        return tuple(sorted(understood) if len(set_by) == len(set(set_by)) else understood)

    def needs(self) -> list[Need]:
        """The needs that the answers call for."""
        return [need for need in self.basis.tree.needs if self.holds(need.when)]

    def request(self) -> FitRequest | None:
        """What is chosen for as far as is known; None where nothing is chosen."""
        if self.offered is None:
            return None
        return request_for(self.offered, self.body[0], self.workplace(), self.needs())

    def measures(self) -> list[Measured]:
        """Every body measure heard, with its error."""
        # Where it can be told how the stature is known, it is from memory until that is told.
        origin_asked = "stature_origin" in self.basis.tree.setting
        remembered = origin_asked and self.setting("stature_origin") != "measured"
        measures = []
        for name, understood in self.understood.items():
            dimension = self.basis.tree.questions[name].measures
            if dimension is None or not isinstance(understood.value, float):
                continue
            people, confirmed = self.basis.population, name in self.confirmed
            value, spread = understood.value, understood.spread
            if dimension == "stature" and remembered:
                measures.append(people.stature_remembered(value, spread, confirmed))
            elif dimension == "weight":
                measures.append(people.weight_told(value, spread, confirmed))
            else:
                measures.append(people.measure(dimension, value, spread, confirmed))
        return measures

    @property
    def sex(self) -> Sex | None:
        """None where it was not said."""
        return cast("Sex | None", self.choice("sex"))

    def workplace(self) -> Workplace:
        """Desk, shoes and screen as far as the answers tell."""
        close, kept_up = self.setting("close_to_desk"), self._kept_up()
        desk = Desk(
            kind=cast("DeskKind | None", self.choice("desk_kind")),
            height=self._length("desk_height"),
            thickness=self._length("desk_thickness"),
            lowest=self._length("desk_lowest"),
            highest=self._length("desk_highest"),
        )
        return Workplace(
            desk=desk,
            heel=self._length("heel"),
            close_to_desk=close if isinstance(close, bool) else _close(close),
            lenses=cast("Lenses | None", self.choice("lenses")),
            lowest_seat=self._lowest_seat(kept_up=kept_up),
            spreads=self._spreads(),
            kept_up=kept_up,
            adjusted=self._adjusted(),
        )

    def _spreads(self) -> dict[str, float]:
        """How unsure the caller is of each length of the workplace, where they said so."""
        spreads: dict[str, float] = {}
        for name, understood in self.understood.items():
            fact = self.basis.tree.questions[name].sets or ""
            if fact in TAPE and understood.value is not None and understood.spread:
                spreads[fact] = understood.spread
        return spreads

    def _adjusted(self) -> tuple[Adjusted, ...]:
        """What advice and needs that apply add to the figures, each up to the most it says."""
        heel = self._length("heel")
        total = {"heel": DEFAULT_HEEL if heel is None else heel, "cushion": 0.0}
        adjusted = []
        for piece in self.basis.tree.adjusting:
            change = piece.adjusts
            if change is None or piece.when.evaluate(self.lookup) is not True:
                continue
            amount = self.value(change.question) if change.amount is None else change.amount
            room = change.at_most - total[change.figure]
            added = min(amount, room) if isinstance(amount, float) else 0.0
            if added > 0:
                total[change.figure] += added
                adjusted.append(Adjusted(change.figure, added, piece.source))
        return tuple(adjusted)

    def _kept_up(self) -> bool:
        """A caution that applies forbids to lower the seat."""
        return any(self.holds(caution.when) for caution in self.basis.tree.keeping_seat_up)

    def _lowest_seat(self, *, kept_up: bool) -> float | None:
        """The higher of what the caller was told and, where it may not be lowered, the seat of
        today."""
        heights = [self._length("lowest_seat")]
        if kept_up:
            heights.append(self._length("chair_height"))
        return max((value for value in heights if value is not None), default=None)

    def present(self) -> Present:
        """The chair of today as far as it was measured."""
        return Present(
            seat_height=self._length("chair_height"),
            seat_depth=self._length("chair_depth"),
            armrest_height=self._length("chair_arms"),
        )

    def setting(self, fact: str) -> AnswerValue | None:
        """The value of whichever answered question sets ``fact``; the last one wins."""
        asked, value = self.basis.tree.setting.get(fact, ()), None
        for name in asked if len(asked) == 1 else self.understood:
            understood = self.understood.get(name) if name in asked else None
            if understood is not None and understood.value is not None:
                value = understood.value
        return value

    def choice(self, fact: str) -> str | None:
        """The choice that sets ``fact``; None where not known or of no meaning to it."""
        value = self.setting(fact)
        return value if isinstance(value, str) and value in SETS_CHOICES[fact] else None

    def _length(self, fact: str) -> float | None:
        value = self.setting(fact)
        return value if isinstance(value, float) else None


def _close(value: AnswerValue | None) -> bool | None:
    return {"close": True, "clear": False}.get(value) if isinstance(value, str) else None


@lru_cache(maxsize=64)
def _assess(estimate: Estimate, workplace: Workplace, reach: Reach | None) -> Fit:
    """Remembered, because a call is walked through anew with every answer."""
    return assess(estimate, workplace, reach)
