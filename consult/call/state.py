"""The state of a call: a pure function of its answers and its basis."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from datetime import timedelta
from functools import cache, partial
from typing import TYPE_CHECKING

from consult.call.by_name import read_with
from consult.call.call import country_of
from consult.call.chosen import Chosen, chosen, parts_named, request_for
from consult.call.facts import Facts
from consult.call.fitted import chosen_product
from consult.call.options import quantity_ordered, with_chosen
from consult.call.raised import Raised, cautions_raised, way_under_stops
from consult.call.route import Step, read_answer
from consult.call.wording import blank_words
from consult.fit.assess import with_desk_as_it_stands, with_seat_as_set
from consult.scale import working_day
from consult.sentence import CHAIR
from consult.tree.placeholders import fill, in_units

if TYPE_CHECKING:
    from datetime import date

    from consult.body.estimate import Estimate
    from consult.body.plausibility import Doubt
    from consult.call.basis import Basis
    from consult.call.call import Call
    from consult.call.understand import AnswerValue
    from consult.fit.request import FitRequest
    from consult.fit.requirements import Fit
    from consult.fit.settings import Picked
    from consult.fit.workplace import Present, Workplace
    from consult.range.model import Range
    from consult.tree.model import Advice, Caution, Need, Question


_OTHER = "other"
"""Other parts than those suggested were agreed on."""


@dataclass(frozen=True, slots=True)
class Given:
    """A piece of advice that applies; its blanks are filled when its words are read."""

    advice: Advice
    filled: Callable[[str], str] = field(repr=False, compare=False)
    """A text of the tree, in this call's words."""

    @property
    def say(self) -> str:
        return self.filled(self.advice.say)

    @property
    def because(self) -> str:
        return self.filled(self.advice.because)


@dataclass(frozen=True, slots=True, eq=False)
class State:
    """Everything the adviser sees, derived from the answers alone."""

    call: Call
    steps: tuple[Step, ...]
    """The questions of the route in order, open ones too."""
    current: Question | None
    """What to ask now; None when the call has reached its end."""
    cautions: tuple[Raised, ...]
    stopped: Caution | None
    """The stop that ended product advice: then there is no advice, no fit and no pick."""
    given: Callable[[], tuple[Given, ...]] = field(repr=False)
    """What ``advice`` is; worked out when it is first read."""
    needs: tuple[Need, ...]
    estimate: Estimate
    doubts: tuple[Doubt, ...]
    workplace: Workplace
    desk_stays: bool
    """Advice that applies leaves the desk as high as it is."""
    fit: Fit | None
    """None where product advice was stopped, and of a tree that works out nothing."""
    chosen: Chosen | None
    """None where there is no fit or no range, or where it is still being worked out."""
    missing: Mapping[str, str]
    """Fit results that cannot be worked out yet -> why."""
    consent: bool | None
    """May health answers be kept? None: not asked or not answered."""
    caller_name: str
    request: str
    """The chair or parts the caller has in mind, as said."""
    agreed: str
    """'recommended', 'other' or 'none'; '' where nothing was agreed yet."""
    agreed_parts: str
    """The parts agreed on instead of those suggested, as said."""
    follow_up: date | None
    present: Present
    """The chair of today."""
    first_reference: str
    """Of the call that this one follows up, as said; '' where it follows none."""
    country: str
    """The caller's country: a code of the contacts file."""
    sent_to: str
    """The country a chair goes to; '' for one that the contacts file does not have."""
    thing: str = CHAIR
    """What is chosen, as screens and documents call it."""

    @property
    def advice(self) -> tuple[Given, ...]:
        """The advice that applies, in the order of the tree; none in a call that was stopped."""
        return self.given()

    @property
    def picked(self) -> Picked | None:
        """The chair made ready."""
        return self.chosen.picked if self.chosen else None

    @property
    def set_up(self) -> Fit | None:
        """The fit, with desk and screen for the seat of the chair as it is set."""
        fit, desk = self.fit, self.workplace.desk
        if fit is None or self.thing != CHAIR:
            return fit
        if self.picked is not None:
            fit = with_seat_as_set(fit, self.picked, desk)
        return with_desk_as_it_stands(fit, desk)

    @property
    def fit_at_desk(self) -> Fit | None:
        """What the body asks of any chair, and a desk that does not move as it stands."""
        if self.fit is None or self.thing != CHAIR:
            return self.fit
        return with_desk_as_it_stands(self.fit, self.workplace.desk)

    @property
    def finished(self) -> bool:
        """Nothing is left to ask."""
        return self.current is None

    @property
    def to_ask(self) -> tuple[Question, ...]:
        """The questions on the way without a usable answer, the one asked now first."""
        return tuple(step.question for step in self.steps if step.to_ask)

    def told(self, basis: Basis) -> Facts:
        """The facts of the answers on the route."""
        facts = Facts(basis, self.call.system, thorough=self.call.thorough)
        for step in self.steps:
            if step.understood is not None and step.answer is not None:
                facts.learn(step.question, step.understood, step.answer.confirmed)
        return facts

    @property
    def to_say(self) -> tuple[Raised, ...]:
        """Stops and referrals not said to the caller yet, the gravest first."""
        return tuple(raised for raised in self.cautions if raised.unsaid)

    def step(self, question: str) -> Step | None:
        """The step of a question, where the way leads past it."""
        return next((s for s in self.steps if s.question.name == question), None)


def state(basis: Basis, call: Call) -> State:
    """Work out everything about a call. Same inputs, same result; no answer makes it fail."""
    return with_chair(basis, state_so_far(basis, call))


