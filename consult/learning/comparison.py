"""How sure a maker's own calls are about a value: bands, intervals, proposals."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

EDGES = (0.0, 0.5, 0.7, 0.8, 0.9, 0.95, 1.0)
"""Of the bands of stated odds; the last one is whole."""
FEW = 5
"""Fewer calls than this are never counted apart, because they point at people."""


@dataclass(frozen=True, slots=True)
class OddsBand:
    """Calls that ended with about the same odds; all shares from 0 to 1."""

    low: float
    high: float
    calls: int
    """Those of which it is known whether the chair fits and holds."""
    came_true: int
    stated: float
    """Mean of the odds stated."""

    @property
    def observed(self) -> float:
        """Share of chairs that fit and hold."""
        return self.came_true / self.calls

    @property
    def interval(self) -> tuple[float, float]:
        """Where the true share may lie, 95 of 100 times."""
        return share_interval(self.came_true, self.calls)

    @property
    def off(self) -> bool:
        """Whether the odds stated lie outside the interval."""
        low, high = self.interval
        return not low <= self.stated <= high


def bands_of(calls: Iterable[tuple[float, bool]]) -> tuple[OddsBand, ...]:
    """Stated odds and whether they came true, as bands of which none points at people.

    A band is joined with the next lower one until five chairs or more came true in it, and none or
    five or more did not; what is left over at the lower end joins the band above it. Empty where
    not even all calls together are enough.
    """
    sorted_in: list[list[tuple[float, bool]]] = [[] for _ in EDGES[1:]]
    for stated, true in calls:
        place = sum(edge <= stated for edge in EDGES[1:-1])
        sorted_in[place].append((stated, true))
    bands: list[tuple[float, float, list[tuple[float, bool]]]] = []
    waiting: list[tuple[float, bool]] = []
    top = EDGES[-1]
    for place in reversed(range(len(sorted_in))):
        waiting = sorted_in[place] + waiting
        if _is_shown(waiting):
            bands.append((EDGES[place], top, waiting))
            waiting, top = [], EDGES[place]
    while waiting and bands and not _is_shown(waiting):
        _, top, above = bands.pop()
        waiting = waiting + above
    if _is_shown(waiting):
        bands.append((EDGES[0], top, waiting))
    return tuple(_band(low, high, inside) for low, high, inside in reversed(bands))


def _is_shown(calls: Sequence[tuple[float, bool]]) -> bool:
    true = sum(came for _, came in calls)
    false = len(calls) - true
    return true >= FEW and (false == 0 or false >= FEW)


def _band(low: float, high: float, calls: Sequence[tuple[float, bool]]) -> OddsBand:
    stated = sum(odds for odds, _ in calls) / len(calls)
    return OddsBand(low, high, len(calls), sum(came for _, came in calls), stated)


# -- intervals ------------------------------------------------------------------------------------
# Exact intervals and tail probabilities for small numbers, from the incomplete beta function.

LEVEL = 0.95
"""Share of such intervals that contain the true share."""
_TINY = 1e-300


def beta_share(x: float, a: float, b: float) -> float:
    """The regularised incomplete beta function I_x(a, b), by its continued fraction (DLMF 8.17.22).

    ``x`` from 0 to 1; ``a`` and ``b`` above 0.
    """
    if x <= 0 or x >= 1:
        return 0.0 if x <= 0 else 1.0
    if x > (a + 1) / (a + b + 2):
        return 1 - beta_share(1 - x, b, a)
    c, d = 1.0, 1 / _not_zero(1 - (a + b) * x / (a + 1))
    fraction = d
    for m in range(1, 10_000):
        even = m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m))
        odd = -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1))
        for term in (even, odd):
            d = 1 / _not_zero(1 + term * d)
            c = _not_zero(1 + term / c)
            fraction *= c * d
        if abs(c * d - 1) < 1e-14:
            break
    front = math.lgamma(a + b) - math.lgamma(a) - math.lgamma(b)
    return math.exp(front + a * math.log(x) + b * math.log1p(-x)) * fraction / a


def _not_zero(value: float) -> float:
    return value if abs(value) > _TINY else _TINY


def share_interval(count: int, of: int) -> tuple[float, float]:
    """The exact (Clopper-Pearson) interval of a share, 0 to 1; all of it where ``of`` is 0."""
    beyond = (1 - LEVEL) / 2
    low = _solved(lambda p: beta_share(p, count, of - count + 1), beyond) if count else 0.0
    high = (
        _solved(lambda p: beta_share(p, count + 1, of - count), 1 - beyond) if of > count else 1.0
    )
    return low, high


def _solved(rising: Callable[[float], float], value: float) -> float:
    low, high = 0.0, 1.0
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if rising(middle) < value else (low, middle)
    return (low + high) / 2


def as_often(failed: int, count: int, share: float) -> float:
    """How likely so many, or so few, are by chance, where the true share (0 to 1) is known."""
    at_least = beta_share(share, failed, count - failed + 1) if failed else 1.0
    at_most = 1 - beta_share(share, failed + 1, count - failed) if failed < count else 1.0
    return min(1.0, 2 * min(at_least, at_most))


def t_beyond(t: float, degrees: float) -> float:
    """How likely a Student's t of so many degrees of freedom is as far from 0, either way."""
    return beta_share(degrees / (degrees + t * t), degrees / 2, 0.5)


