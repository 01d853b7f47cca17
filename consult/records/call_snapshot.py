"""The parts of a call that may be stored, and the place of each in what is stored already.

A screen holds the whole call; the records may hold it without health answers (no consent yet, or
withdrawn) or with some they cannot read (no key). What is stored must be the beginning of what is
held, those gaps aside: anything else means that somebody else wrote meanwhile.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import TYPE_CHECKING, NamedTuple

from consult.call.call import bare_answers, bare_handled
from consult.records.kept import utc

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime

    from consult.call.call import Answer, Call, Handled, Private


class StoredPiece(NamedTuple):
    """An answer, or a caution said or lifted, as far as it may be stored.

    ``plain`` is what anybody may read, ``secret`` what tells of health. A piece that must not be
    kept at all has neither and only holds its place.
    """

    plain: tuple[object, ...] | None = None
    secret: tuple[object, ...] | None = None
    after: int = 0
    """For a caution: how many answers had been given."""


class Stored(NamedTuple):
    """A stored piece and its place."""

    seq: int
    piece: StoredPiece
    unreadable: bool = False
    """Whether there is a secret and its key is missing."""

    @property
    def has_secret(self) -> bool:
        """Whether a secret is stored, readable or not."""
        return self.unreadable or self.piece.secret is not None


def places_stored(
    given: Sequence[StoredPiece], stored: Sequence[Stored], floor: int = 0, *, further: bool = False
) -> list[int] | None:
    """The place of each given piece, places of stored pieces kept; None where they clash.

    No new piece comes before ``floor``: places below may have been those of answers that an
    earlier desk was not allowed to keep, and cautions are placed after them. With ``further``
    what is stored may go on from what is given.
    """
    places: list[int] = []
    last, at = -1, 0
    for piece in given:
        while at < len(stored) and _hidden(stored[at], piece):
            last = stored[at].seq
            at += 1
        if at < len(stored) and _same(piece, stored[at].piece):
            last = stored[at].seq
            at += 1
        elif at < len(stored):
            # Only what was not kept before can stand between two things that were.
            if piece.plain is not None:
                return None
            if max(last + 1, floor) < stored[at].seq:
                last = max(last + 1, floor)
            elif piece.secret is not None:
                return None
        else:
            last = max(last + 1, floor)
        places.append(last)
    if not further and any(_told(row) for row in stored[at:]):
        return None
    return places


def _told(row: Stored) -> bool:
    """Whether a desk must know of it: everything but a secret nobody here can read."""
    return row.piece.plain is not None or row.piece.secret is not None


def _hidden(row: Stored, piece: StoredPiece) -> bool:
    """A secret that cannot be read here, so the desk cannot hold it, unless it is this very one."""
    return not _told(row) and not (piece.plain is None and piece.secret is None)


def _same(given: StoredPiece, kept: StoredPiece) -> bool:
    if given.plain != kept.plain:
        return False
    if given.plain is None:
        return given.secret is not None and given.secret == kept.secret
    return given.secret is None or kept.secret is None or given.secret == kept.secret


@dataclass(frozen=True, slots=True)
class StoredParts:
    """The parts of a call that are stored."""

    consent: bool | None
    caller_name: str
    answers: tuple[StoredPiece, ...]
    handled: tuple[StoredPiece, ...]


def held_of(call: Call, consent: bool | None, caller_name: str, private: Private) -> StoredParts:
    """The call without anything about health, unless the caller consented to its being kept."""
    kept = consent is True
    answers = zip(call.answers, bare_answers(private, call.answers), strict=True)
    handled = zip(call.handled, bare_handled(private, call.handled), strict=True)
    return StoredParts(
        consent,
        caller_name,
        tuple(_answered(answer, bare, kept=kept) for answer, bare in answers),
        tuple(
            _piece(_handled(full), _handled(bare) if bare else None, full.after, kept=kept)
            for full, bare in handled
        ),
    )


def has_secrets(held: StoredParts) -> bool:
    """Whether there is anything about health in it."""
    return any(row.secret is not None for row in (*held.answers, *held.handled))


def without_secrets(held: StoredParts) -> StoredParts:
    """What may be written where the records are encrypted and the key is missing here."""
    return replace(
        held,
        answers=tuple(answer._replace(secret=None) for answer in held.answers),
        handled=tuple(row._replace(secret=None) for row in held.handled),
    )


def _piece(
    full: tuple[object, ...], plain: tuple[object, ...] | None, after: int = 0, *, kept: bool
) -> StoredPiece:
    """``plain`` for anybody and, where health may be kept, ``full`` as a secret beside it."""
    return StoredPiece(plain, full if kept and full != plain else None, after)


def _answered(answer: Answer, bare: Answer | None, *, kept: bool) -> StoredPiece:
    full = plain_answer(answer)
    plain = full if bare is answer else plain_answer(bare) if bare else None
    return _piece(full, plain, kept=kept)


def plain_answer(answer: Answer) -> tuple[object, ...]:
    """An answer as it is stored where it is not about health."""
    # The databases know no "not a number" that equals itself, and a clock gives none.
    took = answer.took if answer.took is not None and math.isfinite(answer.took) else None
    return (answer.question, answer.said, answer.confirmed, answer.note, _at(answer.at), took)


def _handled(handled: Handled) -> tuple[object, ...]:
    return (handled.caution, handled.lifted, _at(handled.at))


def _at(at: datetime | None) -> str | None:
    return None if at is None else _in_utc(at, at.fold)


@lru_cache(maxsize=1024)
def _in_utc(at: datetime, fold: int) -> str:  # noqa: ARG001  two hours of a night are equal but for it
    """Remembered, as with every answer of a call those before it are compared."""
    return utc(at)
