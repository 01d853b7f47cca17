"""Estimate, fit, doubts and choice for JSON and as sentences; lengths in mm, masses in kg."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from consult.call.wording import figure_name
from consult.fit.worth import THRESHOLD
from consult.problems import listed
from consult.scale import dearer
from consult.units import format_length

if TYPE_CHECKING:
    from consult.body.estimate import Estimate
    from consult.body.plausibility import Doubt
    from consult.body.population import Population
    from consult.call.chosen import Agreed, Chosen, Moved, Request
    from consult.fit.choose import Candidate
    from consult.fit.explanations import Rejection
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
            "mean": _tidy(dimension.mean),
            "sd": _tidy(dimension.sd),
            "low": _tidy(dimension.low),
            "high": _tidy(dimension.high),
            "origin": dimension.origin,
        }
        for name, dimension in estimate.dimensions.items()
    }


def fit_json(fit: Fit, sources: Sources) -> dict[str, Json]:
    """Requirement -> target, band, where it is measured from, reason and source."""
    return {
        name: {
            "target": _tidy(requirement.target),
            "low": _tidy(requirement.low),
            "high": _tidy(requirement.high),
            "sd": _tidy(requirement.sd),
            "measured_from": requirement.measured_from,
            "reason": requirement.reason,
            "sources": sources_json(sources, requirement.source),
        }
        for name, requirement in fit.requirements.items()
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
            "say": f"{figure_name(name, fit)}: {format_length(requirement.target, system)}.",
            "because": requirement.reason,
            "sources": sources_json(sources, requirement.source),
        }
        for name, requirement in fit.requirements.items()
    ]


def sources_json(sources: Sources, cited: Cited) -> list[Json]:
    """What is cited, entry by entry, as ``sources.yaml`` has it."""
    return [asdict(source) for source in sources.of(cited)]


def plausibility_json(doubts: Sequence[Doubt]) -> list[Json]:
    """Measures that do not go together, with the words to ask again."""
    return [
        {
            "dimension": doubt.dimension,
            "z": round(doubt.z, 2),
            "level": doubt.level,
            "message": doubt.message,
            "confirmed": doubt.confirmed,
        }
        for doubt in doubts
    ]


def _tidy(value: float) -> float:
    """A hundredth of a millimetre is far below any tape."""
    return round(value, 2)


# -- the choice of a chair as JSON-ready values and as sentences ----------------------------------

FACT_WORDS = {
    "desk_kind": "what kind of desk it is",
    "desk_height": "desk height",
    "desk_lowest": "how low the desk goes",
    "desk_thickness": "how thick the desk is",
    "heel": "heel of the shoes",
}
"""Fact of the workplace -> as it is asked for."""


def chosen_json(chosen: Chosen, system: System) -> Json:
    """``choice``, ``rejected``, ``agreed``, ``request``, ``ask_next`` and ``settled``."""
    choice = chosen.choice
    return {
        "choice": {
            "best": _candidate(choice.best) if choice.best else None,
            "none_because": choice.none_because.text(system) if choice.none_because else None,
            "tied": [_codes(candidate) for candidate in choice.tied],
            "tied_count": choice.tied_count,
            "eligible": choice.eligible,
            "left_out": dict(choice.left_out),
            "settings": {name: round(mm, 1) for name, mm in chosen.picked.settings.items()},
            "bodies": choice.n,
            "seed": choice.seed,
        },
        "rejected": [
            {
                "as": name,
                **_candidate(candidate),
                "requirement": why.requirement if why else None,
                "mm": why.mm if why else None,
                "say": why.say.text(system) if why else None,
            }
            for name, (candidate, why) in chosen.others.items()
        ],
        "agreed": _agreed(chosen.agreed, system) if chosen.agreed else None,
        "request": _request(chosen.request, system) if chosen.request else None,
        "ask_next": [
            {"dimension": gain.dimension, "gain": round(gain.gain, 4), "se": round(gain.se, 4)}
            for gain in chosen.asking
        ],
        "settled": chosen.settled,
        "settled_below": THRESHOLD,
    }


def choice_lines(chosen: Chosen, system: System) -> Iterator[str]:
    """The chair, how sure, and where it falls short, a sentence a line."""
    best = chosen.ordered
    if best is None:
        yield from (short.say.text(system) for short in chosen.picked.shortfalls)
        return
    if chosen.agreed is not None:
        yield f"As agreed, with {', '.join(chosen.agreed.codes)}:"
    yield f"{', '.join(part.name for part in chosen.picked.parts.values())}."
    yield f"Fits {of_a_hundred(best.p_fits)} people with these measures."
    if chosen.choice.tied_count and chosen.agreed is None:
        thing = chosen.chosen_for.range.thing
        yield f"Other {thing}s fit equally well; this is the cheapest."
    for short in chosen.picked.shortfalls:
        yield short.say.text(system)


def of_a_hundred(share: float) -> str:
    """A probability in words, "so many of 100"; never 0 or 100 unless it is certain."""
    if 0.995 <= share < 1:
        return "more than 99 of 100"
    return "fewer than 1 of 100" if 0 < share < 0.005 else f"{round(100 * share)} of 100"


def ask_line(chosen: Chosen, population: Population) -> str:
    """The one answer worth asking for, or that enough is known."""
    best = chosen.worth_asking
    if chosen.settled or best is None:
        return "Enough is known: no further measure would change the choice."
    fact = FACT_WORDS.get(best.dimension)
    label = fact if fact else population.label(best.dimension)
    chair = chosen.choice.best
    if chair is not None and best.gain > 1 - chair.p_fits:
        # The odds told count on a footrest where the desk turns out to ask for one.
        hang = any(short.requirement == "footrest_height" for short in chosen.picked.shortfalls)
        decides = "which footrest comes with it" if hang else "whether a footrest is needed"
        return f"Worth asking: {label}. It decides {decides}."
    return f"Worth asking: {label}, +{max(1, round(100 * best.gain))} of 100."


def why_lines(chosen: Chosen, system: System) -> Iterator[str]:
    """Why the request, the cheapest and the near misses were not chosen."""
    if chosen.request is not None:
        yield _request_line(chosen.request, system)
    titles = {
        "cheapest": "The cheapest",
        "seat": "Another seat",
        "gas_lift": "Another gas lift",
        "arms": "Other arms",
    }
    best = chosen.choice.best
    for name, (candidate, why) in chosen.others.items():
        if best is not None and candidate.parts == best.parts:
            continue
        parts = candidate.parts.values() if name == "cheapest" else [candidate.parts[name]]  # type: ignore[index]
        named = ", ".join(part.name for part in parts)
        if why is not None:
            yield f"{titles[name]} ({named}): {_against(why, system)}"
        elif best is not None:
            words = _difference(candidate.price - best.price, chosen.chosen_for.range.currency)
            short = [
                compromise
                for compromise in candidate.compromises
                if compromise not in best.compromises
            ]
            if short:
                words += f", but lacks {listed(short, 'and').replace('_', ' ')}"
            yield f"{titles[name]} ({named}): just as likely to fit, {words}."


def _difference(difference: float, currency: str) -> str:
    more = dearer(difference, currency)
    return f"costs {more}" if more else "at the same price"


def moved_lines(moves: Sequence[Moved], system: System) -> Iterator[str]:
    """What other populations would have changed, in the reader's units."""
    for move in moves:
        by = [
            f"{figure_name(name).lower()} {format_length(abs(mm), system)} "
            f"{'more' if mm > 0 else 'less'}"
            for name, mm in move.by.items()
        ]
        chair = [f"another chair ({', '.join(move.parts)})"] if move.parts else []
        yield f"Estimated from {move.name} instead: {', '.join([*by, *chair])}."


