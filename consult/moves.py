"""Directions: what a piece of advice has the caller move and which way, and which are opposed."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Set
from dataclasses import dataclass, field
from itertools import combinations

Moves = Mapping[str, str]
"""Thing -> way: ``{"seat": "lower"}``."""

_HEIGHT = ("raise", "lower", "set", "leave")
WAYS: Mapping[str, tuple[str, ...]] = {
    "seat": (*_HEIGHT, "buy"),
    "seat_depth": ("lengthen", "shorten", "set", "leave"),
    "seat_tilt": ("forward", "back", "leave"),
    "back": ("lock", "unlock"),
    "tension": ("tighten", "loosen", "leave"),
    "lumbar": _HEIGHT,
    "armrests": (*_HEIGHT, "add", "remove", "buy"),
    "desk": _HEIGHT,
    "under_desk": ("add", "remove", "leave"),
    "footrest": (*_HEIGHT, "add", "remove", "buy"),
    "screen": (*_HEIGHT, "forward", "back"),
    "gas_lift": ("buy",),
    "castors": ("buy",),
    "desk_feet": ("leave",),
}
"""Thing -> the ways it can be moved. ``set``: to a figure or a feel, up or down as it comes;
``leave``: as it is; ``buy``: have one bought, beyond what is ordered."""

BUY = "buy"
ORDERED = "ordered"
"""The way of a thing that is among the parts of the order; no tree may write it."""

_MOVED = tuple(
    way
    for way in dict.fromkeys(sum(WAYS.values(), ()))
    if way not in ("leave", "add", "remove", BUY)
)
_OPPOSED = frozenset(
    map(
        frozenset,
        (
            *(("raise", "lower"), ("lengthen", "shorten"), ("forward", "back")),
            *(("lock", "unlock"), ("tighten", "loosen"), (BUY, ORDERED)),
            *(("remove", way) for way in (*_MOVED, "leave", "add", BUY, ORDERED)),
            *(("leave", way) for way in _MOVED),
        ),
    )
)
"""Pairs of ways that nobody can go both; what is removed can be neither set nor left."""


@dataclass(frozen=True, slots=True)
class MovePiece:
    """Something a document tells its reader to do."""

    name: str
    """Where it stands and what it is called: "advice 'seat_to_the_legs'"."""
    moves: Moves
    may_move: Moves = field(default_factory=dict)
    """What it moves only under a condition that its own words state."""

    def ways(self, thing: str) -> frozenset[str]:
        """Every way it moves a thing, conditionally or not."""
        return frozenset(each[thing] for each in (self.moves, self.may_move) if thing in each)


@dataclass(frozen=True, slots=True)
class Opposed:
    """Two pieces that move one thing in ways that cannot both be gone."""

    one: MovePiece
    other: MovePiece
    thing: str

    def __str__(self) -> str:
        ways = f"{self.one.moves[self.thing]} and {self.other.moves[self.thing]}"
        return f"{self.one.name} with {self.other.name}: {self.thing} {ways}"


def opposed_things(one: Moves, other: Moves) -> tuple[str, ...]:
    """The things that two directions move in opposed ways."""
    return tuple(
        thing for thing in one if thing in other and {one[thing], other[thing]} in _OPPOSED
    )


def opposed(pieces: Iterable[MovePiece]) -> Iterator[Opposed]:
    """Every opposed pair. What moves only under a stated condition opposes nothing."""
    for piece, other in combinations(pieces, 2):
        for thing in opposed_things(piece.moves, other.moves):
            yield Opposed(piece, other, thing)


def bought(moves: Moves, things: Set[str]) -> bool:
    """Whether it only has something bought that is among these things."""
    return bool(moves) and all(way == BUY and thing in things for thing, way in moves.items())
