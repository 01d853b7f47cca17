"""How long the content lead waits after a key: ``python -m tests.benchmarks.bench_edit``.

A tree of 300 questions, each with choices, coaching and routes, and 100 rules. Times are the best
of several, in ms, beside their ratio to the bare YAML parser on the same text, which no check of
the whole text can do without.
"""

from __future__ import annotations

import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import yaml

from consult.content.editing.edits import move, set_value
from consult.content.editing.folder import DraftFolder
from consult.marked.marks import LOADER

QUESTIONS = 300
RULES = 100
RUNS = 9


def tree(questions: int = QUESTIONS, rules: int = RULES) -> str:
    """A tree as large as they get."""
    lines = ["tree: big", "title: A big tree", "version: 1", "first: q0", "questions:"]
    for index in range(questions):
        go = f"q{index + 1}" if index + 1 < questions else "end"
        lines += [
            f"  q{index}:",
            f"    ask: Question number {index}, what do you say to it?",
            "    coach: >-",
            "      Sit as you work. Somebody else holds the tape, or put a flat hand beside the",
            "      thigh. Measure from the floor to the top of the seat, at its front edge.",
            f"    called: [name {index} a, name {index} b]",
            "    answer: choice",
            "    choices:",
            "      one: The first of them",
            "      two: The second of them",
            "      three: Neither of the two",
            "    next:",
            f"      - when: q{index} == one and not known(q{index // 2})",
            f"        go: {go}",
            f"      - otherwise: {go}",
            "",
        ]
    lines.append("advice:")
    for index in range(rules):
        lines += [
            f"  - name: rule_{index}",
            "    topic: seat",
            f"    when: q{index} == one or q{index + 100} == two",
            f"    say: Set it as you said, <q{index}>.",
            "    because: It is as good as any other.",
            "    source: common_practice",
        ]
    return "\n".join(lines) + "\n"


def best(run: Callable[[int], object]) -> float:
    """The quickest of several runs, in ms; each is told its number."""
    times = []
    for number in range(RUNS):
        start = time.perf_counter()
        run(number)
        times.append((time.perf_counter() - start) * 1000)
    return min(times)


def main() -> None:
    """Print one line for each thing that is waited for."""
    with tempfile.TemporaryDirectory() as name:
        path = Path(name) / "trees"
        path.mkdir()
        text = tree()
        (path / "big.yaml").write_text(text, "utf-8")
        folder = DraftFolder.open(path)
        first = time.perf_counter()
        found = folder.problems()
        told = (time.perf_counter() - first) * 1000
        bare = best(lambda _: list(yaml.parse(text, Loader=LOADER)))

        def key(number: int) -> None:
            new = text.replace("to it?", f"to it {number}?", 1)
            folder.edit("big.yaml", new, "typing", goes_on=True)

        def checked(number: int) -> None:
            key(number)
            folder.problems()

        def slip(number: int) -> None:
            new = text.replace("answer: choice", f"answr{number}: choice", 1)
            folder.edit("big.yaml", new, "typing", goes_on=True)
            folder.problems()

        steps = ("questions", "q150", "coach")
        rows = {
            "bare parse of the text": bare,
            "a key, kept safe on disk": best(key),
            "a key and the whole check": best(checked),
            "a slip and the whole check": best(slip),
            "a value set in the form": best(lambda n: set_value(text, steps, f"New {n}.")),
            "a question moved": best(lambda n: move(text, ("questions", "q150"), n + 1)),
        }
        print(f"{len(text) // 1000} kB, {QUESTIONS} questions, {len(found)} problems")
        print(f"{'first check of all':30}{told:8.0f} ms")
        for said, took in rows.items():
            print(f"{said:30}{took:8.1f} ms {took / bare:6.1f} times a bare parse")


if __name__ == "__main__":
    main()
