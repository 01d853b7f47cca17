"""Match the call on a screen with the stored one, and find the place of each piece.

A desk holds the whole call; the store may hold it without health answers (no consent yet, or
taken back) or with some it cannot read (no key). What is kept must be the beginning of what is
held, those gaps aside: anything else means that somebody else wrote meanwhile.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence


@dataclass(frozen=True, slots=True)
class Piece:
    """An answer, or a caution said or lifted, as far as it may be stored.

    ``plain`` is what anybody may read, ``secret`` what tells of health. A piece that must not be
    kept at all has neither and only holds its place.
    """

    plain: tuple[object, ...] | None = None
    secret: tuple[object, ...] | None = None
    after: int = 0
    """For a caution: how many answers had been given."""


@dataclass(frozen=True, slots=True)
class Stored:
    """A stored piece and its place."""

    seq: int
    piece: Piece
    unreadable: bool = False
    """Whether there is a secret and its key is missing."""

    @property
    def has_secret(self) -> bool:
        """Whether a secret is stored, readable or not."""
        return self.unreadable or self.piece.secret is not None


def places(
    given: Sequence[Piece], stored: Sequence[Stored], floor: int = 0, *, further: bool = False
) -> list[int] | None:
    """The place of each given piece, places of stored pieces kept; None where they clash.

    No new piece comes before ``floor``: places below may have been those of answers that an
    earlier desk was not allowed to keep, and cautions are placed after them. With ``further``
    what is stored may go on from what is given.
    """
    found: list[int] = []
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
        found.append(last)
    if not further and any(_told(one) for one in stored[at:]):
        return None
    return found


def _told(one: Stored) -> bool:
    """Whether a desk must know of it: everything but a secret nobody here can read."""
    return one.piece.plain is not None or one.piece.secret is not None


def _hidden(one: Stored, piece: Piece) -> bool:
    """A secret that cannot be read here, so the desk cannot hold it, unless it is this very one."""
    return not _told(one) and not (piece.plain is None and piece.secret is None)


def _same(given: Piece, kept: Piece) -> bool:
    if given.plain != kept.plain:
        return False
    if given.plain is None:
        return given.secret is not None and given.secret == kept.secret
    return given.secret is None or kept.secret is None or given.secret == kept.secret
