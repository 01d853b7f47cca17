"""The chair of a call as it may be handed on, how sure it is, and why not another."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import replace
from typing import get_args

from consult.call.basis import Basis
from consult.call.chair_lines import arrives
from consult.call.chosen import moved
from consult.call.fit_json import ask_line, moved_lines, why_lines
from consult.call.options import delivery_of, quantity_ordered, with_delivery
from consult.call.state import State, request_of
from consult.call.wording import value_words
from consult.fit.settings import Picked
from consult.range.model import Range
from consult.range.parts import Kind, Part
from consult.scale import working_day
from consult.sentence import Sentence, of_thing
from consult.summary.lines import AgreedLine, PartLine, Specification, Worded
from consult.summary.readers import tells
from consult.units import System

_THINGS: Mapping[Kind, str] = {
    **{"seat": "seat", "gas_lift": "gas_lift", "arms": "armrests", "castors": "castors"},
    "footrest": "footrest",
}
"""Kind of part -> what directions call it, where advice may have it bought."""
NO_CHAIR = Sentence("No chair of this range may be offered.")


def specification(
    basis: Basis, state: State, withheld: frozenset[str], *, reasons: bool = True
) -> Specification | None:
    """What to order; None where no chair was worked out.

    Where a need follows from a withheld answer, nothing is told that would name its feature.
    Without ``reasons`` it does not say why not another chair, nor what else to ask.
    """
    chosen = state.chosen
    if chosen is None or basis.range is None:
        return None
    secret = {need.feature for need in state.needs if tells(withheld, need.when, need.because)}
    picked, best = chosen.picked, chosen.ordered
    sent = delivery_of(basis.range, state)
    settled = reasons and chosen.settled
    no_use = not reasons or (best is None and settled)
    pieces = quantity_ordered(state)
    return Specification(
        parts=tuple(part_lines(basis.range, picked, pieces)),
        settings=dict(picked.settings),
        pieces=pieces,
        price=picked.price,
        delivery=_line(sent) if sent is not None else None,
        delivery_open=bool(picked.parts and sent is None and basis.range.on_sale("delivery")),
        fabric_open=bool(basis.range.on_sale("fabric")) and "fabric" not in picked.parts,
        total=with_delivery(basis.range, state)[0],
        currency=basis.range.currency,
        vat=basis.range.vat,
        lead_days=picked.lead_days,
        ready=working_day(state.call.today, picked.lead_days) if picked.parts else None,
        arrives=arrives(state),
        # Where there is no chair and a need is secret, without what is lacking.
        shortfalls=tuple(
            replace(shortfall, say=Sentence(of_thing(NO_CHAIR.template, state.thing)))
            for shortfall in picked.shortfalls
        )
        if secret and best is None
        else picked.shortfalls,
        p_fits=best.p_fits if best else None,
        se=best.se if best else None,
        tied=0 if chosen.agreed else chosen.choice.tied_count,
        agreed=_agreed(state, secret=bool(secret)),
        compromises=tuple(c for c in best.compromises if c not in secret) if best else (),
        why_not=() if secret or not reasons else _worded(lambda system: why_lines(chosen, system)),
        ask_next=None if no_use else ask_line(chosen, basis.population),
        settled=settled,
        other_populations=_other_populations(basis, state) if reasons else (),
    )


def part_lines(range_: Range, picked: Picked, pieces: int = 1) -> Iterator[PartLine]:
    """What is ordered, at the price for so many; a fixed model before the parts that come in it."""
    model = range_.model_of([part.code for part in picked.parts.values()])
    if model is not None:
        yield _line(model, pieces)
    for part in picked.parts.values():
        if model is not None and part.code in model.made_of:
            yield replace(_line(part), price=0.0, also=(), within=model.code)
        else:
            yield _line(part, pieces)


def _line(part: Part, pieces: int = 1) -> PartLine:
    return PartLine(
        *(part.kind, part.code, part.name, part.price_for(pieces), part.find, part.also),
        guarantee=part.guarantee,
        photo=part.photo,
        tilt_find=part.tilt_find,
    )


def ordered_things(chair: Specification | None) -> frozenset[str]:
    """What is among the parts, as directions call it; nothing where no chair is to be sent."""
    if chair is None or (chair.agreed is not None and chair.agreed.chair == "none"):
        return frozenset()
    # A chair without armrests has a part that says so.
    armed = "armrest_height" in chair.settings
    things = (_THINGS.get(part.kind, "") for part in chair.parts)
    return frozenset(thing for thing in things if thing and (thing != "armrests" or armed))


def _agreed(state: State, *, secret: bool) -> AgreedLine | None:
    """What was settled on; None where nothing was said of it."""
    if not state.agreed:
        return None
    agreed = state.chosen.agreed if state.chosen else None
    best = state.chosen.choice.best if state.chosen else None
    # What was suggested may follow from a withheld answer.
    suggested = best.parts.values() if agreed and best and not secret else ()
    because = (
        value_words(step.question, step.understood.value, state.call.system)
        for step in state.steps
        if step.question.sets == "agreed_because"
        if step.understood is not None and step.understood.value is not None
    )
    return AgreedLine(
        chair=state.agreed,
        other=agreed.codes if agreed else (),
        because=next(because, ""),
        suggested=tuple(part.code for part in suggested),
    )


def _other_populations(basis: Basis, state: State) -> tuple[Worded, ...]:
    if state.fit is None or state.chosen is None or basis.range is None:
        return ()
    if basis.range.fitting is not None:
        # Not every population can make the body dimensions that it reads.
        return ()
    request = request_of(basis.range, state)
    moves = moved(
        basis.population,
        state.estimate,
        state.workplace,
        state.fit,
        reach=request.range.reach(),
        request=request,
        now=state.chosen,
    )
    return _worded(lambda system: moved_lines(moves, system))


def _worded(lines: Callable[[System], Iterable[str]]) -> tuple[Worded, ...]:
    """Each sentence in every way of showing units."""
    systems: tuple[System, ...] = get_args(System)
    every = zip(*map(lines, systems), strict=True)
    return tuple(Worded(dict(zip(systems, texts, strict=True))) for texts in every)
