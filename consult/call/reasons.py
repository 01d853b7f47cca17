"""Why this chair: what was against the others, what would change the choice, what it costs."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from consult.call.chosen import Chosen, Moved, moved
from consult.call.fit_json import (
    ask_line,
    choice_lines,
    moved_lines,
    of_a_hundred,
    sources_json,
    why_lines,
)
from consult.fit.explanations import TurningPoint, sensitivity
from consult.fit.trade_offs import Option, trade_offs
from consult.scale import dearer

if TYPE_CHECKING:
    from consult.body.population import Population
    from consult.fit.request import FitRequest
    from consult.fit.requirements import Fit
    from consult.range.model import Reach
    from consult.tree.sources import Sources
    from consult.units import System

TITLES = {
    "footrest": "A footrest",
    "shorter_gas_lift": "A shorter gas lift",
    "lower_desk": "Lowering the desk",
    "raise_desk": "Raising the desk",
}


@dataclass(frozen=True, slots=True)
class Reasons:
    """What a choice depends on, besides the chairs it was chosen from."""

    turns: tuple[TurningPoint, ...]
    """Shifts of the body that would make another part right."""
    options: tuple[Option, ...]
    """Footrest, gas lift or desk: what each costs."""
    moves: tuple[Moved, ...]
    """What other populations would have recommended."""


def reasons(
    request: FitRequest,
    population: Population,
    fit: Fit,
    chosen: Chosen,
    *,
    reach: Reach | None = None,
) -> Reasons:
    """Work out what the choice depends on; ``reach`` is what ``fit`` was worked out with."""
    labels = {name: population.label(name) for name in population.order}
    return Reasons(
        sensitivity(request, chosen.choice, labels=labels),
        trade_offs(request, chosen.choice),
        moved(
            population,
            request.estimate,
            request.workplace,
            fit,
            reach=reach,
            request=request,
            now=chosen,
        ),
    )


def reason_lines(
    chosen: Chosen, why: Reasons, population: Population, system: System
) -> Iterator[tuple[str, list[str]]]:
    """Titled lists of sentences in the reader's units; empty ones are left out."""
    currency = chosen.chosen_for.range.currency
    sections = {
        "The chair": [*choice_lines(chosen, system), ask_line(chosen, population)],
        "Why not another": [*why_lines(chosen, system)],
        "What would change it": [turn.say.text(system) for turn in why.turns],
        "Footrest, gas lift or desk": [_option(option, system, currency) for option in why.options],
        "Estimated from other people": [*moved_lines(why.moves, system)],
    }
    yield from ((title, lines) for title, lines in sections.items() if lines)


def _option(option: Option, system: System, currency: str) -> str:
    more = dearer(option.price_difference, currency)
    price = f", {more}" if more else ""
    message = f"{option.reason.text(system)} {option.cost.text(system)}"
    return f"{TITLES[option.name]}: fits {of_a_hundred(option.p_fits)}{price}. {message}"


def reasons_json(why: Reasons, sources: Sources, system: System) -> dict[str, object]:
    """``sensitivity``, ``trade_offs`` and ``other_populations``, JSON-ready."""
    return {
        "sensitivity": [
            {
                "dimension": turn.dimension,
                "shift_mm": turn.shift_mm,
                "part": turn.part.code,
                "say": turn.say.text(system),
            }
            for turn in why.turns
        ],
        "trade_offs": [
            {
                "name": option.name,
                "parts": [part.code for part in option.parts.values()],
                "p_fits": round(option.p_fits, 4),
                "price_difference": option.price_difference,
                "cost": option.cost.text(system),
                "reason": option.reason.text(system),
                "sources": sources_json(sources, option.source),
            }
            for option in why.options
        ],
        "other_populations": [
            {
                "population": move.population,
                "name": move.name,
                "by": {name: round(mm, 1) for name, mm in move.by.items()},
                "parts": list(move.parts) or None,
            }
            for move in why.moves
        ],
    }
