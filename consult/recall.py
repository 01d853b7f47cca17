"""Results kept by all that they hang on, a bounded number of them."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

K = TypeVar("K")
V = TypeVar("V")


def recall(known: dict[K, V], key: K, most: int, make: Callable[[], V]) -> V:
    """The result of a key, made where there is none; when there are ``most``, all are forgotten.

    It is given back even where another thread forgets it meanwhile.
    """
    found = known.get(key)
    if found is None:
        found = make()
        if len(known) >= most:
            known.clear()
        known[key] = found
    return found
