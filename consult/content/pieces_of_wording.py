"""Pieces of a condition as they are said, and how several become one sentence.

What is said about one question is said in one breath wherever that means the same, so that six
choices joined by "or" are a list and not six sentences.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal

Joining = Literal["and", "or"]


@dataclass(frozen=True, slots=True)
class Phrase:
    """Something said; ``joined`` where it holds an 'and' of its own."""

    text: str
    joined: bool = False


@dataclass(frozen=True, slots=True)
class Told:
    """Which choices of one question the caller names, or does not name."""

    question: str
    choices: tuple[str, ...]
    named: bool
    """Whether they are named; else an answer is given and they are not in it."""
    every: bool = False
    """Whether all of several have to be named, not just any."""


@dataclass(frozen=True, slots=True)
class Group:
    """Several joined by one word."""

    by: Joining
    parts: tuple[Piece, ...]


Piece = Phrase | Told | Group


def joined_by(by: Joining, pieces: Sequence[Piece]) -> Piece:
    """The pieces joined; those about one question said in one breath where that means the same."""
    found: list[Piece] = []
    for piece in _flat(by, pieces):
        for index, other in enumerate(found):
            together = _together(by, other, piece)
            if together is not None:
                found[index] = together
                break
        else:
            found.append(piece)
    return found[0] if len(found) == 1 else Group(by, tuple(found))


def _flat(by: Joining, pieces: Sequence[Piece]) -> Iterator[Piece]:
    for piece in pieces:
        if isinstance(piece, Group) and piece.by == by:
            yield from piece.parts
        else:
            yield piece


def _together(by: Joining, one: Piece, other: Piece) -> Told | None:
    if not isinstance(one, Told) or not isinstance(other, Told):
        return None
    if one.question != other.question or one.named != other.named:
        return None
    choices = tuple(dict.fromkeys((*one.choices, *other.choices)))
    if by == "or":
        any_of = one.named and not (one.every or other.every)
        return replace(one, choices=choices) if any_of else None
    if not one.named:
        return replace(one, choices=choices)
    mixed = any(len(told.choices) > 1 and not told.every for told in (one, other))
    return None if mixed else replace(one, choices=choices, every=len(choices) > 1)