def chi_square_beyond(value: float, degrees: int) -> float:
    """How likely a chi-square of so many degrees of freedom is as far out, twice the smaller tail.

    The incomplete gamma function, from a half or one on in steps of one (DLMF 8.4.5, 8.4.6, 8.8.6).
    """
    x = value / 2
    if x <= 0:
        return 0.0
    above = math.erfc(math.sqrt(x)) if degrees % 2 else math.exp(-x)
    for twice in range(2 - degrees % 2, degrees - 1, 2):
        above += math.exp(twice / 2 * math.log(x) - x - math.lgamma(twice / 2 + 1))
    return 2 * max(0.0, min(above, 1 - above))


def more_than_others(count: int, of: int, other_count: int, others: int) -> float:
    """How likely so many or more fall into the first group by chance (Fisher's exact test).

    ``count`` of ``of`` in the first group, ``other_count`` of ``others`` in the second.
    """
    total = count + other_count
    whole = _choose(of + others, total)
    tail = 0.0
    for k in range(count, min(of, total) + 1):
        if total - k <= others:
            tail += math.exp(_choose(of, k) + _choose(others, total - k) - whole)
    return min(1.0, tail)


def _choose(n: int, k: int) -> float:
    """Logarithm of the number of ways to take ``k`` of ``n``."""
    return math.lgamma(n + 1) - math.lgamma(k + 1) - math.lgamma(n - k + 1)


# -- proposals: values that calls should use instead, from what the maker's own calls show --------

_KINDS = ("time", "share", "error", "mean", "fault")
"""What is learned, by the beginning of the names; each may spend the same part of a look."""
SHIPPED_COUNTS = 20
"""Observations that the shipped value counts as (assumed): own ones outweigh it from there on."""


def shrunk(shipped: float, own: float, count: int, counts: int = SHIPPED_COUNTS) -> float:
    """The mean of ``count`` own observations, drawn towards the value shipped."""
    return (counts * shipped + count * own) / (counts + count)


@dataclass(frozen=True, slots=True)
class Comparison:
    """One value held against own calls; its unit goes by its name (``tree.learned.Accepted``)."""

    name: str
    chance: float
    """Of a difference as large as this if there is none."""
    shipped: float
    now: float
    """What calls use."""
    value: float
    """What they should use."""
    count: int
    """Observations."""
    matters: bool
    """Whether the difference is large enough to be worth a change."""


@dataclass(frozen=True, slots=True)
class Proposals:
    """What one look at past calls comes to."""

    look: Look
    tested: int
    """How many values were held against calls."""
    found: tuple[Comparison, ...]
    """Those to propose, by name."""


def proposals(look: Look, tested: Iterable[Comparison]) -> Proposals:
    """The values that differ by more than chance and by enough to matter.

    Everything of a kind that is tested at one look must be given together: they share what the
    look may spend on that kind.
    """
    every = {comparison.name: comparison for comparison in tested}
    sure: set[str] = set()
    for kind in _KINDS:
        own = {
            name: comparison.chance for name, comparison in every.items() if kind_of(name) == kind
        }
        sure |= holm(own, look.alpha / len(_KINDS))
    comparisons = tuple(every[name] for name in sorted(sure) if every[name].matters)
    return Proposals(look, len(every), comparisons)


def kind_of(name: str) -> str:
    """What a name is of: time, share, error, mean or fault."""
    return name.partition(".")[0]


# -- when past calls are looked at, and how sure a proposal must be, so that few are false --------
# Looking after every call would find a difference by chance sooner or later. Calls are looked at
# when there are 50, 100, 200, 400 and so on, always the first so many, or the latest of them.
# Look ``k`` may spend 1 / (k (k + 1)) of ``WRONG``, which adds up to ``WRONG`` over all looks.
# Every kind of value gets an equal part of it, and Holm's correction shares that among
# everything tested of the kind. So 19 of 20 makers without any difference never see a false
# proposal.

FIRST = 50
"""Calls at the first look."""
LATEST = 12_800
"""Of the calls of a look, the latest so many are read: callers may change with the years."""
WRONG_CHAIR = 0.05
"""Share of makers without any difference who may ever see a proposal."""


@dataclass(frozen=True, slots=True)
class Look:
    """One look at past calls."""

    number: int
    """1 for the first."""
    calls: int
    """How many calls it looks at."""
    alpha: float
    """Chance of a false proposal that it may spend."""


def look_at(calls: int) -> Look | None:
    """The last look that so many calls allow; None before the first."""
    number = (calls // FIRST).bit_length()
    if number == 0:
        return None
    return Look(number, FIRST << (number - 1), WRONG_CHAIR / (number * (number + 1)))


def holm(chances: Mapping[str, float], alpha: float) -> frozenset[str]:
    """The names whose chance of coming about without a difference is small enough.

    Of all that have no difference, one or more is named with a chance of ``alpha`` at most.
    """
    ordered = sorted(chances, key=lambda name: chances[name])
    for place, name in enumerate(ordered):
        if chances[name] > alpha / (len(ordered) - place):
            return frozenset(ordered[:place])
    return frozenset(ordered)
