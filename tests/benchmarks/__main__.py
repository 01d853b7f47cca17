"""``python -m tests.benchmarks``: how fast the program is, as ratios to what everybody has.

    python -m tests.benchmarks [FAMILY ...] [--quick] [--json FILE] [--compare FILE]

Prints, never asserts. Exit code 1 where, beside the figures of an earlier run, something became
slower, or where an answer typed at the desk was refused.
"""

from __future__ import annotations

import argparse
import json
import os
import platform
import sys
import time
from collections.abc import Callable, Sequence
from dataclasses import asdict, fields, replace
from importlib import import_module
from importlib.metadata import version
from pathlib import Path
from statistics import median
from typing import Any

from tests.benchmarks.measure import FULL, QUICK, Family, Figure, Size

FAMILIES = {
    "starts": "starts",
    "screens": "desk",
    "desk": "desk",
    "conditions": "trees",
    "trees": "trees",
    "bodies": "bodies",
    "chairs": "chairs",
    "callers": "callers",
    "proof": "callers",
    "publish": "callers",
    "records": "records",
    "papers": "papers",
    "growth": "growth",
    "suite": "suite",
}
"""Family -> the module that measures it with a function of that name."""
_SURE = 1.1
"""A ratio must have grown by a tenth, and beyond the quartiles of both runs."""


def machine() -> dict[str, Any]:
    """What the figures were measured on."""
    libraries = ("textual", "numpy", "PyYAML", "SQLAlchemy", "fpdf2")
    return {
        "python": platform.python_version(),
        "system": platform.platform(),
        "processor": _processor(),
        "cores": os.cpu_count(),
        "load": round(os.getloadavg()[0], 2),
        "libraries": {name: version(name) for name in libraries},
    }


def after_a_rest() -> float:
    """How many times as long a walk over small objects takes after a rest of 0.4 seconds.

    Beyond 2 the machine takes memory from programs that rest, as rented ones do: what comes after
    a pause, such as the answer to a question, then says more of the machine than of the program.
    """
    objects = [[number] for number in range(300_000)]

    def walk(rest: float) -> float:
        time.sleep(rest)
        start = time.perf_counter()
        sum(one[0] for one in objects)
        return time.perf_counter() - start

    warm, rested = ([walk(rest) for _ in range(5)] for rest in (0.0, 0.4))
    return median(rested) / median(warm)


def _processor() -> str:
    try:
        lines = Path("/proc/cpuinfo").read_text(encoding="utf-8").splitlines()
    except OSError:
        return platform.processor()
    return next((one.split(":")[1].strip() for one in lines if "model name" in one), "")


def slower(before: Sequence[Figure], now: Sequence[Figure]) -> list[str]:
    """What has become slower for certain, and what quicker, in words; slower first."""
    known = {one.key: one for one in before}
    worse, better = [], []
    for one in now:
        was = known.get(one.key)
        if was is None or was.reference != one.reference:
            continue
        change = f"{one.key}: {was.ratio:.3g}x -> {one.ratio:.3g}x {one.reference}"
        if one.ratio > _SURE * was.ratio and one.low > was.high:
            worse.append(f"slower   {change}")
        elif was.ratio > _SURE * one.ratio and was.low > one.high:
            better.append(f"quicker  {change}")
    return [*worse, *better]


def read_figures(file: Path) -> list[Figure]:
    """The figures of an earlier run."""
    names = {one.name for one in fields(Figure)}
    found = json.loads(file.read_text(encoding="utf-8"))["figures"]
    return [Figure(**{name: one[name] for name in names}) for one in found]


def measured(names: Sequence[str], size: Size) -> list[Figure]:
    """Measure these families, and print each figure as it comes."""
    figures: list[Figure] = []
    for name in names:
        work: Callable[[Size], Family] = getattr(
            import_module(f"tests.benchmarks.{FAMILIES[name]}"), name
        )
        start = time.perf_counter()
        print(f"\n{name}", flush=True)
        figures += work(size).figures
        print(f"  {time.perf_counter() - start:.0f} s, load {os.getloadavg()[0]:.1f}", flush=True)
    return figures


def main(words: Sequence[str] | None = None, size: Size | None = None) -> int:
    """Run what is asked for; ``size`` stands in for that of the options."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks", description=__doc__)
    parser.add_argument("families", nargs="*", metavar="FAMILY", help=", ".join(FAMILIES))
    parser.add_argument("--quick", action="store_true", help="smaller sizes, a few minutes")
    parser.add_argument("--json", type=Path, metavar="FILE", help="write the figures")
    parser.add_argument("--compare", type=Path, metavar="FILE", help="figures of an earlier run")
    parser.add_argument("--junit", type=Path, metavar="FILE", help="suite: of an earlier run")
    parser.add_argument("--tests", default="", metavar="WORDS", help="suite: of pytest, run now")
    options = parser.parse_args(words)
    unknown = [name for name in options.families if name not in FAMILIES]
    if unknown:
        parser.error(f"There is no family '{unknown[0]}'. There are {', '.join(FAMILIES)}.")
    before = read_figures(options.compare) if options.compare else []
    about = machine()
    if size is None:
        about["after_a_rest"] = round(after_a_rest(), 1)
    print(json.dumps(about))
    chosen = size or (QUICK if options.quick else FULL)
    chosen = replace(chosen, junit=options.junit, tests=options.tests)
    figures = measured(options.families or list(FAMILIES), chosen)
    if options.json:
        written = {
            "machine": about,
            "load_after": round(os.getloadavg()[0], 2),
            "quick": options.quick,
            "figures": [asdict(one) for one in figures],
        }
        options.json.write_text(json.dumps(written, indent=1) + "\n", encoding="utf-8")
    said = slower(before, figures)
    print("\n".join(["", *said]) if said else "")
    return 1 if any(line.startswith("slower") for line in said) else 0


if __name__ == "__main__":
    # One thread each, or a library's own threads would count several times.
    os.environ.setdefault("OMP_NUM_THREADS", "1")
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    sys.exit(main())
