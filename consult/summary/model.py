"""The call summary: one model of what a call came to, from which every written form is made."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping, Set
from dataclasses import dataclass, field, fields, is_dataclass
from datetime import date
from typing import Any

from consult.body.estimate import Dimension
from consult.call.basis import Basis
from consult.call.chair_lines import too_late
from consult.call.follow_up import ThenAndNow
from consult.call.state import State
from consult.call.wording import how_known
from consult.fit.requirements import PRIVATE_NOTES, Fit
from consult.moves import bought
from consult.retention import Retention
from consult.sentence import CHAIR, Sentence
from consult.summary.known import (
    answer_lines,
    answer_of_fact,
    estimated,
    measured,
    order_answers,
    remedies,
    workplace_needs,
)
from consult.summary.lines import (
    AdviceLine,
    AnswerLine,
    CallLine,
    CautionLine,
    Cites,
    DeliveryLine,
    DoubtLine,
    Figure,
    KnownLine,
    MadeWith,
    Measures,
    NeedLine,
    NoteLine,
    OrderAnswer,
    RemedyLine,
    SenderLine,
    SetupStep,
    Specification,
    StoredLine,
    Worded,
)
from consult.summary.readers import (
    HEALTHLESS,
    WITHHELD,
    Reader,
    cautions_to_keep,
    disclaimer_for,
    tells,
    withheld_questions,
)
from consult.summary.setup import setup_steps
from consult.summary.specification import ordered_things, specification
from consult.tree.placeholders import blanks, in_units
from consult.tree.sources import Source, Sources
from consult.units import System

_SENTENCES = re.compile(r"(?<=[.!?]) ")
VERSION = "4"
"""Of the exported form; see ``summary.schema.json``."""

DELIVERY = ("caller_contact", "delivery_address", "delivery_country", "needed_by")
"""The facts a chair is delivered by."""


@dataclass(frozen=True, slots=True, eq=False)
class Summary:
    """What a call came to; lengths in mm, masses in kg. Field names are the keys of the export."""

    version: str
    title: str
    call: CallLine
    made_with: MadeWith
    sender: SenderLine
    body: Mapping[str, Dimension]
    fit: Mapping[str, Figure]
    missing: Mapping[str, str]
    notes: tuple[NoteLine, ...]
    plausibility: tuple[DoubtLine, ...]
    cautions: tuple[CautionLine, ...]
    advice: tuple[AdviceLine, ...]
    needs: tuple[NeedLine, ...]
    workplace: tuple[str, ...]
    """What the workplace needs, of answers that tell nothing about the person."""
    specification: Specification | None
    setup_steps: tuple[SetupStep, ...]
    remedies: tuple[RemedyLine, ...]
    """What to try where the set-up feels wrong; empty where there is none."""
    answers: tuple[AnswerLine, ...]
    measured: tuple[KnownLine, ...]
    estimated: tuple[KnownLine, ...]
    then_and_now: tuple[ThenAndNow, ...]
    """In a follow-up call: what the first call advised, and how it stands."""
    hold: bool | None
    """The chair must not be sent until the adviser releases the order; None where the reader may
    not see it."""
    delivery: DeliveryLine
    order_answers: tuple[OrderAnswer, ...]
    """What the order team has to know besides, asked by the maker's own questions."""
    follow_up: date | None
    stored: StoredLine | None
    """None where the reader may not see it."""
    route: tuple[str, ...]
    disclaimer: str
    healthless: bool
    """No answer about health is in it, and nothing that tells of one."""
    labels: Mapping[str, str] = field(default_factory=dict, metadata={"inside": True})
    """What a file calls the quantities that it declares; for templates, not exported."""

    @property
    def sources(self) -> tuple[Source, ...]:
        """Everything that is cited in it, each once, in the order of the document."""
        lines: list[Cites] = [*self.cautions, *self.fit.values(), *self.notes, *self.advice]
        found = [source for line in (*lines, *self.needs) for source in line.sources]
        found += [source for one in self.cautions for source in one.contact_sources]
        return tuple(dict.fromkeys(found))

    def as_json(self) -> dict[str, Any]:
        """Ready for ``json.dumps``; sentences are in the units of the call."""
        plain = _plain(self, self.call.units)
        assert isinstance(plain, dict)
        return plain


