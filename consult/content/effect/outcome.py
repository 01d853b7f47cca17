"""The results of one call that two trees can differ in."""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from consult.call.state import request_of
from consult.fit.choose import choose
from consult.fit.settings import made_ready

if TYPE_CHECKING:
    from consult.call.basis import Basis
    from consult.call.state import State


@dataclass(frozen=True, slots=True)
class Chair:
    """The chair that would be suggested, and how to set it."""

    codes: Mapping[str, str]
    """Kind of part -> code; empty where no chair may be offered."""
    settings: Mapping[str, float]
    """mm"""


def rests_on(basis: Basis, now: State) -> Hashable | None:
    """All that the choice of chair is made from; None where none is chosen.

    Choosing takes longer than all else, and where two calls agree in this it comes out the same.
    """
    if now.fit is None or basis.range is None:
        return None
    return (
        now.estimate.population,
        tuple(one.group for one in now.estimate.components),
        now.estimate.used,
        now.estimate.set_aside,
        now.workplace,
        tuple((need.feature, need.strength) for need in now.needs),
    )


def chair_of(basis: Basis, now: State) -> Chair | None:
    """The chair to suggest, without why not another and what to ask next; None where none is."""
    if now.fit is None or basis.range is None:
        return None
    request = request_of(basis.range, now)
    best = choose(request).best
    if best is None:
        return Chair({}, {})
    ready = made_ready(basis.range, now.fit, best.parts, request.needs)
    return Chair({kind: part.code for kind, part in ready.parts.items()}, ready.settings)


def targets(now: State) -> Mapping[str, float]:
    """What to set, mm, whatever chair it is."""
    return {name: one.target for name, one in now.fit.requirements.items()} if now.fit else {}
