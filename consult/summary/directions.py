"""Which way every piece of a call's documents sends the reader, to find those that are opposed."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping

from consult.call.basis import Basis
from consult.call.state import State
from consult.moves import ORDERED, MovePiece, Moves
from consult.summary.model import Summary, summarise
from consult.summary.specification import ordered_things

_FEATURES: Mapping[str, Moves] = {
    "no_arms": {"armrests": "remove"},
    "arms_height": {"armrests": "add"},
}
"""Feature of the range -> what a chair with it has; arms that move away may as well be none."""


def move_pieces(summary: Summary) -> Iterator[MovePiece]:
    """Everything any document of the call may say to any reader."""
    for one in summary.advice:
        yield MovePiece(f"advice '{one.name}'", one.moves, one.may_move)
    for note in summary.notes:
        yield MovePiece(f"note '{note.name}'", note.moves, note.may_move)
    for step in summary.setup_steps:
        yield MovePiece(f"step '{step.topic}'", step.moves)
    for remedy in summary.remedies:
        yield MovePiece(f"card '{remedy.feels}'", remedy.moves, remedy.may_move)
    for need in summary.needs:
        if need.met is not False:
            yield MovePiece(f"need '{need.name}'", _FEATURES.get(need.feature, {}))
    yield from _parts(summary)


def state_pieces(basis: Basis) -> Callable[[State], Iterable[MovePiece]]:
    """The same from the state of a call; without a chair where none was chosen for it."""
    return lambda state: move_pieces(summarise(basis, state, reasons=False))


def _parts(summary: Summary) -> Iterator[MovePiece]:
    chair = summary.specification
    things = ordered_things(chair)
    if chair is None or not things:
        return
    yield from (MovePiece(f"part '{thing}'", {thing: ORDERED}) for thing in sorted(things))
    if "armrests" not in things:
        yield MovePiece("part 'arms'", {"armrests": "remove"})
    if any(part.kind == "desk_raiser" for part in chair.parts):
        yield MovePiece("part 'desk_raiser'", {"desk": "raise"})
