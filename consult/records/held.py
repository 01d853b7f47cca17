"""A call from a screen, reduced to what may be stored."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from consult.call.private import bare_answers, bare_handled
from consult.records.align import Piece
from consult.records.kept import utc

if TYPE_CHECKING:
    from datetime import datetime

    from consult.call.call import Answer, Call, Handled
    from consult.call.private import Private


@dataclass(frozen=True, slots=True)
class Held:
    """The parts of a call that are stored."""

    consent: bool | None
    caller_name: str
    answers: tuple[Piece, ...]
    handled: tuple[Piece, ...]


def held_of(call: Call, consent: bool | None, caller_name: str, private: Private) -> Held:
    """The call without anything about health, unless the caller consented to its being kept."""
    kept = consent is True
    answers = zip(call.answers, bare_answers(private, call.answers), strict=True)
    handled = zip(call.handled, bare_handled(private, call.handled), strict=True)
    return Held(
        consent,
        caller_name,
        tuple(
            _piece(_answer(one), _answer(bare) if bare else None, kept=kept)
            for one, bare in answers
        ),
        tuple(
            _piece(_handled(one), _handled(bare) if bare else None, one.after, kept=kept)
            for one, bare in handled
        ),
    )


def has_secrets(held: Held) -> bool:
    """Whether there is anything about health in it."""
    return any(one.secret is not None for one in (*held.answers, *held.handled))


def without_secrets(held: Held) -> Held:
    """What may be written where the records are encrypted and the key is missing here."""
    return replace(
        held,
        answers=tuple(replace(one, secret=None) for one in held.answers),
        handled=tuple(replace(one, secret=None) for one in held.handled),
    )


def _piece(
    full: tuple[object, ...], plain: tuple[object, ...] | None, after: int = 0, *, kept: bool
) -> Piece:
    """``plain`` for anybody and, where health may be kept, ``full`` as a secret beside it."""
    return Piece(plain, full if kept and full != plain else None, after)


def _answer(one: Answer) -> tuple[object, ...]:
    # The databases know no "not a number" that equals itself, and a clock gives none.
    took = one.took if one.took is not None and math.isfinite(one.took) else None
    return (one.question, one.said, one.confirmed, one.note, _at(one.at), took)


def _handled(one: Handled) -> tuple[object, ...]:
    return (one.caution, one.lifted, _at(one.at))


def _at(at: datetime | None) -> str | None:
    return None if at is None else utc(at)
