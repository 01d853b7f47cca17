"""The end of a call: what is missing, what is unsure, and the agreed set-up to read back."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from consult.call.basis import Basis
from consult.call.fit_json import ask_line, of_a_hundred
from consult.call.state import State
from consult.call.wording import NINE_IN_TEN, figure_name, how_known, question_label
from consult.call.worth import call_seconds, minutes
from consult.range.parts import Kind
from consult.scale import money
from consult.sentence import Sentence
from consult.summary.model import Summary
from consult.summary.templates import long_date
from consult.tree.placeholders import in_units
from consult.units import System, format_length

_MANY = 4
"""Open questions that are named rather than written out."""
_HOW = {
    "partly": "partly measured, partly estimated",
    "estimated": "estimated",
    "given": "estimated",
}
NO_NAME = "Let me read back what we agreed."


def closing(
    basis: Basis, state: State, summary: Summary, system: System
) -> Mapping[str, tuple[str, ...]]:
    """What to look at before hanging up, for a state whose chair has been chosen: titles and plain
    sentences in the order they are gone through; none without a line."""
    took = [answer.took for answer in state.call.answers]
    timed = any(value is not None for value in took)
    grave = [
        raised
        for raised in state.cautions
        if raised.caution.level != "note" and not raised.outranked
    ]
    by_title = {
        "Still missing": tuple(_missing(state)),
        "Unsure": tuple(_unsure(basis, state, system)),
        "Say once more": tuple(raised.say for raised in grave),
        # Word for word, in the caller's units.
        "Read back": tuple(_read_back(state, summary, system)),
        "Length of the call": (f"{minutes(call_seconds(took))}, time on hold left out",) * timed,
    }
    return {title: lines for title, lines in by_title.items() if lines}


def _missing(state: State) -> Iterator[str]:
    open_ = state.to_ask
    if len(open_) > _MANY:
        yield f"Not asked yet: {', '.join(question_label(question.name) for question in open_)}."
    else:
        for question in open_:
            yield f"{question_label(question.name)}: {in_units(question.ask, state.call.system)}"
    fit = state.set_up
    for name, why in (fit.missing if fit is not None else {}).items():
        yield f"{figure_name(name, fit)}: {why}"
    if state.follow_up is None and state.stopped is None:
        yield "No day for a follow-up call was agreed."


def _unsure(basis: Basis, state: State, system: System) -> Iterator[str]:
    for doubt in state.doubts:
        if not doubt.confirmed:
            yield doubt.message
    for step in state.steps:
        if step.status == "unknown":
            yield f"{question_label(step.question.name)}: the caller did not know."
        elif step.trouble and step.status == "answered":
            yield step.trouble
    fit = state.set_up
    if fit is None:
        return
    for name, requirement in fit.requirements.items():
        give = requirement.sd * NINE_IN_TEN
        known = how_known(state.estimate, requirement)
        if known != "measured" and give > (requirement.high - requirement.low) / 2:
            target, around = format_length(requirement.target, system), format_length(give, system)
            yield f"{figure_name(name, fit)} {target}, margin {around}: {_HOW[known]}."
    if state.chosen is not None and state.chosen.ordered is not None:
        best = state.chosen.ordered
        yield f"The {state.thing} fits {of_a_hundred(best.p_fits)} people with these measures."
        yield ask_line(state.chosen, basis.population)


def _read_back(state: State, summary: Summary, system: System) -> Iterator[str]:
    name, thing = " ".join(summary.call.caller.split()), state.thing
    if state.stopped is not None:
        # Nothing was agreed, and nothing else is to be in their ears.
        yield f"I haven't worked out a {thing} today. Please do first what I asked you to do."
        return
    yield f"Let me read back what we agreed, {name}." if name else NO_NAME
    chair = summary.specification
    wanted = chair is None or chair.agreed is None or chair.agreed.chair != "none"
    if not wanted:
        yield f"You don't want a {thing} for now, so I won't order one."
    if chair is not None and chair.parts:
        parts = ", ".join(part.name for part in chair.parts if not part.within)
        yield f"{f'The {thing}' if wanted else 'The one I would suggest'}: {parts}."
        if chair.pieces > 1:
            yield f"{chair.pieces} of it, {money(chair.price, chair.currency)} each."
        if chair.delivery is not None:
            yield f"{chair.delivery.name}: {money(chair.delivery.price, chair.currency)}."
        yield f"Together {money(chair.total, chair.currency)}."
        if summary.delivery.late and wanted:
            yield summary.delivery.late
        if chair.delivery_open:
            yield "Delivery comes on top. I'll find out what it costs to your country."
    if state.chosen is not None and state.chosen.ordered is None:
        yield f"I can't offer you a {thing} of ours. These figures are for any {thing}."
    for step in summary.setup_steps if wanted else ():
        yield step.do.text(system)
    if summary.follow_up is not None:
        yield f"We ring you again on {long_date(summary.follow_up)}."
    yield "Is that how you understood it, too?"


# -- the set-up card of an earlier call, step by step, for the call that sets its chair up --------

_MOVED_BY: Mapping[str, Kind] = {
    **{"seat_height": "gas_lift", "seat_depth": "seat", "back": "back"},
    **{"lumbar": "lumbar", "armrests": "arms"},
}
"""Step of the card -> the part that has its lever."""


def card_steps(summary: Summary) -> dict[str, Sentence]:
    """Step of the card -> its figure and where the hand finds the lever, if it has either."""
    chair = summary.specification
    levers: dict[Kind | None, str] = {p.kind: p.find for p in chair.parts} if chair else {}
    tilts = [part.tilt_find for part in chair.parts if part.tilt_find] if chair else []
    sentences = {}
    for step in summary.setup_steps:
        do = step.do if step.value_mm is not None else Sentence("")
        lever = levers.get(_MOVED_BY.get(step.topic), "")
        more = tilts if step.topic == "back" else ()
        text = " ".join(filter(None, (do.template, lever, *more)))
        if text:
            sentences[step.topic] = Sentence(text, do.lengths)
    return sentences


def parts_line(summary: Summary) -> str:
    """The parts of the chair by name, as they are ordered; '' where no chair was agreed."""
    chair = summary.specification
    if chair is None or not chair.parts or (chair.agreed and chair.agreed.chair == "none"):
        return ""
    return ", ".join(part.name.lower() for part in chair.parts)
