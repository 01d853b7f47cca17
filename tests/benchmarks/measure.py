"""What a benchmark measures: work beside a named reference, in turn in the same run.

Milliseconds of one machine say little on another, and on a busy one little at all. So work and
reference take turns, each round gives one ratio, and a figure is the median of those with their
quartiles. Work inside the process is timed by the processor, so that neighbours do not count; what
waits for a disk, a screen or another process is timed by the clock.
"""

from __future__ import annotations

import gc
import math
import statistics
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

Work = Callable[[], object]
Clock = Callable[[], float]

LEAST = 0.002
"""Seconds that a sample takes at least: quicker work is done several times in one."""


@dataclass(frozen=True, slots=True)
class Size:
    """How much is measured."""

    rounds: int = 15
    few: int = 5
    """Rounds of what takes long."""
    questions: tuple[int, ...] = (30, 300, 3_000)
    chairs: tuple[int, ...] = (5_000, 20_000, 100_000)
    callers: int = 60
    answers: int = 150
    calls: int = 100_000
    writers: int = 20
    """Desks that write at once."""
    documents: int = 1_000
    """Of each form in a batch."""
    windows: tuple[tuple[int, int], ...] = ((80, 24), (120, 40), (200, 60))
    grown: tuple[int, ...] = (1, 10, 100)
    prove: bool = True
    check_all: bool = True
    """Whether everything is checked, which takes long."""
    junit: Path | None = None
    """What pytest wrote of a run of the tests; and words of pytest, to run them now."""
    tests: str = ""


FULL = Size()
QUICK = Size(
    rounds=5,
    few=2,
    questions=(30, 300),
    chairs=(5_000,),
    callers=5,
    answers=40,
    calls=2_000,
    documents=12,
    windows=((120, 40),),
    grown=(1, 10),
    prove=False,
    check_all=False,
)


@dataclass(frozen=True, slots=True)
class Figure:
    """One thing measured; times in seconds."""

    family: str
    name: str
    reference: str
    ratio: float
    low: float
    """The lower quartile of the ratios, and the upper one."""
    high: float
    median: float
    p95: float
    of_reference: float
    """The median of the reference."""
    rounds: int
    note: str = ""

    @property
    def key(self) -> str:
        """What it is called in a file of figures."""
        return f"{self.family}: {self.name}"

    def line(self) -> str:
        """As it is printed."""
        times = f"{_ms(self.median):>11} p95 {_ms(self.p95):>10}"
        ratio = f"{_short(self.ratio)}x ({_short(self.low)}-{_short(self.high)})"
        note = f"  {self.note}" if self.note else ""
        return f"{self.name:<52}{ratio:>22} {self.reference:<30}{times}{note}"


@dataclass(slots=True)
class Family:
    """What a file of benchmarks measures of one matter."""

    name: str
    size: Size
    figures: list[Figure] = field(default_factory=list)

    def add(
        self,
        name: str,
        work: Sequence[float],
        reference: str,
        of_reference: Sequence[float],
        note: str = "",
    ) -> None:
        """Take in samples, s, that were measured in turn; neither may be empty."""
        pairs = zip(work, of_reference, strict=False)
        ratios = sorted(one / max(other, 1e-9) for one, other in pairs)
        base = statistics.median(of_reference)
        figure = Figure(
            self.name,
            name,
            reference,
            statistics.median(ratios),
            quantile(ratios, 0.25),
            quantile(ratios, 0.75),
            statistics.median(work),
            quantile(work, 0.95),
            base,
            len(work),
            note,
        )
        self.figures.append(figure)
        print(figure.line(), flush=True)

    def against(
        self,
        reference: str,
        bare: Work,
        works: Mapping[str, Work],
        *,
        rounds: int = 0,
        clock: Clock = time.process_time,
        before: Callable[[str], object] = lambda _: None,
        notes: dict[str, str] | None = None,
    ) -> None:
        """Each work beside the reference, all in turn; ``before`` is told each name, untimed."""
        every = {reference: bare, **works}
        often = {name: _often(work, clock, lambda name=name: before(name))  # type: ignore[misc]
                 for name, work in every.items()}  # fmt: skip
        took: dict[str, list[float]] = {name: [] for name in every}
        for _ in range(rounds or self.size.rounds):
            for name, work in every.items():
                before(name)
                took[name].append(_sample(work, often[name], clock))
        for name in works:
            note = (notes or {}).get(name, "")
            self.add(name, took[name], reference, took[reference], note)


def _often(work: Work, clock: Clock, before: Work) -> int:
    """How many times in one sample; the first, which fills what is kept, does not count."""
    before()
    took = _sample(work, 1, clock)
    if took < LEAST:
        before()
        took = _sample(work, 1, clock)
    return 1 if took >= LEAST else min(math.ceil(LEAST / max(took, 1e-7)), 10_000)


def _sample(work: Work, often: int, clock: Clock) -> float:
    """Seconds that it takes once; the collector of rubbish waits meanwhile."""
    collects = gc.isenabled()
    gc.disable()
    try:
        start = clock()
        for _ in range(often):
            work()
        return (clock() - start) / often
    finally:
        if collects:
            gc.enable()


def quantile(found: Sequence[float], share: float) -> float:
    """The value that this share of them do not pass."""
    ordered = sorted(found)
    return ordered[min(round(share * (len(ordered) - 1)), len(ordered) - 1)]


def order_of(sizes: Sequence[int], took: Sequence[float]) -> float:
    """How time grows with size: 1 is linear, 2 is quadratic; by the largest two sizes."""
    (small, large), (quick, slow) = sizes[-2:], took[-2:]
    return math.log(slow / quick) / math.log(large / small)


def python_steps() -> int:
    """A reference of pure Python: 100,000 additions."""
    total = 0
    for step in range(100_000):
        total += step
    return total


STEPS = "100,000 steps of Python"


def _ms(seconds: float) -> str:
    return f"{1000 * seconds:.4g} ms" if seconds >= 1e-4 else f"{1e6 * seconds:.3g} µs"


def _short(ratio: float) -> str:
    return f"{ratio:.3g}" if ratio < 1000 else f"{ratio:,.0f}"