def _request_line(asked: Request, system: System) -> str:
    codes = ", ".join(asked.codes)
    if asked.against is None:
        return f"Asked for ({codes}): it fits everybody with these measures."
    return f"Asked for ({codes}): {_against(asked.against, system)}"


def _against(why: Rejection, system: System) -> str:
    """What speaks against a chair, and for how many, unless that is for everybody."""
    words = why.say.text(system)
    if why.share == 1:
        return words
    return f"for {of_a_hundred(why.share)} people, {words[:1].lower()}{words[1:]}"


def _agreed(agreed: Agreed, system: System) -> Json:
    return {
        "parts": list(agreed.codes),
        "chair": _candidate(agreed.candidate) if agreed.candidate else None,
        "trouble": agreed.trouble.text(system) if agreed.trouble else None,
    }


def _request(asked: Request, system: System) -> Json:
    against = asked.against
    return {
        "parts": list(asked.codes),
        "requirement": against.requirement if against else None,
        "mm": against.mm if against else None,
        "share": round(against.share, 4) if against else 0.0,
        "say": against.say.text(system) if against else None,
    }


def _candidate(candidate: Candidate) -> Json:
    return {
        "parts": [
            {"kind": kind, "code": part.code, "name": part.name, "price": part.price}
            for kind, part in candidate.parts.items()
        ],
        "p_fits": round(candidate.p_fits, 4),
        "se": round(candidate.se, 4),
        "per_requirement": {
            name: {"p": round(p, 4), "se": round(se, 4)}
            for name, (p, se) in candidate.per_requirement.items()
        },
        "compromises": list(candidate.compromises),
        "price": candidate.price,
        "lead_days": candidate.lead_days,
    }


def _codes(candidate: Candidate) -> list[str]:
    return [part.code for part in candidate.parts.values()]
