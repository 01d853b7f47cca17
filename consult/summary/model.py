"""The call summary: one model of what a call came to, from which every written form is made."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Set
from dataclasses import asdict, dataclass, field, fields, is_dataclass
from datetime import date
from typing import Any

from consult.body.estimate import Dimension, Estimate
from consult.call.basis import Basis
from consult.call.chair_lines import too_late
from consult.call.follow_up import ThenAndNow
from consult.call.state import State
from consult.call.wording import how_known
from consult.fit.assess import waits_for_footrest
from consult.fit.requirements import PRIVATE_NOTES, Fit
from consult.moves import ORDERED, MovePiece, Moves, bought
from consult.retention import Retention
from consult.sentence import CHAIR, Sentence
from consult.summary import known, lines
from consult.summary.readers import (
    HEALTHLESS,
    WITHHELD_STOP,
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
SUMMARY_VERSION = "4"
"""Of the exported form; see ``summary.schema.json``."""

DELIVERY = ("caller_contact", "delivery_address", "delivery_country", "needed_by")
"""The facts a chair is delivered by."""


@dataclass(frozen=True, slots=True, eq=False)
class Summary:
    """What a call came to; lengths in mm, masses in kg. Field names are the keys of the export."""

    version: str
    title: str
    call: lines.CallLine
    made_with: lines.MadeWith
    sender: lines.SenderLine
    body: Mapping[str, Dimension]
    fit: Mapping[str, lines.Figure]
    missing: Mapping[str, str]
    notes: tuple[lines.NoteLine, ...]
    plausibility: tuple[lines.DoubtLine, ...]
    cautions: tuple[lines.CautionLine, ...]
    advice: tuple[lines.AdviceLine, ...]
    needs: tuple[lines.SummaryNeed, ...]
    workplace: tuple[str, ...]
    """What the workplace needs, of answers that tell nothing about the person."""
    specification: lines.Specification | None
    setup_steps: tuple[lines.SetupStep, ...]
    remedies: tuple[lines.RemedyLine, ...]
    """What to try where the set-up feels wrong; empty where there is none."""
    answers: tuple[lines.AnswerLine, ...]
    measured: tuple[lines.KnownLine, ...]
    estimated: tuple[lines.KnownLine, ...]
    then_and_now: tuple[ThenAndNow, ...]
    """In a follow-up call: what the first call advised, and how it stands."""
    hold: bool | None
    """The chair must not be sent until the adviser releases the order; None where the reader may
    not see it."""
    delivery: lines.DeliveryLine
    order_answers: tuple[lines.OrderAnswer, ...]
    """What the order team has to know besides, asked by the maker's own questions."""
    follow_up: date | None
    stored: lines.StoredLine | None
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
        cites = (*self.cautions, *self.fit.values(), *self.notes, *self.advice, *self.needs)
        cited = [source for line in cites for source in line.sources]
        cited += [source for caution in self.cautions for source in caution.contact_sources]
        return tuple(dict.fromkeys(cited))

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
    (see ``readers``). A stopped call has no figures, no chair, no steps, no advice and nothing
    compared.
    """
    healthless, kept = reader in HEALTHLESS, retention or Retention()
    withheld = withheld_questions(basis.tree, None if healthless else state.consent)
    # Where somebody lives is not for their employer.
    delivered = () if reader == "employer" else DELIVERY
    where = [known.answer_of_fact(basis, state.call, fact) for fact in delivered]
    where += [too_late(state)] if delivered else []
    going_on = state.stopped is None
    # A call that works no chair out estimates nobody either.
    measured_up = going_on and basis.tree.fits
    fit = state.set_up if going_on else None
    chair = specification(basis, state, withheld, reasons=reasons) if going_on else None
    ordered = ordered_things(chair)
    advice = _advice(state, withheld, ordered, basis.sources) if going_on else ()
    shown = [step for step in state.steps if step.question.name not in withheld]
    hidden = {basis.tree.questions[name].measures for name in withheld}
    steps = setup_steps(state, advice) if going_on else ()
    body = state.estimate.dimensions
    return Summary(
        version=SUMMARY_VERSION,
        title=basis.tree.title,
        call=_call(state, withheld, reference, adviser),
        made_with=lines.MadeWith(
            tree=basis.tree.name,
            tree_version=basis.tree.version,
            range=basis.range.name if basis.range else None,
            range_version=basis.range.version if basis.range else None,
            population=basis.population.name,
            population_caution=basis.population.caution,
        ),
        sender=lines.SenderLine(basis.settings.maker, **asdict(basis.settings.sender)),
        body={d: body[d] for d in body if d not in hidden} if measured_up else {},
        fit=_figures(fit, state.estimate, basis.sources) if fit else {},
        missing=dict(fit.missing) if fit else {},
        labels=state.fit.labels if state.fit is not None else {},
        notes=_notes(fit, basis.sources, healthless=healthless) if fit else (),
        plausibility=tuple(
            lines.DoubtLine(doubt.dimension, doubt.z, doubt.level, doubt.message)
            for doubt in (state.doubts if going_on else ())
            if doubt.dimension not in hidden
        ),
        cautions=cautions_to_keep(withheld, state.cautions),
        advice=advice,
        needs=_needs(state, withheld, basis.sources) if going_on else (),
        workplace=known.workplace_needs(basis, state.call, state.country),
        specification=chair,
        setup_steps=steps,
        remedies=known.remedies(
            steps,
            kept_up=state.fit is not None and state.fit.quantities.get("seat_kept_up") is True,
        )
        if state.thing == CHAIR
        else (),
        answers=known.answer_lines(state, withheld),
        measured=known.measured(basis.population, state, hidden) if measured_up else (),
        estimated=known.estimated(basis.population, state, hidden) if measured_up else (),
        then_and_now=then_and_now if going_on else (),
        hold=_hold(state),
        delivery=lines.DeliveryLine(*where),
        order_answers=known.order_answers(basis, state.call) if going_on else (),
        follow_up=state.follow_up,
        stored=lines.StoredLine(state.consent is True, kept.days, kept.health_days),
        route=tuple(step.question.name for step in shown),
        disclaimer=disclaimer_for(state, healthless=healthless),
        healthless=healthless or bool(withheld),
    )


def _hold(state: State) -> bool:
    """Whether somebody has to be asked before the chair is sent.

    There are several grounds, so that the order team cannot tell from a hold that there is a
    medical one: the caller was asked to contact somebody first, questions are open, nothing was
    agreed, or a footrest waits for the height of the desk.
    """
    if state.picked is None or state.agreed == "none":
        # Nothing is to be sent; a stopped call has no chair.
        return False
    levels = {raised.caution.level for raised in state.cautions}
    levels |= {note.level for note in state.fit.notes} if state.fit else set()
    waits = state.fit is not None and waits_for_footrest(state.fit, state.picked)
    return "refer" in levels or waits or not state.finished or not state.agreed


def _call(state: State, withheld: frozenset[str], reference: str, adviser: str) -> lines.CallLine:
    stop, call = state.stopped, state.call
    hidden = stop is not None and tells(withheld, stop.when, stop.say)
    stopped = WITHHELD_STOP if hidden else stop.name if stop is not None else None
    who = call.today, state.caller_name, call.system, state.country
    return lines.CallLine(*who, state.finished, stopped, reference, adviser)


def _figures(fit: Fit, estimate: Estimate, sources: Sources) -> dict[str, lines.Figure]:
    return {
        name: lines.Figure(
            requirement.target,
            requirement.low,
            requirement.high,
            requirement.sd,
            requirement.measured_from,
            requirement.reason,
            sources.of(requirement.source),
            how_known(estimate, requirement),
        )
        for name, requirement in fit.requirements.items()
    }


def _notes(fit: Fit, sources: Sources, *, healthless: bool) -> tuple[lines.NoteLine, ...]:
    return tuple(
        lines.NoteLine(
            note.name, note.level, note.say, sources.of(note.source), note.moves, note.may_move
        )
        for note in fit.notes
        if not (healthless and note.name in PRIVATE_NOTES)
    )


def _advice(
    state: State, withheld: frozenset[str], ordered: Set[str], sources: Sources
) -> tuple[lines.AdviceLine, ...]:
    """The advice that is not taken already by what is ordered."""
    return tuple(
        lines.AdviceLine(
            given.advice.name,
            given.advice.topic,
            given.say,
            given.because,
            sources.of(given.advice.source),
            given.advice.moves,
            given.advice.may_move,
            # The sentences that name nothing of this call.
            in_units(
                " ".join(s for s in _SENTENCES.split(given.advice.say) if not any(blanks(s))),
                state.call.system,
            ),
        )
        for given in state.advice
        if not tells(withheld, given.advice.when, given.advice.say, given.advice.because)
        and not bought(given.advice.moves, ordered)
    )


def _needs(
    state: State, withheld: frozenset[str], sources: Sources
) -> tuple[lines.SummaryNeed, ...]:
    picked = state.picked
    return tuple(
        lines.SummaryNeed(
            need.name,
            need.feature,
            need.strength,
            need.because,
            sources.of(need.source),
            (need.feature, need.strength, need.because) in picked.met_needs if picked else None,
        )
        for need in state.needs
        if not tells(withheld, need.when, need.because)
    )


def _plain(value: object, system: System) -> object:
    """Only what JSON knows: a number without end is null, a set is a sorted list."""
    match value:
        case Sentence() | lines.Measures() | lines.Worded():
            return value.text(system)
        case float():
            return value if math.isfinite(value) else None
        case date():
            return value.isoformat()
        case frozenset():
            return sorted(value)
        case tuple():
            return [_plain(entry, system) for entry in value]
        case Mapping():
            return {name: _plain(entry, system) for name, entry in value.items()}
    if is_dataclass(value):
        outside = (part.name for part in fields(value) if "inside" not in part.metadata)
        return {name: _plain(getattr(value, name), system) for name in outside}
    return value


# -- which way every piece of a call's documents sends the reader, to find those that are opposed --

_FEATURES: Mapping[str, Moves] = {
    "no_arms": {"armrests": "remove"},
    "arms_height": {"armrests": "add"},
}
"""Feature of the range -> what a chair with it has; arms that move away may as well be none."""


def move_pieces(summary: Summary) -> Iterator[MovePiece]:
    """Everything any document of the call may say to any reader."""
    for advice_line in summary.advice:
        yield MovePiece(f"advice '{advice_line.name}'", advice_line.moves, advice_line.may_move)
    for note in summary.notes:
        yield MovePiece(f"note '{note.name}'", note.moves, note.may_move)
    for step in summary.setup_steps:
        yield MovePiece(f"step '{step.topic}'", step.moves)
    for remedy in summary.remedies:
        yield MovePiece(f"card '{remedy.feels}'", remedy.moves, remedy.may_move)
    for need in summary.needs:
        if need.met is not False:
            yield MovePiece(f"need '{need.name}'", _FEATURES.get(need.feature, {}))
    yield from _parts(summary)


def state_pieces(basis: Basis) -> Callable[[State], Iterable[MovePiece]]:
    """The same from the state of a call; without a chair where none was chosen for it."""
    return lambda state: move_pieces(summarise(basis, state, reasons=False))


def _parts(summary: Summary) -> Iterator[MovePiece]:
    chair = summary.specification
    things = ordered_things(chair)
    if chair is None or not things:
        return
    yield from (MovePiece(f"part '{thing}'", {thing: ORDERED}) for thing in sorted(things))
    if "armrests" not in things:
        yield MovePiece("part 'arms'", {"armrests": "remove"})
    if any(part.kind == "desk_raiser" for part in chair.parts):
        yield MovePiece("part 'desk_raiser'", {"desk": "raise"})