def summarise(
    basis: Basis,
    state: State,
    *,
    reader: Reader = "file",
    reference: str = "",
    adviser: str = "",
    then_and_now: tuple[ThenAndNow, ...] = (),
    retention: Retention | None = None,
    reasons: bool = True,
) -> Summary:
    """The summary of a call as it may be kept, and handed on to a reader.

    For the employer and the order team it is made as if health had not been consented to.
    ``then_and_now`` is the comparison with the call this one follows; ``retention`` how long calls
    are stored, the default if not said. Without ``reasons`` it is not worked out why not another
    chair was chosen, which takes longer than all the rest.

    Without the caller's consent it holds no answer about health and nothing that follows from one
    (see ``privacy``). A stopped call has no figures, no chair, no steps, no advice and nothing
    compared.
    """
    healthless, kept = reader in HEALTHLESS, retention or Retention()
    withheld = withheld_questions(basis.tree, None if healthless else state.consent)
    delivery = (*(answer_of_fact(basis, state.call, fact) for fact in DELIVERY), too_late(state))
    going_on = state.stopped is None
    # A call that works no chair out estimates nobody either.
    measured_up = going_on and basis.tree.fits
    fit = state.fit if going_on else None
    chair = specification(basis, state, withheld, reasons=reasons) if going_on else None
    ordered = ordered_things(chair)
    advice = _advice(state, withheld, ordered, basis.sources) if going_on else ()
    shown = [step for step in state.steps if step.question.name not in withheld]
    hidden = {basis.tree.questions[name].measures for name in withheld}
    steps = setup_steps(state, advice) if going_on else ()
    body = state.estimate.dimensions
    return Summary(
        version=VERSION,
        title=basis.tree.title,
        call=_call(state, withheld, reference, adviser),
        made_with=_made_with(basis),
        sender=_sender(basis),
        body={d: body[d] for d in body if d not in hidden} if measured_up else {},
        fit=_figures(state, basis.sources) if fit else {},
        missing=dict(state.missing) if fit else {},
        labels=state.fit.labels if state.fit is not None else {},
        notes=_notes(fit, basis.sources, healthless=healthless) if fit else (),
        plausibility=_doubts(state, hidden) if going_on else (),
        cautions=cautions_to_keep(withheld, state.cautions),
        advice=advice,
        needs=_needs(state, withheld, basis.sources) if going_on else (),
        workplace=workplace_needs(basis, state.call, state.country),
        specification=chair,
        setup_steps=steps,
        remedies=remedies(
            steps,
            kept_up=state.fit is not None and state.fit.quantities.get("seat_kept_up") is True,
        )
        if state.thing == CHAIR
        else (),
        answers=answer_lines(state, withheld),
        measured=_shown(measured(basis.population, state), hidden) if measured_up else (),
        estimated=_shown(estimated(basis.population, state), hidden) if measured_up else (),
        then_and_now=then_and_now if going_on else (),
        hold=_hold(state),
        # Where somebody lives is not for their employer.
        delivery=DeliveryLine() if reader == "employer" else DeliveryLine(*delivery),
        order_answers=order_answers(basis, state.call) if going_on else (),
        follow_up=state.follow_up,
        stored=StoredLine(state.consent is True, kept.days, kept.health_days),
        route=tuple(step.question.name for step in shown),
        disclaimer=disclaimer_for(state, healthless=healthless),
        healthless=healthless or bool(withheld),
    )


def _hold(state: State) -> bool:
    """Whether somebody has to be asked before the chair is sent.

    There are several grounds, so that the order team cannot tell from a hold that there is a
    medical one: the caller was asked to contact somebody first, questions are open, or nothing was
    agreed.
    """
    fit_notes = state.fit.notes if state.fit else ()
    if state.picked is None or state.agreed == "none":
        # Nothing is to be sent; a stopped call has no chair.
        return False
    levels = {one.caution.level for one in state.cautions} | {one.level for one in fit_notes}
    return "refer" in levels or not state.finished or not state.agreed


