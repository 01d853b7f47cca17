"""Three-valued logic (Kleene): true, false, and ``None`` for not known."""

from __future__ import annotations

from collections.abc import Iterable

Truth = bool | None


def negation(value: Truth) -> Truth:
    """Not known stays not known."""
    return None if value is None else not value


def conjunction(values: Iterable[Truth]) -> Truth:
    """False as soon as one is false; not known only when that could still change it."""
    known = True
    for value in values:
        if value is False:
            return False
        known = known and value is not None
    return True if known else None


def disjunction(values: Iterable[Truth]) -> Truth:
    """True as soon as one is true; not known only when that could still change it."""
    known = True
    for value in values:
        if value is True:
            return True
        known = known and value is not None
    return False if known else None
