"""Random numbers that depend on names only: the same names, the same numbers, on any machine.

Nothing is drawn in a row, so that one more question, choice or caller moves no other draw.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from hashlib import blake2b
from statistics import NormalDist

from consult.tree.model import Question
from consult.units import to_unit

ChanceKey = tuple[str | int, ...]

_NORMAL = NormalDist()
_BITS = 52
_ROUNDS = 60
"""Tries until somebody names anything; then one name is as good as any."""


def uniform(*key: str | int) -> float:
    """A number between 0 and 1, neither of them ever."""
    # A sign that no name holds keeps ("a", "bc") and ("ab", "c") apart.
    words = "\x1f".join(map(str, key)).encode("utf-8", "surrogatepass")
    digest = blake2b(words, digest_size=8).digest()
    return ((int.from_bytes(digest, "big") >> (64 - _BITS)) + 0.5) / (1 << _BITS)


def normal(*key: str | int) -> float:
    """A standard normal."""
    return _NORMAL.inv_cdf(uniform(*key))


def normal_within(mean: float, sd: float, low: float, high: float, *key: str | int) -> float:
    """A normal of those that lie from ``low`` to ``high``; ``sd`` more than 0."""
    whole = NormalDist(mean, sd)
    below, above = whole.cdf(low), whole.cdf(high)
    chance = below + (above - below) * uniform(*key)
    if not 0.0 < chance < 1.0:
        return low if mean < low else high
    return min(max(whole.inv_cdf(chance), low), high)


def one_of(weights: Mapping[str, float], *key: str | int) -> str:
    """One name, as likely as its weight among all; at least one weight is more than 0.

    Each name runs a race of its own: one more name wins some callers over to itself and moves
    nobody between the others, and the order of the names means nothing.
    """
    running = {name: weight for name, weight in weights.items() if weight > 0}
    return min(running, key=lambda name: -math.log(uniform(*key, name)) / running[name])


def some_of(chances: Mapping[str, float], *key: str | int) -> frozenset[str]:
    """At least one name; each is among them as often as its chance (0 to 1) says.

    Chances that add up to 1 or less leave room for one name only, and are then weights.
    """
    tries = _of_each(chances)
    for round_ in range(_ROUNDS if tries else 0):
        chosen = frozenset(
            name for name, chance in tries.items() if uniform(*key, name, round_) < chance
        )
        if chosen:
            return chosen
    return frozenset([one_of(chances, *key)])


def _of_each(chances: Mapping[str, float]) -> dict[str, float]:
    """What to try each name with, apart, so that those who name any name each as often as stated.

    Nobody who names nothing counts, so each is tried with its chance times that of naming any.
    Empty where they leave room for one name only.
    """
    total = sum(chances.values())
    if total <= 1.0 + 1e-9:
        return {}
    low, high = 0.0, 1.0
    for _ in range(50):
        middle = (low + high) / 2
        any_ = 1 - math.prod(1 - chance * middle for chance in chances.values())
        low, high = (middle, high) if any_ > middle else (low, middle)
    return {name: chance * high for name, chance in chances.items()}


# -- rounded --------------------------------------------------------------------------------------
# A figure as people say it: rounded to what a tape or a scale is read to, in the asked unit.

_STEPS = {"cm": (0.5, 1.0), "mm": (5.0, 10.0), "m": (0.005, 0.01), "in": (0.25, 0.5)}
"""What lengths are read to, below a metre and from there on (common practice, no source)."""
_METRE = 1000.0


def rounded(question: Question, value: float) -> str:
    """``value`` in mm, kg or plain, in the question's unit: "41.5 cm", "9 st 4 lb", "8"."""
    unit = question.unit
    least_is_nought = question.expect is not None and question.expect[0] <= 0
    if unit == "st":
        stones, pounds = divmod(max(round(to_unit(value, "lb")), 1), 14)
        return f"{stones} st {pounds} lb" if stones else f"{pounds} lb"
    if unit is None:
        step = 1.0 if value < 100 else 50.0 if value < 1000 else 100.0
    elif unit in _STEPS:
        step = _STEPS[unit][value >= _METRE]
    else:
        step = 1.0
    steps = round((to_unit(value, unit) if unit else value) / step)
    number = f"{max(steps, 0 if least_is_nought else 1) * step:.3f}".rstrip("0").rstrip(".")
    return f"{number} {unit}" if unit else number