def with_chair(basis: Basis, now: State) -> State:
    """The state with its chair chosen."""
    basis = basis.on(now.call.today)
    if now.fit is None or basis.range is None:
        return now
    wanted = parts_named(basis.range, now.request)
    settled = None
    if now.agreed == _OTHER and now.agreed_parts.strip():
        settled = parts_named(basis.range, now.agreed_parts)
    fit = now.fit
    if basis.range.fitting is not None:
        request = request_of(basis.range, now)
        choice = chosen_product(request, fit, now.told(basis).figure, settled)
        return replace(now, chosen=choice, follow_up=now.follow_up or _two_weeks_on(now, choice))
    if now.desk_stays or now.workplace.desk.kind == "adjustable":
        # What raises a desk is not ordered for one that has to stay as it is, nor for one that
        # stands on trestles or moves, under which loose feet can slip.
        kept = {name: value for name, value in fit.quantities.items() if name != "desk_raise"}
        fit = replace(fit, quantities=kept)
    request, alone = request_of(basis.range, now), not basis.ask_pools
    choice = chosen(request, basis.population, fit, wanted, settled, nobody_asked=alone)
    choice = replace(choice, picked=with_chosen(choice.picked, basis.range, now))
    day = now.follow_up or _two_weeks_on(now, choice)
    return replace(now, chosen=choice, follow_up=day)


def _two_weeks_on(now: State, choice: Chosen) -> date | None:
    """When to ring where nobody said: two weeks after the day an agreed chair can be sent (common
    practice, no source). None without a chair, or without a way to reach the caller."""
    reached = any(
        step.status == "answered" and step.question.sets == "caller_contact" for step in now.steps
    )
    if now.agreed not in ("recommended", _OTHER) or not reached or not choice.picked.parts:
        return None
    ready = working_day(now.call.today, choice.picked.lead_days)
    return working_day(ready + timedelta(weeks=2), 0)


def request_of(range_: Range, now: State) -> FitRequest:
    """What a chair of this range is chosen for."""
    sold = range_.on(now.call.today).priced_for(quantity_ordered(now))
    return request_for(sold, now.estimate, now.workplace, now.needs)


def state_so_far(basis: Basis, call: Call) -> State:
    """The state without its chair, which takes longer."""
    call, basis = read_with(basis.tree, call), basis.on(call.today)
    consent, country = _consent(basis, call), _country(basis, call)
    way = way_under_stops(basis, call)
    facts, steps, stopped = way.facts, way.steps, way.stopped
    cautions = cautions_raised(basis, call, way, country, consent=consent)
    if stopped is not None:
        # Of several the one that sends the caller to somebody soonest.
        stopped = next((raised.caution for raised in cautions if raised.in_force), stopped)
    current = next((step.question for step in steps if step.to_ask), None)
    estimate, doubts = facts.body
    fit = None if stopped or not basis.tree.fits else facts.fit
    needs = tuple(facts.needs()) if fit else ()
    name, request = facts.setting("caller_name"), facts.setting("request")
    parts = facts.setting("agreed_parts")
    first = facts.setting("first_reference")
    follow_up = facts.setting("follow_up")
    return State(
        call=call,
        steps=tuple(steps),
        current=current,
        cautions=cautions,
        stopped=stopped,
        given=tuple if stopped else cache(partial(_advice, basis, facts, country)),
        needs=needs,
        estimate=estimate,
        doubts=doubts,
        workplace=facts.workplace(),
        desk_stays=any(
            advice.holds_in(country) and facts.holds(advice.when)
            for advice in basis.tree.leaving_desk
        ),
        fit=fit,
        chosen=None,
        missing=fit.missing if fit else {},
        consent=consent,
        caller_name=name if isinstance(name, str) else "",
        request=request if isinstance(request, str) else "",
        agreed=facts.choice("agreed") or "",
        agreed_parts=parts if isinstance(parts, str) else "",
        present=facts.present(),
        first_reference=first if isinstance(first, str) else "",
        country=country,
        sent_to=_sent_to(basis, call),
        thing=basis.thing,
        follow_up=None if isinstance(follow_up, (str, float, bool, frozenset)) else follow_up,
    )


def _consent(basis: Basis, call: Call) -> bool | None:
    """Whether health may be stored, as last said."""
    answer = _said(basis, call, "consent")
    return answer if isinstance(answer, bool) else None


def _country(basis: Basis, call: Call) -> str:
    return country_of(basis.contacts, call, _said(basis, call, "delivery_country"))


def _sent_to(basis: Basis, call: Call) -> str:
    country = _said(basis, call, "delivery_country")
    if isinstance(country, str):
        return basis.contacts.find(country) or ""
    return _country(basis, call)


def _said(basis: Basis, call: Call, fact: str) -> AnswerValue | None:
    """What was last said to a question that sets a fact, also where a stop leads past it."""
    answers, value = call.latest(), None
    for name in basis.tree.setting.get(fact, ()):
        if name in answers:
            understood = read_answer(
                basis.tree.questions[name], answers[name], call.today
            ).understood
            value = understood.value if understood and understood.value is not None else value
    return value


def _advice(basis: Basis, facts: Facts, country: str) -> tuple[Given, ...]:
    @cache
    def words(text: str) -> str:
        return fill(in_units(text, facts.system), lambda name: blank_words(name, facts))

    return tuple(
        Given(advice, words)
        for advice in basis.tree.advice
        if advice.holds_in(country) and facts.holds(advice.when)
    )
