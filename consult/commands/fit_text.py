"""The calculator's answer as text for a terminal."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from textwrap import fill
from typing import TYPE_CHECKING

from consult.call.reasons import reason_lines
from consult.call.wording import NAMES
from consult.units import format_length, format_range

if TYPE_CHECKING:
    from consult.body.estimate import Estimate
    from consult.body.plausibility import Doubt
    from consult.body.population import Population
    from consult.call.chosen import Chosen
    from consult.call.reasons import Reasons
    from consult.fit.requirements import Fit
    from consult.units import System

LIMITS = (
    "Chair advice is general and does not treat pain. It is not medical advice: clinicians and "
    "local rules come first."
)


def fit_text(
    population: Population, estimate: Estimate, fit: Fit, doubts: Sequence[Doubt], system: System
) -> str:
    """The set-up, the body it rests on, and what is missing or odd."""
    return "\n".join(_lines(population, estimate, fit, doubts, system))


def _lines(
    population: Population, estimate: Estimate, fit: Fit, doubts: Sequence[Doubt], system: System
) -> Iterator[str]:
    for doubt in doubts:
        yield fill(f"! {doubt.message}", 78)
    yield "Set-up"
    for name, one in fit.requirements.items():
        band = format_range(one.low, one.high, system)
        yield f"  {NAMES[name]:<26} {format_length(one.target, system):<20} {band}"
        yield fill(one.reason, 78, initial_indent="      ", subsequent_indent="      ")
    for note in fit.notes:
        yield fill(f"! {note.say.text(system)}", 78, subsequent_indent="  ")
    for name, why in fit.missing.items():
        yield fill(f"? {NAMES.get(name, name.replace('_', ' '))}: {why}", 78)
    yield "Body"
    for name, body in estimate.dimensions.items():
        label = population.label(name)
        low, mean, high = (
            population.words(name, value, system) for value in (body.low, body.mean, body.high)
        )
        yield f"  {label:<32} {mean:<20} {low} to {high}"
        yield fill(body.origin, 78, initial_indent="      ", subsequent_indent="      ")
    yield fill(f"Estimated from: {population.name}. {population.caution}", 78)


def chair_text(
    population: Population, found: Chosen, why: Reasons, system: System
) -> Iterator[str]:
    """The chair of the range, why not others, and what the choice depends on."""
    for title, lines in reason_lines(found, why, population, system):
        yield title
        for line in lines:
            yield fill(line, 78, initial_indent="  - ", subsequent_indent="    ")
