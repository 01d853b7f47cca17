"""The state of a call: a pure function of its answers and of what they are read against."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from consult.call.chosen import Chosen, chosen, parts_named
from consult.call.facts import Facts
from consult.call.route import Step, walk
from consult.call.wording import blank_words
from consult.tree.placeholders import fill

if TYPE_CHECKING:
    from datetime import date

    from consult.body.estimate import Estimate
    from consult.body.plausibility import Doubt
    from consult.call.basis import Basis
    from consult.call.call import Call
    from consult.fit.pick import Picked
    from consult.fit.result import Fit
    from consult.fit.workplace import Workplace
    from consult.tree.model import Advice, Caution, Need, Question


@dataclass(frozen=True, slots=True)
class Raised:
    """A caution that applies, with the exact words to say."""

    caution: Caution
    say: str
    contact: str
    """Whom to contact, in the words of the caller's country; '' where nobody in particular."""


@dataclass(frozen=True, slots=True)
class Given:
    """A piece of advice that applies, its blanks filled."""

    advice: Advice
    say: str
    because: str


@dataclass(frozen=True, slots=True, eq=False)
class State:
    """Everything the adviser sees, derived from the answers alone."""

    call: Call
    steps: tuple[Step, ...]
    """The questions on the way, in order, open ones too."""
    current: Question | None
    """What to ask now; None when the call has reached its end."""
    cautions: tuple[Raised, ...]
    stopped: Caution | None
    """The stop that ended product advice: then there is no advice, no fit and no pick."""
    advice: tuple[Given, ...]
    needs: tuple[Need, ...]
    estimate: Estimate
    doubts: tuple[Doubt, ...]
    workplace: Workplace
    fit: Fit | None
    chosen: Chosen | None
    """None where there is no fit or no range, or where it is still being worked out."""
    missing: Mapping[str, str]
    """Fit results that cannot be worked out yet -> why."""
    consent: bool | None
    """May health answers be kept? None: not asked or not answered."""
    caller_name: str
    request: str
    """The chair or parts the caller has in mind, as said."""
    follow_up: date | None

    @property
    def picked(self) -> Picked | None:
        """The chair made ready."""
        return self.chosen.picked if self.chosen else None

    @property
    def finished(self) -> bool:
        """Nothing is left to ask."""
        return self.current is None

    def step(self, question: str) -> Step | None:
        """The step of a question, where the way leads past it."""
        return next((s for s in self.steps if s.question.name == question), None)


def state(basis: Basis, call: Call) -> State:
    """Work out everything about a call. Same inputs, same result; no answer makes it fail."""
    return with_chair(basis, state_so_far(basis, call))


def with_chair(basis: Basis, now: State) -> State:
    """The state with its chair chosen."""
    if now.fit is None or basis.range is None:
        return now
    needs = tuple((need.feature, need.strength, need.because) for need in now.needs)
    wanted = parts_named(basis.range, now.request)
    found = chosen(
        basis.range, basis.population, now.estimate, now.workplace, now.fit, needs, wanted
    )
    return replace(now, chosen=found)


def state_so_far(basis: Basis, call: Call) -> State:
    """Everything but the chair, which takes longer."""
    facts = Facts(basis, call.system)
    steps, stopped = walk(basis.tree, call.latest(), facts, call.today)
    current = next((s.question for s in steps if s.status in ("open", "unclear")), None)
    estimate, doubts = facts.body
    fit = None if stopped else facts.fit
    needs = () if stopped else tuple(n for n in basis.tree.needs if n.when.evaluate(facts.lookup))
    name, request = facts.setting("caller_name"), facts.setting("request")
    follow_up = facts.setting("follow_up")
    consent = facts.setting("consent")
    return State(
        call=call,
        steps=tuple(steps),
        current=current,
        cautions=_cautions(basis, call, facts),
        stopped=stopped,
        advice=() if stopped else _advice(basis, facts),
        needs=needs,
        estimate=estimate,
        doubts=doubts,
        workplace=facts.workplace(),
        fit=fit,
        chosen=None,
        missing=fit.missing if fit else {},
        consent=consent if isinstance(consent, bool) else None,
        caller_name=name if isinstance(name, str) else "",
        request=request if isinstance(request, str) else "",
        follow_up=None if isinstance(follow_up, (str, float, bool, frozenset)) else follow_up,
    )


def _cautions(basis: Basis, call: Call, facts: Facts) -> tuple[Raised, ...]:
    """Those that apply, the gravest first, else in the order of the tree."""
    raised = []
    for caution in basis.tree.cautions:
        if caution.when.evaluate(facts.lookup) is not True:
            continue
        contact = basis.contacts.words(call.country, caution.contact) if caution.contact else ""
        say = fill(caution.say, _caution_words(contact, facts))
        raised.append(Raised(caution, say, contact))
    gravity = {"stop": 0, "refer": 1, "note": 2}
    return tuple(sorted(raised, key=lambda one: gravity[one.caution.level]))


def _caution_words(contact: str, facts: Facts) -> Callable[[str], str | None]:
    return lambda name: contact if name == "contact" else blank_words(name, facts)


def _advice(basis: Basis, facts: Facts) -> tuple[Given, ...]:
    def words(text: str) -> str:
        return fill(text, lambda name: blank_words(name, facts))

    return tuple(
        Given(advice, words(advice.say), words(advice.because))
        for advice in basis.tree.advice
        if advice.when.evaluate(facts.lookup) is True
    )
