"""The pieces of a tree as lines: those that calls reached, part by part, then the others."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import TYPE_CHECKING

from consult.call.coverage import PARTS, PLURAL

if TYPE_CHECKING:
    from consult.call.coverage import Piece


def piece_lines(
    said: Mapping[Piece, str], missed: Iterable[Piece], *, none: str, beside: str = ""
) -> Iterator[str]:
    """``said`` is what stands beside each piece that was come to, with ``beside`` over it.

    ``none`` stands over those that nobody came to, each told with its place.
    """
    missed = list(missed)
    width = max((len(piece.name) for piece in (*said, *missed)), default=0)
    for part in PARTS:
        of_part = {piece: words for piece, words in said.items() if piece.part == part}
        if of_part:
            yield f"  {PLURAL[part]:<{width + 2}}  {beside}" if beside else f"  {PLURAL[part]}"
        for piece, words in of_part.items():
            yield f"    {piece.name:<{width}}  {words}"
    if missed:
        yield f"  {none}"
    for piece in missed:
        yield f"    {piece.where.file}:{piece.where.line}: {piece.part} '{piece.name}'"
