"""One chair for several people who sit on it in turn, and what each has to change.

Everyone's body is drawn apart from the others', so how often a chair fits all of them is the
product of how often it fits each. Otherwise chairs are compared as for one person.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from consult.fit.assess import assess
from consult.fit.choose import choose
from consult.fit.explanations import Rejection, why_not
from consult.fit.ranking import NOTHING_FITS, Weighed, level_with, others, weigh
from consult.fit.request import BODIES, SEED, FitRequest, NeedLine
from consult.fit.rules import sitter_of
from consult.fit.settings import SETTABLE, nearest_setting, reach_of
from consult.fit.workplace import Workplace
from consult.range.model import Range, Reach
from consult.range.parts import Kind, Part, chair_has
from consult.sentence import Sentence

if TYPE_CHECKING:
    from consult.body.estimate import Estimate
    from consult.body.population import Array


_NOTICED = 5.0
"""mm; a setting this near is left as it stands (common practice, no source)."""

_WORDS = {
    "seat_height": (
        "Set the seat to <amount> above the floor.",
        "Raise the seat to <amount> above the floor.",
        "Lower the seat to <amount> above the floor.",
    ),
    "seat_depth": (
        "Set the seat to a depth of <amount>.",
        "Slide the seat out to a depth of <amount>.",
        "Slide the seat in to a depth of <amount>.",
    ),
    "armrest_height": (
        "Set the armrests to <amount> above the seat.",
        "Raise the armrests to <amount> above the seat.",
        "Lower the armrests to <amount> above the seat.",
    ),
}
"""Setting -> as it is told first, and to go further or less far than it stands."""
FAILS = 0.5
"""A chair that fits a person less often than this is said to fail them."""
_APART = 1000
"""Between the seeds of two people, so that their bodies have nothing in common."""


def settings_for(
    estimate: Estimate, workplace: Workplace, parts: Mapping[Kind, Part], rest: Part | None
) -> dict[str, float]:
    """How one person sets a chair, mm, kept to what its parts can do; only what adjusts."""
    reach = reach_of(parts)
    span = reach["seat_height"]
    assert span is not None  # every gas lift states one
    # Without a footrest the desk may not lift the feet off the floor.
    feet = Reach(span, rest.height if rest else (0.0, 0.0))
    wanted = assess(estimate, workplace, feet).requirements
    legs = sitter_of(estimate, workplace).seat_for_legs
    height = nearest_setting(span, wanted["seat_height"].target)
    settings = {"seat_height": height}
    for name in SETTABLE[1:]:
        travel = reach[name]
        if travel is not None and travel[0] < travel[1]:
            settings[name] = nearest_setting(travel, wanted[name].target)
    if rest is not None and rest.height is not None and round(height - legs) > 0:
        settings["footrest_height"] = nearest_setting(rest.height, height - legs)
    return settings


def handed_over(
    settings: Sequence[Mapping[str, float]], rests: Sequence[Part | None]
) -> list[tuple[Sentence, ...]]:
    """What each person changes, given how the people before left the chair."""
    stands: dict[str, float] = {}
    under: Part | None = None
    by_person = []
    for wanted, rest in zip(settings, rests, strict=True):
        lines = []
        for name, (first, up, down) in _WORDS.items():
            if name not in wanted:
                continue
            before = stands.get(name)
            if before is None or abs(wanted[name] - before) >= _NOTICED:
                words = first if before is None else up if wanted[name] > before else down
                lines.append(Sentence(words, {"amount": wanted[name]}))
                stands[name] = wanted[name]
        now = rest if "footrest_height" in wanted else None
        lines += _footrest(under, now, stands, wanted)
        under = now
        by_person.append(tuple(lines))
    return by_person


def _footrest(
    under: Part | None, now: Part | None, stands: dict[str, float], wanted: Mapping[str, float]
) -> list[Sentence]:
    if now is None:
        return [Sentence("Take the footrest away.")] if under is not None else []
    height = wanted["footrest_height"]
    same = under is not None and under.code == now.code
    before = stands.get("footrest_height", 0.0)
    if same and abs(height - before) < _NOTICED:
        return []
    stands["footrest_height"] = height
    if same:
        message = f"{'Raise' if height > before else 'Lower'} the footrest to <amount>."
    else:
        message = f"Put the footrest under the feet ({now.name}) and set it to <amount>."
    return [Sentence(message, {"amount": height})]


@dataclass(frozen=True, slots=True, eq=False)
class Sharer:
    """One of the people who share the chair."""

    name: str
    estimate: Estimate
    workplace: Workplace
    mass: float | None = None
    """kg that the chair must carry besides what the estimate says."""


@dataclass(frozen=True, slots=True)
class Served:
    """How the chair serves one person."""

    name: str
    p_fits: float
    footrest: Part | None
    fails: Rejection | None
    """Why it more likely than not fails this person; None where it fits well enough."""
    settings: Mapping[str, float]
    """seat_height (loaded), seat_depth, armrest_height (above the loaded seat), footrest_height:
    those that can be set -> mm, within reach of the parts."""
    changes: tuple[Sentence, ...]
    """At the start of the shift, in order; all settings for the first person, then those that
    the people before left 5 mm or more away."""


@dataclass(frozen=True, slots=True)
class Shared:
    """The chair that most likely fits everyone, and how each has to set it."""

    parts: Mapping[Kind, Part]
    """The chair; empty where none may be offered."""
    footrests: tuple[Part, ...]
    """Those that at least one person needs, the cheapest first."""
    p_fits: float
    """Chance that it fits every one of them."""
    se: float
    """Standard error of ``p_fits`` from drawing bodies."""
    compromises: tuple[str, ...]
    """Preferred features missing, and 'footrest' where anyone needs one."""
    price: float
    """In the range's currency, footrests included."""
    lead_days: int
    people: tuple[Served, ...]
    """In the order they were given, which is that of the shifts."""
    none_because: Sentence | None = None


