"""The test suite itself: from what pytest wrote of a run, or run now; never inside by default."""

from __future__ import annotations

import shlex
import subprocess
import sys
import time
from pathlib import Path
from xml.etree import ElementTree

from tests.benchmarks.measure import STEPS, Family, Size, python_steps
from tests.benchmarks.starts import children_used


def suite(size: Size) -> Family:
    """How long the tests take beside plain Python."""
    family = Family("suite", size)
    if size.tests:
        _run(family, shlex.split(size.tests))
    if size.junit:
        _read(family, size.junit)
    if not size.tests and not size.junit:
        print("  not measured: give --tests 'WORDS OF PYTEST', or --junit FILE of a run")
    return family


def _run(family: Family, words: list[str]) -> None:
    """Run tests, plain Python before and after them: the processor's time, and the clock's."""
    steps, used, began = [_steps()], children_used(), time.perf_counter()
    done = subprocess.run([sys.executable, "-m", "pytest", "-q", *words], check=False)
    wall, cpu = time.perf_counter() - began, children_used() - used
    steps.append(_steps())
    note = "" if done.returncode == 0 else f"pytest ended with {done.returncode}"
    said = " ".join(words)
    family.add(f"processor, {said}", [cpu], STEPS, [sum(steps) / 2], note)
    family.add(f"clock, {said}", [wall], STEPS, [sum(steps) / 2], note)


def _read(family: Family, junit: Path) -> None:
    """Times of another run, so the ratio is only as good as the machine is the same."""
    (run,) = ElementTree.parse(junit).getroot().iter("testsuite")
    tests = [float(one.get("time", 0)) for one in run.iter("testcase")]
    note = f"{len(tests)} tests of {run.get('timestamp', 'another day')}"
    steps = [_steps()]
    family.add("clock, the whole run", [float(run.get("time", 0))], STEPS, steps, note)
    family.add("clock, all its tests one by one", [sum(tests)], STEPS, steps, note)


def _steps() -> float:
    took = []
    for _ in range(9):
        start = time.process_time()
        python_steps()
        took.append(time.process_time() - start)
    return sorted(took)[4]
