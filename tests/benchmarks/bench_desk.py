"""Key press to updated screen, and cold start, in a real terminal of its own.

``python -m tests.benchmarks.bench_desk [120x40]``. A key is measured from its write to the terminal
to the end of what the program draws first (the next question, with the set-up) and last (the chair,
chosen beside the call). Ratios are to an echo by ``cat`` in the same kind of terminal, and to an
empty Python process; milliseconds stand beside them.
"""

from __future__ import annotations

import os
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from tests.benchmarks.terminal import Terminal

CALL = [
    *("Ada", "1", "feet", "women", "y", "nowhere", "none", "157.5", "measured", "59", "37", "45"),
    *("22", "2.5", "8", "keyboard", "rest", "fixed", "desk", "76", "2.5", "clear", "nothing"),
    *("hard", "one", "none", "nobody", "?", "?", "?", "?", "in 2 weeks"),
]
"""A whole call, so that the chair is chosen again after most answers."""


def spread(seconds: list[float]) -> str:
    """Median and 95th percentile, in ms."""
    ordered = sorted(seconds)
    high = ordered[min(len(ordered) - 1, round(0.95 * (len(ordered) - 1)))]
    return f"median {1000 * statistics.median(ordered):6.1f} ms   p95 {1000 * high:6.1f} ms"


def echo() -> float:
    """Seconds for a key to come back from ``cat``, median of fifty."""
    with Terminal(["cat"], 80, 24) as bare:
        return statistics.median(bare.key("x")[0] for _ in range(30))


def python() -> float:
    """Seconds for a Python that does nothing, the best of five."""
    found = []
    for _ in range(5):
        start = time.perf_counter()
        subprocess.run([sys.executable, "-I", "-c", ""], check=True)
        found.append(time.perf_counter() - start)
    return min(found)


_PHASES = """
import time; start = time.perf_counter()
import {module}
print("{label:<34}", f"{{1000 * (time.perf_counter() - start):7.0f}} ms")
"""


def phases() -> None:
    """Where a cold start spends its time, each part in a process of its own."""
    for module, label in (
        ("textual.app", "import textual"),
        ("consult.ui.app", "import the desk, textual with it"),
        ("numpy", "import numpy"),
        ("jsonschema", "import jsonschema"),
        ("sqlalchemy", "import sqlalchemy"),
    ):
        subprocess.run(
            [sys.executable, "-c", _PHASES.format(module=module, label=f"  {label}")], check=True
        )
    load = (
        "import time; from consult.call.basis import load_basis; "
        "from consult.paths import default_tree; start = time.perf_counter(); "
        "load_basis(default_tree()); "
        "print(f'  {\"read tree, contacts and range\":<34}', "
        "f'{1000 * (time.perf_counter() - start):7.0f} ms')"
    )
    subprocess.run([sys.executable, "-c", load], check=True)


def main() -> None:
    """Print the figures."""
    width, height = map(int, (sys.argv[1] if len(sys.argv) > 1 else "120x40").split("x"))
    program = shutil.which("consult") or str(Path(sys.executable).with_name("consult"))
    base, empty = echo(), python()
    with tempfile.TemporaryDirectory() as folder:
        os.environ["CONSULT_RECORDS"] = f"{folder}/records.db"
        # As installed: what was compiled once is kept.
        os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
        starts: list[float] = []
        letters, answers, chairs = [], [], []
        for run in range(5):
            start = time.perf_counter()
            with Terminal([program], width, height) as desk:
                desk.wait_for("speaking")
                starts.append(time.perf_counter() - start)
                desk.settle()
                if run:
                    continue
                for said in CALL:
                    letters += [desk.key(letter)[0] for letter in said]
                    question, chair = desk.key("\r")
                    answers.append(question)
                    chairs.append(chair)
                    desk.settle()
    print(f"{width}x{height}")
    print(f"a letter typed     {spread(letters)}   {statistics.median(letters) / base:6.1f}x echo")
    print(f"an answer taken    {spread(answers)}   {statistics.median(answers) / base:6.1f}x echo")
    print(f"its chair shown    {spread(chairs)}   {statistics.median(chairs) / base:6.1f}x echo")
    print(f"cold start         {spread(starts)}   {min(starts) / empty:6.1f}x empty python")
    print("of a cold start:")
    phases()


if __name__ == "__main__":
    main()
