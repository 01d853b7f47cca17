"""The few distributions the estimate needs: mixtures of normals, and the chi-square tail.

Written out because the statistics library that has them takes longer to import than the rest of
the program.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from statistics import NormalDist

_STANDARD = NormalDist()
_ROOT_2 = math.sqrt(2)
_SMALLEST_TAIL = 1e-300
"""Below this a tail probability has lost digits; its logarithm is used instead."""


@dataclass(frozen=True, slots=True)
class MixturePart:
    """One normal of a mixture; the weights of a mixture add up to 1."""

    weight: float
    mean: float
    sd: float


def mixture_quantile(probability: float, parts: Sequence[MixturePart]) -> float:
    """The value that the mixture stays below with this probability (0 to 1, exclusive)."""
    z = _score(probability)
    ends = [part.mean + z * part.sd for part in parts if part.weight > 0]
    low, high = min(ends), max(ends)
    if low == high:
        return low
    # At the lowest end every part has at most this probability below it, at the highest at
    # least, so the answer lies between; Newton's step is taken where it stays inside.
    guess = sum(part.weight * (part.mean + z * part.sd) for part in parts)
    for _ in range(80):
        if not low < guess < high:
            guess = (low + high) / 2
        if high - low <= 1e-9 * max(1.0, abs(guess)):
            break
        over, density = -probability, 0.0
        for part in parts:
            score = (guess - part.mean) / part.sd
            over += part.weight * math.erfc(-score / _ROOT_2) / 2
            density += part.weight * math.exp(-score * score / 2) / part.sd
        density /= math.sqrt(2 * math.pi)
        low, high = (low, guess) if over > 0 else (guess, high)
        step = over / density if density > 0 else math.inf
        if abs(step) < 1e-9 * max(1.0, abs(guess)):
            break
        guess -= step
    return min(max(guess, low), high)


@lru_cache(maxsize=64)
def _score(probability: float) -> float:
    """The standard score that a normal stays below with this probability; few are asked for."""
    return _STANDARD.inv_cdf(probability)


def mixture_z(value: float, parts: Sequence[MixturePart]) -> float:
    """How odd a value is, as the standard score of a normal with the same tail probability.

    Never capped: far out, where the probability underflows, the leading term of its logarithm
    takes over, so that two absurd values can still be told apart.
    """
    scores = [(part.weight, (value - part.mean) / part.sd) for part in parts if part.weight > 0]
    if len(scores) == 1:
        return scores[0][1]
    below = sum(weight * math.erfc(-z / _ROOT_2) / 2 for weight, z in scores)
    above = sum(weight * math.erfc(z / _ROOT_2) / 2 for weight, z in scores)
    side = -1.0 if below < above else 1.0
    tail = min(below, above, 0.5)
    if tail > _SMALLEST_TAIL:
        return -side * _STANDARD.inv_cdf(tail)
    return side * math.sqrt(min(z * z - 2 * math.log(weight) for weight, z in scores))


def two_sided_z(probability: float) -> float:
    """The standard score that is exceeded, on either side, with this probability."""
    return -_STANDARD.inv_cdf(max(probability, _SMALLEST_TAIL) / 2)


def chi_square_tail(value: float, dof: int) -> float:
    """Probability that a chi-square variable with whole ``dof`` >= 1 exceeds ``value``.

    Closed form (Abramowitz and Stegun 26.4.4 and 26.4.5, from memory).
    """
    if value <= 0:
        return 1.0
    half = value / 2
    odd = dof % 2
    start = math.erfc(math.sqrt(half)) if odd else 0.0
    powers = [k + odd / 2 for k in range(dof // 2)]
    rest = sum(math.exp(p * math.log(half) - half - math.lgamma(p + 1)) for p in powers)
    return min(1.0, start + rest)
