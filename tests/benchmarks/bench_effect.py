"""How long the effect of an edit takes: print, never assert.

    python -m tests.benchmarks.bench_effect [callers]

Where the edit touches nothing that a chair is made from, no chair is chosen; where the range is
another, one is chosen for every caller in both trees.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from dataclasses import replace

from consult.call.basis import Basis
from consult.content.callers import CallerSource, drawn, led, led_state, load_shares
from consult.content.effect import effect
from consult.paths import trees_folder
from tests.call.calls import TODAY, seating


def seconds(run: Callable[[], object]) -> tuple[float, float]:
    """How long it takes once, by the clock and of this process alone."""
    start, worked = time.perf_counter(), time.process_time()
    run()
    return time.perf_counter() - start, time.process_time() - worked


def without_a_caution(basis: Basis) -> Basis:
    """An edit that touches no chair."""
    return replace(basis, tree=replace(basis.tree, cautions=basis.tree.cautions[1:]))


def without_a_seat(basis: Basis) -> Basis:
    """An edit that touches every chair."""
    assert basis.range is not None
    parts = dict(basis.range.parts)
    parts["seat"] = parts["seat"][1:]
    return replace(basis, range=replace(basis.range, parts=parts))


def main() -> None:
    """Print a line for each step."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 500
    shares, problems = load_shares(trees_folder() / "callers.yaml")
    assert shares is not None, problems
    basis = seating()
    source = CallerSource(shares, basis.population, 1, TODAY)
    people = drawn(source, count)
    led_state(basis, source, 1)
    print(f"{count} callers")
    steps: dict[str, Callable[[], object]] = {
        "drawn": lambda: drawn(source, count),
        "led": lambda: [led(basis, source, one.number) for one in people],
        "effect, no chair touched": lambda: effect(basis, without_a_caution(basis), people, []),
        "effect, every chair touched": lambda: effect(basis, without_a_seat(basis), people, []),
    }
    for name, run in steps.items():
        took, worked = seconds(run)
        each = 1000 * worked / count
        print(f"{name:30}{took:8.2f} s{worked:8.2f} s of work{each:8.2f} ms each")


if __name__ == "__main__":
    main()
