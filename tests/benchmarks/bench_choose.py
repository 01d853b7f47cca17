"""How long choosing takes, beside the least that NumPy needs to do the same: print, never assert.

    python -m tests.benchmarks.bench_choose

The lower bound holds every distinct reach of the range against every body once and adds up, for
each chair, bits that are packed already; it ranks, tells and explains nothing.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import replace
from functools import partial
from pathlib import Path

import numpy as np

from consult.body.estimate import Estimate, estimate
from consult.body.population import load_population
from consult.fit.ask_next import ask_next
from consult.fit.choose import choose
from consult.fit.range_file import load_range
from consult.fit.range_model import Range
from consult.fit.ranking import weigh
from consult.fit.request import FitRequest
from consult.fit.workplace import Desk, Workplace
from tests.fit.slow_choose import part, range_of

DEMO = Path(__file__).parents[2] / "trees" / "range.yaml"
PLACE = Workplace(Desk("fixed", 720.0, 25.0))


def large_range() -> Range:
    """A made-up range of 20,736 chairs with two footrests, hardly two with the same numbers."""
    parts = []
    for at in range(12):
        depth = (380.0 + 5 * at, 430.0 + 6 * at)
        seat = {"depth": depth, "width": 430.0 + 9 * at, "compression": 1.5 * at}
        parts.append(part("seat", f"SEAT-{at}", price=100.0 + at, rating=140.0 + at, **seat))
        reach = (380.0 + 9 * at, 460.0 + 12 * at)
        parts.append(part("gas_lift", f"LIFT-{at}", seat_height=reach, stated="unloaded"))
        height = (170.0 + 3 * at, 240.0 + 4 * at)
        parts.append(part("arms", f"ARMS-{at}", height=height, stated="unloaded"))
    for at in range(4):
        parts.append(part("castors", f"CAST-{at}", adds=4.0 * at))
    for at in range(3):
        parts.append(part("back", f"BACK-{at}", rating=142.0 + 4 * at))
    parts += [part("footrest", "REST-LOW", height=(40.0, 110.0)), part("footrest", "REST-HIGH")]
    return range_of(*parts)


def lower_bound(range_: Range, who: Estimate) -> Callable[[], object]:
    """The arithmetic alone, on arrays laid out beforehand."""
    weighed = weigh(FitRequest(range_, who, PLACE, n=2000, seed=1))
    chairs, rests = weighed.chairs, len(weighed.rests) + 1
    low, high = np.full(2000, 400.0), np.full(2000, 450.0)
    reaches = np.concatenate([*[chairs.heights] * rests, chairs.seats[:, :2], chairs.arms[:, :2]])
    masks, sets = weighed.masks, weighed.sets

    def run() -> object:
        np.packbits((reaches[:, :1] <= high) & (reaches[:, 1:] >= low), axis=1)
        rest = masks.seats[chairs.seat_of[sets]] & masks.arms[chairs.arms_of[sets]]
        bits = masks.heights[chairs.height_of[sets]] & rest[:, None]
        return np.bitwise_count(bits).sum(axis=2)

    return run


def best_of(run: Callable[[], object], times: int) -> float:
    """Milliseconds of the quickest run."""
    run()
    found = []
    for _ in range(times):
        start = time.perf_counter()
        run()
        found.append(time.perf_counter() - start)
    return 1000 * min(found)


def _choose(request: FitRequest) -> object:
    return choose(replace(request, kept={}))


def main() -> None:
    """Print a line for each range and state of knowledge."""
    people = load_population()
    demo, _ = load_range(DEMO)
    assert demo is not None
    little = estimate(people, [], None)
    more = [people.measure("stature", 1700.0), people.measure("popliteal_height", 410.0)]
    some = estimate(people, more, "female")
    print(f"{'':34}{'choose':>10}{'bound':>10}{'ratio':>8}{'ask next':>10}{'together':>10}")
    for name, range_, times in (("demo", demo, 30), ("20,736 chairs", large_range(), 4)):
        for known, who in (("nothing known", little), ("two measures, sex", some)):
            bound = best_of(lower_bound(range_, who), times)
            request = FitRequest(range_, who, PLACE)
            # A request keeps what was worked out of it, so each run takes a fresh one.
            chosen = best_of(partial(_choose, request), times)
            asked = best_of(partial(ask_next, request, people), times)
            print(
                f"{name + ', ' + known:34}{chosen:8.1f}ms{bound:8.2f}ms{chosen / bound:7.1f}x"
                f"{asked:8.1f}ms{chosen + asked:8.1f}ms"
            )


if __name__ == "__main__":
    main()
