"""Estimate, fit and doubts as JSON-ready values; lengths in mm, masses in kg."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from consult.call.wording import NAMES
from consult.units import format_length

if TYPE_CHECKING:
    from consult.body.estimate import Estimate
    from consult.body.plausibility import Doubt
    from consult.fit.requirements import Fit
    from consult.tree.sources import Cited, Sources
    from consult.units import System

Json = dict[str, Any]
VERSION = "1"
"""Of what ``consult fit --json`` writes: raised when a field changes its meaning or goes."""


def body_json(estimate: Estimate) -> dict[str, Json]:
    """Dimension -> mean, sd, low, high, origin."""
    return {
        name: {
            "mean": _tidy(one.mean),
            "sd": _tidy(one.sd),
            "low": _tidy(one.low),
            "high": _tidy(one.high),
            "origin": one.origin,
        }
        for name, one in estimate.dimensions.items()
    }


def fit_json(fit: Fit, sources: Sources) -> dict[str, Json]:
    """Requirement -> target, band, where it is measured from, reason and source."""
    return {
        name: {
            "target": _tidy(one.target),
            "low": _tidy(one.low),
            "high": _tidy(one.high),
            "sd": _tidy(one.sd),
            "measured_from": one.measured_from,
            "reason": one.reason,
            "sources": sources_json(sources, one.source),
        }
        for name, one in fit.requirements.items()
    }


def notes_json(fit: Fit, sources: Sources, system: System) -> list[Json]:
    """What must be said about the workplace."""
    return [
        {
            "name": note.name,
            "level": note.level,
            "say": note.say.text(system),
            "sources": sources_json(sources, note.source),
        }
        for note in fit.notes
    ]


def advice_json(fit: Fit, sources: Sources, system: System) -> list[Json]:
    """Requirement by requirement what to set, and why."""
    return [
        {
            "topic": name,
            "say": f"{NAMES[name]}: {format_length(one.target, system)}.",
            "because": one.reason,
            "sources": sources_json(sources, one.source),
        }
        for name, one in fit.requirements.items()
    ]


def sources_json(sources: Sources, cited: Cited) -> list[Json]:
    """What is cited, entry by entry, as ``sources.yaml`` has it."""
    return [asdict(one) for one in sources.of(cited)]


def plausibility_json(doubts: Sequence[Doubt]) -> list[Json]:
    """Measures that do not go together, with the words to ask again."""
    return [
        {
            "dimension": one.dimension,
            "z": round(one.z, 2),
            "level": one.level,
            "message": one.message,
            "confirmed": one.confirmed,
        }
        for one in doubts
    ]


def _tidy(value: float) -> float:
    """A hundredth of a millimetre is far below any tape."""
    return round(value, 2)
