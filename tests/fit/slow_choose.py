"""The choice worked out the slow way, one chair, one body and one seat height at a time.

Written from the table of requirements alone, sharing no code with the array version but the parts
of the range. Also the small made-up ranges that both are held against.
"""

from __future__ import annotations

import math
import random
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import product

from consult.fit.workplace import Workplace
from consult.range.model import Range
from consult.range.parts import CHAIR_KINDS, Kind, Part

Body = Mapping[str, float]
RAD = math.pi / 180


@dataclass(frozen=True)
class Slow:
    """A chair with one footrest or none, and which bodies it fits."""

    chair: tuple[Part, ...]
    rest: Part | None
    fits: tuple[bool, ...]
    raised: bool = False
    """Without its footrest it fits fewer than half of the bodies."""

    @property
    def share(self) -> float:
        return sum(self.fits) / len(self.fits)

    @property
    def pence(self) -> int:
        parts = [*self.chair, *([self.rest] if self.rest else [])]
        return sum(round(part.price * 100) for part in parts)


def every_chair(range_: Range) -> Iterator[tuple[Part, ...]]:
    """All chairs of parts on sale that go together, in the order of the range file."""
    for chair in product(*(range_.on_sale(kind) for kind in CHAIR_KINDS[:-1])):
        if all(
            range_.compatible(one, other)
            for at, one in enumerate(chair)
            for other in chair[at + 1 :]
        ):
            yield chair


def fits_one(chair: tuple[Part, ...], rest: Part | None, body: Body, place: Workplace) -> bool:
    """Whether everything fits one body, some seat height found by trying."""
    seat, lift, _, _, arms, castors = chair
    if any(part.rating is not None and part.rating < body["weight"] for part in chair):
        return False
    length = body["buttock_popliteal_length"]
    three = 0.75 * body["hand_breadth"] if "hand_breadth" in body else 60.0
    deep = [min(max(length - k * three / 3, 0.8 * length), 0.95 * length) for k in (4, 2)]
    if seat.depth and (seat.depth[0] > deep[1] or seat.depth[1] < deep[0]):
        return False
    hips = body["hip_breadth_sitting"] + 20
    if seat.width is not None and seat.width < hips:
        return False
    if arms.height is None or (arms.between and arms.between[1] < hips):
        return False
    sinks = seat.compression if arms.stated == "unloaded" else 0.0
    elbow = body["elbow_rest_height"]
    if arms.height[0] + sinks > elbow + 20 or arms.height[1] + sinks < elbow - 20:
        return False
    assert lift.seat_height
    moved = castors.adds - (seat.compression if lift.stated == "unloaded" else 0.0)
    low, high = lift.seat_height[0] + moved, lift.seat_height[1] + moved
    return any(_seat_suits(s, rest, body, place) for s in _heights(low, high, rest, body, place))


def _heights(
    low: float, high: float, rest: Part | None, body: Body, place: Workplace
) -> Iterator[float]:
    """Seat heights where something begins or ends to suit, within the chair's reach."""
    legs = body["popliteal_height"] + (25.0 if place.heel is None else place.heel)
    points = [low, high]
    for raised in (0.0, *(rest.height if rest and rest.height else ())):
        points += [legs * math.cos(30 * RAD) + raised, legs * math.cos(5 * RAD) + raised]
    for top in _tops(place):
        points += [top - body["elbow_rest_height"], top + 60 - body["elbow_rest_height"]]
        if place.desk.thickness is not None:
            points.append(top - place.desk.thickness - body["thigh_clearance"] - 20)
    yield from (point for point in points if low <= point <= high)


def _tops(place: Workplace) -> list[float]:
    desk = place.desk
    tops = {"fixed": [desk.height], "adjustable": [desk.lowest, desk.highest]}
    return [top for top in tops.get(desk.kind or "", []) if top is not None]


def _seat_suits(s: float, rest: Part | None, body: Body, place: Workplace) -> bool:
    tiny = 1e-7
    legs = body["popliteal_height"] + (25.0 if place.heel is None else place.heel)
    folded, open_ = legs * math.cos(30 * RAD), legs * math.cos(5 * RAD)
    desk = place.desk
    lowest = desk.height if desk.kind == "fixed" else desk.lowest
    highest = desk.height if desk.kind == "fixed" else desk.highest
    if desk.kind not in ("fixed", "adjustable"):
        lowest = highest = None
    room = 0.0
    if desk.thickness is not None:
        room = body["thigh_clearance"] + 20 + desk.thickness
    elbow = body["elbow_rest_height"]
    # The keyboard is 20 above the desk: at most 20 above the elbow, at most 40 below it; where
    # the thighs need a higher desk than the elbows want, the thighs have it.
    desk_above = max(elbow, room)
    if lowest is not None and lowest - s > desk_above + tiny:
        return False
    on_floor = folded - tiny <= s <= open_ + tiny
    if on_floor:
        return True
    if rest is None or rest.height is None:
        return False
    feet = folded + rest.height[0] - tiny <= s <= open_ + rest.height[1] + tiny
    return feet and (highest is None or highest - s >= max(elbow - 60, room) - tiny)


