"""A call as a desk holds it, cut to what may be kept of it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from consult.call.call import UNTOLD
from consult.records.align import Piece
from consult.records.kept import utc

if TYPE_CHECKING:
    from datetime import datetime

    from consult.call.call import Answer, Call, Handled
    from consult.records.private import Private


@dataclass(frozen=True, slots=True)
class Held:
    """Everything of a call that the store is given."""

    consent: bool | None
    caller_name: str
    answers: tuple[Piece, ...]
    handled: tuple[Piece, ...]


def held_of(call: Call, consent: bool | None, caller_name: str, private: Private) -> Held:
    """The call without anything about health, unless the caller consented to its being kept."""
    return Held(
        consent,
        caller_name,
        tuple(_answer(one, private, consent is True) for one in call.answers),
        tuple(_handled(one, private, consent is True) for one in call.handled),
    )


def _answer(one: Answer, private: Private, consent: bool) -> Piece:
    # The databases know no "not a number" that equals itself, and a clock gives none.
    took = one.took if one.took is not None and math.isfinite(one.took) else None
    row = (one.question, one.said, one.confirmed, one.note, _at(one.at), took)
    if one.question not in private.questions:
        return Piece(plain=row)
    return Piece(secret=row) if consent else Piece()


def _handled(one: Handled, private: Private, consent: bool) -> Piece:
    row = (one.caution, one.lifted, _at(one.at))
    if one.caution not in private.telling:
        return Piece(plain=row, after=one.after)
    secret = row if consent else None
    if one.caution not in private.stops:
        return Piece(secret=secret, after=one.after)
    shown = ("", UNTOLD if one.lifted else "", _at(one.at))
    return Piece(plain=shown, secret=secret, after=one.after)


def _at(at: datetime | None) -> str | None:
    return None if at is None else utc(at)
