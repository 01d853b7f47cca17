"""How much the choice of population changes a recommendation."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from consult.body.plausibility import read_body
from consult.body.populations import available, load_named
from consult.fit.assess import assess
from consult.fit.choose import choose
from consult.fit.range_model import OPTIONS
from consult.fit.settings import Picked, made_ready

if TYPE_CHECKING:
    from consult.body.estimate import Estimate
    from consult.body.population import Population
    from consult.call.chosen import Chosen
    from consult.fit.request import FitRequest
    from consult.fit.requirements import Fit
    from consult.fit.workplace import Reach, Workplace

NOTICED = 5.0
"""mm; less is below what anybody sets a chair to (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Moved:
    """What another population would have recommended instead."""

    population: str
    """Its id."""
    name: str
    by: Mapping[str, float]
    """Requirement -> mm that its target lies higher (lower: negative), where that is noticed."""
    parts: tuple[str, ...]
    """Codes of the chair it would have chosen, where that is another; else empty."""


def moved(
    population: Population,
    estimate: Estimate,
    workplace: Workplace,
    fit: Fit,
    *,
    reach: Reach | None = None,
    request: FitRequest | None = None,
    now: Chosen | None = None,
) -> tuple[Moved, ...]:
    """The results from every other population, if they differ.

    ``reach`` is what ``fit`` was worked out with, ``request`` what ``now`` was chosen for.
    """
    measures = (*estimate.used, *estimate.set_aside)
    groups = [one.group for one in estimate.components]
    sex = groups[0] if len(groups) == 1 else None
    found = []
    for other_id in available():
        if other_id == population.id:
            continue
        other = load_named(other_id)
        body, _ = read_body(other, measures, sex)
        then = assess(body, workplace, reach)
        by = dict(_differences(fit, then))
        parts: tuple[str, ...] = ()
        if request is not None and now is not None:
            codes = _chair(replace(request, estimate=body, kept={}), then)
            parts = codes if codes != _codes(now.picked) else ()
        if by or parts:
            found.append(Moved(other_id, other.name, by, parts))
    return tuple(found)


def _differences(fit: Fit, then: Fit) -> Iterator[tuple[str, float]]:
    for name, one in fit.requirements.items():
        other = then.requirements.get(name)
        if other is not None and abs(other.target - one.target) >= NOTICED:
            yield name, other.target - one.target


def _chair(request: FitRequest, fit: Fit) -> tuple[str, ...]:
    best = choose(request).best
    if best is None:
        return ()
    ready = made_ready(request.range, fit, best.parts, request.needs)
    return _codes(ready)


def _codes(picked: Picked) -> tuple[str, ...]:
    """The parts that depend on the body."""
    return tuple(part.code for kind, part in picked.parts.items() if kind not in OPTIONS)