def slow_table(
    range_: Range, bodies: Sequence[Body], place: Workplace
) -> dict[tuple[str, ...], list[Slow]]:
    """Codes of each chair -> it without a footrest, then with each on sale, the cheapest first."""
    rests = [part for part in range_.on_sale("footrest") if part.height is not None]
    rests.sort(key=lambda part: part.price)
    return {
        tuple(part.code for part in chair): [
            Slow(chair, rest, tuple(fits_one(chair, rest, body, place) for body in bodies))
            for rest in (None, *rests)
        ]
        for chair in every_chair(range_)
    }


def slow_best(table: Mapping[tuple[str, ...], Sequence[Slow]], worth: float) -> Slow:
    """The chair to order where no feature is asked for and every rating carries the caller."""
    taken = []
    for variants in table.values():
        best = variants[0]
        for other in variants[1:]:
            if other.share - best.share >= worth - 1e-12:
                best = other
        raised = best.rest is not None and variants[0].share < 0.5
        taken.append(replace(best, raised=raised))
    most = max(one.share for one in taken)
    top = min((one for one in taken if one.share == most), key=_after)
    return min((one for one in taken if _tie(top, one)), key=_after)


def _after(one: Slow) -> tuple[int, int, int]:
    return (one.rest is not None) + one.raised, one.pence, max(part.lead_days for part in one.chair)


def _tie(top: Slow, other: Slow) -> bool:
    n = len(top.fits)
    differences = [a - b for a, b in zip(top.fits, other.fits, strict=True)]
    mean = sum(differences) / n
    variance = sum((one - mean) ** 2 for one in differences) / (n - 1)
    return mean <= max(0.01, math.sqrt(variance / n)) + 1e-9


def part(kind: Kind, code: str, **fields: object) -> Part:
    """A part that suits anybody, but for what is said of it."""
    usual: dict[str, dict[str, object]] = {
        "seat": {"depth": (250.0, 700.0), "width": 900.0},
        "gas_lift": {"seat_height": (200.0, 1000.0)},
        "lumbar": {"height": (150.0, 250.0)},
        "arms": {"height": (50.0, 600.0), "between": (300.0, 900.0)},
        "footrest": {"height": (20.0, 300.0)},
    }
    whole = replace(Part(kind, code, code.title(), 10.0, 5), **usual.get(kind, {}))  # type: ignore[arg-type]
    return replace(whole, **fields)  # type: ignore[arg-type]


def range_of(*parts: Part) -> Range:
    """A range of these parts; of the kinds not named, one part that suits anybody."""
    found: dict[Kind, tuple[Part, ...]] = {
        kind: tuple(one for one in parts if one.kind == kind)
        for kind in (*CHAIR_KINDS[:-1], "footrest")
    }
    for kind in CHAIR_KINDS[:-1]:
        found[kind] = found[kind] or (part(kind, f"PLAIN-{kind.upper()}"),)
    return Range("made-up", "A made-up maker", "1", "GBP", found)


def random_range(seed: int) -> Range:
    """A small range with parts near ordinary bodies, so that some fit and some do not."""
    dice = random.Random(seed)

    def span(low: float, high: float, travel: float) -> tuple[float, float]:
        start = dice.uniform(low, high)
        return start, start + dice.uniform(0, travel)

    parts: list[Part] = []
    for at in range(dice.randint(1, 3)):
        parts.append(
            part(
                "seat",
                f"SEAT-{at}",
                price=float(dice.randint(100, 200)),
                depth=span(380, 460, 60),
                width=dice.uniform(380, 520),
                compression=dice.uniform(0, 30),
                rating=dice.choice([None, 130.0, 150.0]),
            )
        )
        parts.append(
            part(
                "gas_lift",
                f"LIFT-{at}",
                price=float(dice.randint(20, 40)),
                seat_height=span(380, 560, 120),
                stated=dice.choice(["loaded", "unloaded"]),
                not_with=frozenset({"SEAT-1"} if dice.random() < 0.3 else ()),
            )
        )
        parts.append(
            part(
                "arms",
                f"ARMS-{at}",
                price=float(dice.randint(0, 90)),
                height=span(170, 230, 90) if at else None,
                stated=dice.choice(["loaded", "unloaded"]),
                between=span(380, 440, 120) if at else None,
            )
        )
        parts.append(part("castors", f"CAST-{at}", adds=10.0 * at, lead_days=dice.randint(3, 9)))
    for at in range(dice.randint(0, 2)):
        price = float(dice.randint(30, 60))
        parts.append(part("footrest", f"REST-{at}", price=price, height=span(20, 90, 120)))
    # The arms last, so that most random ranges have a chair with arms.
    parts.append(part("arms", "ARMS-LAST", price=95.0, height=(180.0, 270.0)))
    return range_of(*parts)
