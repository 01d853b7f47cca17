"""Why a chair was not chosen: the requirement it fails most often, and by how much.

The amount is that of the median body among those it fails, told in the words of ``shortfall``.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from consult.fit.bodies import Array
from consult.fit.choose import Candidate, Choice
from consult.fit.pick import chair_has
from consult.fit.range_model import (
    CHAIR_KINDS,
    Kind,
    Part,
    Range,
    arms_above_loaded_seat,
    loaded_seat_height,
)
from consult.fit.result import Requirement
from consult.fit.shortfall import chair_shortfalls
from consult.fit.weigh import Weighed, weigh
from consult.problems import nearest
from consult.sentence import Sentence

if TYPE_CHECKING:
    from consult.fit.request import FitRequest

_RATING = Sentence("It is not rated to carry this weight, so it may not be offered.")


@dataclass(frozen=True, slots=True)
class Rejection:
    """What speaks against one chair."""

    requirement: str
    """The requirement failed most often; 'rating', 'feature', 'together', 'discontinued'."""
    mm: float
    """Whole mm at the median body it fails; 0 where it is no length."""
    share: float
    """Share of the bodies looked at that it fails; 1 for what no body changes."""
    say: Sentence


def why_not(
    request: FitRequest, chair: Candidate | Iterable[str], *, like: Candidate | None = None
) -> Rejection | None:
    """What speaks most against a chair; None where every body drawn would fit it.

    ``chair`` is a candidate or codes of parts; kinds of part not among the codes are taken from
    ``like``, usually the best.

    Raises:
        ValueError: in words, for a code the range does not have, two parts of one kind, or a kind
            that neither the codes nor ``like`` name.
    """
    if isinstance(chair, Candidate):
        parts = dict(chair.parts)
    else:
        parts = _parts(request.range, chair, like)
    barred = _barred(request, parts)
    return barred if barred is not None else _rejection(weigh(request), parts)


def near_misses(
    request: FitRequest, choice: Choice
) -> dict[str, tuple[Candidate, Rejection | None]]:
    """The alternatives of a choice by name, each with what puts it behind the best.

    That is the requirement it fails most among the bodies the best fits: what both fail tells
    nothing. None beside one that fits as likely as the best: only compromises or price put it
    behind.
    """
    if choice.best is None:
        return {}
    weighed = weigh(request)
    suited = _suited(_missed(weighed, choice.best.parts))
    found = {}
    for name, one in choice.alternatives.items():
        ahead = suited * 1.0 - _suited(_missed(weighed, one.parts))
        level = ahead.mean() <= ahead.std() / np.sqrt(weighed.n) and suited.any()
        rejection = None if level else _rejection(weighed, one.parts, suited)
        found[name] = (one, rejection)
    return found


def _parts(range_: Range, codes: Iterable[str], like: Candidate | None) -> dict[Kind, Part]:
    known = {part.code: part for of_kind in range_.parts.values() for part in of_kind}
    asked: dict[Kind, Part] = {}
    for code in codes:
        if code not in known:
            hint = nearest(code, known)
            raise ValueError(f"This range has no part with the code '{code}'. {hint}".strip())
        part = known[code]
        if asked.get(part.kind, part) is not part:
            raise ValueError(
                f"'{asked[part.kind].code}' and '{code}' are parts of one kind; a chair has one."
            )
        asked[part.kind] = part
    parts = {**(like.parts if like else {}), **asked}
    lacking = [kind for kind in CHAIR_KINDS if kind not in parts]
    if lacking:
        what = lacking[0].replace("_", " ")
        raise ValueError(f"A whole chair needs every part; the {what} was not named.")
    return parts


def _barred(request: FitRequest, parts: Mapping[Kind, Part]) -> Rejection | None:
    """What keeps a chair from being offered to any body."""
    chair = [parts[kind] for kind in CHAIR_KINDS]
    limit, lowest = request.mass_limit, request.lowest_seat
    if any(part.rating is not None and part.rating < limit for part in chair):
        return Rejection("rating", 0.0, 1.0, _RATING)
    top = loaded_seat_height(parts["seat"], parts["gas_lift"], parts["castors"])[1]
    if lowest is not None and top < lowest:
        short = float(max(1, round(lowest - top)))
        said = "At its highest the seat is <amount> lower than you may sit."
        return Rejection("seat_height", short, 1.0, Sentence(said, {"amount": short}))
    gone = next((part for part in parts.values() if part.discontinued), None)
    if gone is not None:
        return Rejection("discontinued", 0.0, 1.0, Sentence(f"{gone.name} is no longer sold."))
    for at, one in enumerate(chair):
        for other in chair[at + 1 :]:
            if not request.range.compatible(one, other):
                said = f"{one.name} and {other.name} do not go on one chair."
                return Rejection("together", 0.0, 1.0, Sentence(said))
    for feature in request.musts:
        if not chair_has(chair, feature):
            what = feature.replace("_", " ")
            return Rejection("feature", 0.0, 1.0, Sentence(f"It lacks what is needed: {what}."))
    return None


def _missed(weighed: Weighed, parts: Mapping[Kind, Part]) -> dict[str, Array]:
    """Signed misses of one configuration by requirement, an entry a body."""
    wanted = [
        [part.code for part in on_sale].index(parts[kind].code)
        for kind, on_sale in zip(CHAIR_KINDS, weighed.chairs.parts, strict=True)
    ]
    row = int(np.flatnonzero((weighed.chairs.index == wanted).all(axis=1))[0])
    codes = [rest.code for rest in weighed.rests]
    rest = codes.index(parts["footrest"].code) + 1 if "footrest" in parts else 0
    return {name: amounts[0] for name, amounts in weighed.missed([row], [rest]).items()}


def _suited(missed: Mapping[str, Array]) -> NDArray[np.bool_]:
    return np.asarray(np.all([amounts == 0 for amounts in missed.values()], axis=0))


def _rejection(
    weighed: Weighed, parts: Mapping[Kind, Part], among: NDArray[np.bool_] | None = None
) -> Rejection | None:
    """The worst failure among all bodies, or some; among all where those are none."""
    missed = _missed(weighed, parts)
    if among is not None and among.any():
        missed = {name: amounts[among] for name, amounts in missed.items()}
    failing = {name: int(np.count_nonzero(amounts)) for name, amounts in missed.items()}
    worst = max(failing, key=lambda name: failing[name])
    if not failing[worst]:
        return None
    amounts = missed[worst][missed[worst] != 0]
    # The median by size, not between two, so that it keeps its sign and is somebody's.
    middle = float(amounts[np.argsort(np.abs(amounts), kind="stable")[(len(amounts) - 1) // 2]])
    if abs(middle) < 1:
        middle = 1.0 if middle > 0 else -1.0  # below what is told in whole mm, yet a miss
    share = failing[worst] / len(missed[worst])
    if worst == "rating":
        return Rejection(worst, 0.0, share, _RATING)
    mm = float(abs(round(middle)))
    return Rejection(worst, mm, share, _said(worst, middle, parts))


def _said(requirement: str, miss: float, parts: Mapping[Kind, Part]) -> Sentence:
    """The words of ``shortfall`` for a made-up requirement that is missed by just this much."""
    amount = {"amount": float(abs(round(miss)))}
    if requirement == "footrest_height":
        if "footrest" in parts:
            said = "The footrest leaves the feet <amount> short of what the desk asks."
        else:
            said = "The seat has to be so high that the feet are <amount> above the floor, and "
            said += "there is no footrest for them."
        return Sentence(said, amount)
    if requirement == "keyboard_height":
        return Sentence("At its highest the seat is <amount> too low for the desk.", amount)
    seat, arms = parts["seat"], parts["arms"]
    width = seat.width or 0.0
    reach = {
        "seat_height": loaded_seat_height(seat, parts["gas_lift"], parts["castors"]),
        "seat_depth": seat.depth,
        "seat_width": (width, width),
        "armrest_height": arms_above_loaded_seat(seat, arms) or (0.0, 0.0),
        "between_arms": arms.between,
    }[requirement]
    assert reach  # what a part does not state is never missed
    at = reach[0] - miss if miss > 0 else reach[1] - miss
    name = "seat_width" if requirement == "between_arms" else requirement
    asked = Requirement(name, at, at, at, 0.0, "length", "", ())
    kind = "arms" if requirement == "between_arms" else None
    return next(
        short.say
        for short in chair_shortfalls(parts, {name: asked})
        if kind is None or short.part_kind == kind
    )
