"""How long the check after every key takes: ``python -m tests.benchmarks.bench_check``.

A tree of 300 questions with routes, sub-conditions and advice, of which one letter is changed each
time, as whoever edits it does. Ratios can be compared between machines: to the C parser of YAML
reading the same text, which no check can do without. Processor time, so that neighbours do not
count.
"""

from __future__ import annotations

import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import yaml

from consult.tree import check, constant, figures, idle, spoken
from consult.tree.check import check_tree

_CACHES = (
    check._parsed,
    check._makes_sense,
    constant._verdicts,
    figures._parting,
    spoken._sentences,
    idle._losing,
)


def tree(questions: int, mark: int) -> str:
    """A generated tree; ``mark`` makes each text another."""
    lines = ["tree: big", f"title: T{mark}", "version: 1", "first: q0", "questions:"]
    for number in range(questions):
        go = f"q{number + 1}" if number < questions - 1 else "end"
        lines += [
            f"  q{number}:",
            f"    ask: What is the number {number} of this thing, please?",
            "    coach: >-",
            "      Sit upright and measure it twice.",
            "      Then say it back.",
            f"    called: [short {number} a]",
        ]
        if number % 3 == 0:
            lines += ["    answer: length", "    unit: cm", "    expect: 30 to 90", "    next:"]
            lines += [
                f"      - when: q{number} < 50",
                f"        go: {go}",
                f"      - otherwise: {go}",
            ]
        elif number % 3 == 1:
            lines += ["    answer: choices", "    choices:", "      none: Nowhere"]
            lines += [
                "      neck: Neck",
                "      back: Back",
                "    exclusive: none",
                f"    next: {go}",
            ]
        else:
            lines += ["    answer: yes-no", f"    next: {go}"]
            lines += [f"    skip_when: not q{number - 1} == none and q{number - 2} > 40"]
    lines.append("advice:")
    for number in range(0, questions - 2, 3):
        lines += [
            f"  - name: a{number}",
            "    topic: t",
            f"    when: q{number} > 40 and neck in q{number + 1} or q{number + 2}",
            "    say: Do that, and this too.",
            "    because: It is better for you so.",
            "    source: common_practice",
        ]
    return "\n".join(lines)


def best(work: Callable[[], object], before: Callable[[], object] = lambda: None) -> float:
    """Seconds of the quickest of twenty runs."""
    found = []
    for _ in range(20):
        before()
        start = time.process_time()
        work()
        found.append(time.process_time() - start)
    return min(found)


def main() -> None:
    """Print the ratios."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "big.yaml"
        marks = iter(range(1000))

        def edited() -> None:
            path.write_text(tree(300, next(marks)), encoding="utf-8")

        def afresh() -> None:
            edited()
            for cache in _CACHES:
                cache.cache_clear()

        edited()
        assert check_tree(path) == []
        text = path.read_text(encoding="utf-8")
        bound = best(lambda: list(yaml.parse(text, Loader=yaml.CSafeLoader)))
        for name, before in (("after a key", edited), ("for the first time", afresh)):
            took = best(lambda: check_tree(path), before)
            print(f"check, {name:<20}{1000 * took:7.1f}ms {took / bound:6.1f}x YAML")


if __name__ == "__main__":
    main()