def share(
    range_: Range,
    sitters: Sequence[Sharer],
    needs: Sequence[NeedLine],
    *,
    n: int = BODIES,
    seed: int = SEED,
) -> Shared:
    """The chair most likely to fit all sitters; for one sitter, the chair ``choose`` gives.

    No chair rated below any sitter's mass is offered. Same inputs, same chair.

    Raises:
        ValueError: no sitter; or the range builds no chair, though a loaded range builds some.
    """
    if not sitters:
        raise ValueError("Nobody was named who would sit on the chair.")
    plain = [
        FitRequest(
            range_, sharer.estimate, sharer.workplace, needs, sharer.mass, n=n, open_places=True
        )
        for sharer in sitters
    ]
    # The same limits for all give everyone the same chairs at the same positions.
    mass = max(request.mass_limit for request in plain)
    lowest = max(
        (request.lowest_seat for request in plain if request.lowest_seat is not None), default=None
    )
    requests = [
        replace(request, mass=mass, lowest=lowest, seed=seed + _APART * number, kept={})
        for number, request in enumerate(plain)
    ]
    weighed = [weigh(request) for request in requests]
    if not len(weighed[0].rows):
        return Shared({}, (), 0.0, 0.0, (), 0.0, 0, (), choose(requests[0]).none_because)
    # Whose desk is not known is sold no footrest before it is.
    sold = [person for person in weighed if person.rests] or weighed
    first = sold[0]
    used = np.asarray(np.any([person.rests_used() for person in sold], axis=0))
    raised = np.asarray(np.any([person.raised for person in weighed], axis=0))
    reasons = first.with_rests(used, raised)

    def cheapest(sets: NDArray[np.bool_]) -> int:
        return int(first.ordered(np.flatnonzero(sets[first.set_of]), *reasons)[0])

    at = cheapest(_level(weighed, lambda sets: int(first.set_of[cheapest(sets)])))
    at_set = int(first.set_of[at])
    parts = first.chairs.chair(int(first.rows[at]))
    rests = [
        person.rests[int(person.rest[at_set]) - 1] if person.rest[at_set] else None
        for person in weighed
    ]
    p = np.array([person.fits[at_set] / n for person in weighed])
    settings = [
        settings_for(sharer.estimate, sharer.workplace, parts, rest)
        for sharer, rest in zip(sitters, rests, strict=True)
    ]
    fails = [
        why_not(request, [part.code for part in (*parts.values(), *([rest] if rest else ()))])
        if share < FAILS
        else None
        for request, rest, share in zip(requests, rests, p, strict=True)
    ]
    footrests = tuple(
        rest for rest, is_used in zip(first.rests, used[at_set], strict=True) if is_used
    )
    bought = (*range_.sold_as(parts), *footrests)
    lacking = [name for name in requests[0].preferred if not chair_has(parts.values(), name)]
    handed = handed_over(settings, rests)
    return Shared(
        parts=parts,
        footrests=footrests,
        p_fits=float(p.prod()),
        se=math.sqrt(float((others(p) ** 2 * p * (1 - p)).sum()) / n),
        compromises=(*lacking, *(["footrest"] if footrests else [])),
        price=sum(round(part.price * 100) for part in bought) / 100,
        lead_days=max(part.lead_days for part in bought),
        people=tuple(
            Served(sitter.name, float(share), rest, fail, own, changes)
            for sitter, share, rest, fail, own, changes in zip(
                sitters, p, rests, fails, settings, handed, strict=True
            )
        ),
    )


def _level(
    weighed: Sequence[Weighed], first_of: Callable[[NDArray[np.bool_]], int]
) -> NDArray[np.bool_]:
    """Sets that cannot be told from the one that fits everyone most often; of several that do
    as often, from the first."""
    joint = np.prod([person.fits / person.n for person in weighed], axis=0)
    if joint.max() < NOTHING_FITS or any(person.miss is not None for person in weighed):
        missed = np.sum([_mean_misses(person) for person in weighed], axis=0)
        return np.asarray(missed == missed.min())
    return level_with(weighed, first_of(joint == joint.max()))


def _mean_misses(weighed: Weighed) -> Array:
    """Whole mm that each set misses one person by, on average."""
    places = np.arange(len(weighed.sets))
    return np.round(weighed.mean_misses()[places, weighed.rest])
