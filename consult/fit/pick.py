"""A chosen chair made ready: its settings for a fit, what goes beside it, what it cannot do."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from consult.fit.extras import extras
from consult.fit.range_model import (
    CHAIR_KINDS,
    Kind,
    Part,
    Range,
    arms_above_loaded_seat,
    loaded_seat_height,
)
from consult.fit.request import NO_ARMS_WANTED, NeedLine
from consult.fit.result import Fit
from consult.fit.shortfall import Requirements, Shortfall, chair_shortfalls, nearest_setting


@dataclass(frozen=True, slots=True)
class Picked:
    """A chair, how to set it, and what it cannot do."""

    parts: Mapping[Kind, Part]
    """Empty where no chair of the range may be offered; ``shortfalls`` says why."""
    settings: Mapping[str, float]
    """What to set -> mm: the target, or the nearest the part reaches. Of seat_height (loaded,
    above the floor), seat_depth, armrest_height (above the loaded seat), footrest_height and
    desk_raise, those the fit asks for and the parts have."""
    shortfalls: tuple[Shortfall, ...]
    price: float
    """In the range's currency, footrest and desk raiser included."""
    lead_days: int
    """Of the part that takes longest."""
    met_needs: tuple[NeedLine, ...]
    unmet_needs: tuple[NeedLine, ...]


def chair_has(chair: Iterable[Part], feature: str) -> bool:
    """Whether a part has the feature; for heavy duty, whether every part with a rating has it."""
    if feature == "heavy_duty":
        rated = [part for part in chair if part.rating is not None]
        return bool(rated) and all(feature in part.features for part in rated)
    return any(feature in part.features for part in chair)


def made_ready(
    range_: Range, fit: Fit, parts: Mapping[Kind, Part], needs: Sequence[NeedLine]
) -> Picked:
    """The chair of these parts, set for a fit.

    ``parts`` holds one part of each of CHAIR_KINDS, and the footrest where one was chosen with it;
    a desk raiser, and a footrest that nothing chose, are added where the fit needs them.
    """
    chair = {kind: parts[kind] for kind in CHAIR_KINDS}
    settings = _settings(chair, fit.requirements)
    beside = extras(range_, fit, settings.get("seat_height"), parts.get("footrest"))
    ready = {**chair, **{extra.kind: extra.part for extra in beside if extra.part is not None}}
    settings |= {
        extra.requirement: extra.setting
        for extra in beside
        if extra.part is not None and extra.setting is not None
    }
    wanted = dict(fit.requirements)
    if chair["arms"].height is None and any(name == NO_ARMS_WANTED for name, *_ in needs):
        # Who wants no armrests misses none.
        wanted.pop("armrest_height", None)
    short = [*chair_shortfalls(chair, wanted)]
    short += [extra.shortfall for extra in beside if extra.shortfall is not None]
    met = tuple(need for need in needs if chair_has(chair.values(), need[0]))
    return Picked(
        parts=ready,
        settings=settings,
        shortfalls=tuple(short),
        price=sum(round(part.price * 100) for part in ready.values()) / 100,
        lead_days=max(part.lead_days for part in ready.values()),
        met_needs=met,
        unmet_needs=tuple(need for need in needs if need not in met),
    )


def _settings(chair: Mapping[Kind, Part], wanted: Requirements) -> dict[str, float]:
    seat = chair["seat"]
    spans = {
        "seat_height": loaded_seat_height(seat, chair["gas_lift"], chair["castors"]),
        "seat_depth": seat.depth,
        "armrest_height": arms_above_loaded_seat(seat, chair["arms"]),
    }
    return {
        name: nearest_setting(span, wanted[name].target)
        for name, span in spans.items()
        if span is not None and name in wanted
    }