def _call(state: State, withheld: frozenset[str], reference: str, adviser: str) -> CallLine:
    stop, call = state.stopped, state.call
    stopped = None
    if stop is not None:
        stopped = WITHHELD if tells(withheld, stop.when, stop.say) else stop.name
    return CallLine(
        call.today,
        state.caller_name,
        call.system,
        state.country,
        state.finished,
        stopped,
        reference,
        adviser,
    )


def _sender(basis: Basis) -> SenderLine:
    own, sender = basis.settings, basis.settings.sender
    return SenderLine(own.maker, *(getattr(sender, one.name) for one in fields(sender)))


def _made_with(basis: Basis) -> MadeWith:
    tree, range_, population = basis.tree, basis.range, basis.population
    return MadeWith(
        tree.name,
        tree.version,
        range_.name if range_ else None,
        range_.version if range_ else None,
        population.name,
        population.caution,
    )


def _figures(state: State, sources: Sources) -> dict[str, Figure]:
    assert state.fit is not None
    return {
        name: Figure(
            one.target,
            one.low,
            one.high,
            one.sd,
            one.measured_from,
            one.reason,
            sources.of(one.source),
            how_known(state.estimate, one),
        )
        for name, one in state.fit.requirements.items()
    }


def _notes(fit: Fit, sources: Sources, *, healthless: bool) -> tuple[NoteLine, ...]:
    return tuple(
        NoteLine(one.name, one.level, one.say, sources.of(one.source), one.moves, one.may_move)
        for one in fit.notes
        if not (healthless and one.name in PRIVATE_NOTES)
    )


def _shown(lines: list[KnownLine], hidden: Set[str | None]) -> tuple[KnownLine, ...]:
    return tuple(line for line in lines if line.dimension not in hidden)


def _doubts(state: State, hidden: Set[str | None]) -> tuple[DoubtLine, ...]:
    return tuple(
        DoubtLine(d.dimension, d.z, d.level, d.message)
        for d in state.doubts
        if d.dimension not in hidden
    )


def _advice(
    state: State, withheld: frozenset[str], ordered: Set[str], sources: Sources
) -> tuple[AdviceLine, ...]:
    """The advice that is not taken already by what is ordered."""
    return tuple(
        AdviceLine(
            one.advice.name,
            one.advice.topic,
            one.say,
            one.because,
            sources.of(one.advice.source),
            one.advice.moves,
            one.advice.may_move,
            in_units(" ".join(_without_blanks(one.advice.say)), state.call.system),
        )
        for one in state.advice
        if not tells(withheld, one.advice.when, one.advice.say, one.advice.because)
        and not bought(one.advice.moves, ordered)
    )


def _without_blanks(said: str) -> Iterator[str]:
    """The sentences that name nothing of this call."""
    for sentence in _SENTENCES.split(said):
        if not any(blanks(sentence)):
            yield sentence


def _needs(state: State, withheld: frozenset[str], sources: Sources) -> tuple[NeedLine, ...]:
    picked = state.picked
    return tuple(
        NeedLine(
            one.name,
            one.feature,
            one.strength,
            one.because,
            sources.of(one.source),
            (one.feature, one.strength, one.because) in picked.met_needs if picked else None,
        )
        for one in state.needs
        if not tells(withheld, one.when, one.because)
    )


def _plain(value: object, system: System) -> object:
    """Only what JSON knows: a number without end is null, a set is a sorted list."""
    match value:
        case Sentence() | Measures() | Worded():
            return value.text(system)
        case float():
            return value if math.isfinite(value) else None
        case date():
            return value.isoformat()
        case frozenset():
            return sorted(value)
        case tuple():
            return [_plain(one, system) for one in value]
        case Mapping():
            return {name: _plain(one, system) for name, one in value.items()}
    if is_dataclass(value):
        outside = (one.name for one in fields(value) if "inside" not in one.metadata)
        return {name: _plain(getattr(value, name), system) for name in outside}
    return value
