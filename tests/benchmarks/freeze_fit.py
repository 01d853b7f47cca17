"""Results of the fit written to a file, so that two versions of the program can be compared.

    python -m tests.benchmarks.freeze_fit out.json [--bodies 2000]
    python -m tests.benchmarks.freeze_fit --compare before.json after.json

People drawn from the population, each told as callers tell it and put at one desk after another,
go through ``consult fit --json``; every demo call goes through its state. Comparing counts, for
each place in the results, how many people differ and by how much at most.
"""

from __future__ import annotations

import argparse
import contextlib
import io
import json
import sys
from collections import defaultdict
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

from consult.body.population import load_population
from consult.call.basis import Basis, load_basis
from consult.call.fit_json import body_json, chosen_json, fit_json, notes_json, plausibility_json
from consult.call.state import state
from consult.call.transcript import load_transcript
from consult.cli import main

ROOT = Path(__file__).parents[2]
DESKS = (
    "",
    "--desk fixed",
    "--desk none",
    "--desk fixed --desk-height {height}",
    "--desk fixed --desk-height {height} --desk-thickness {thick}",
    "--desk adjustable --desk-lowest {low} --desk-highest {high} --desk-thickness {thick}",
    "--desk adjustable",
    "--desk fixed --desk-height {height} --desk-thickness {thick} --close-to-desk --heel {heel}",
)
TOLD: tuple[tuple[str, ...], ...] = (
    ("stature",),
    ("stature", "weight"),
    ("stature", "weight", "popliteal_height"),
    ("stature", "weight", "popliteal_height", "elbow_rest_height", "buttock_popliteal_length"),
)


def people(many: int) -> Iterator[tuple[str, str]]:
    """A name and the flags of each person, the same every time."""
    population, chance = load_population(), np.random.Generator(np.random.PCG64(7))
    for number in range(many):
        sex = ("female", "male")[number % 2]
        group = population.groups[sex]  # type: ignore[index]
        body = chance.multivariate_normal(group.mean, group.covariance)
        flags = [f"--sex {sex}" if number % 5 else "--sex unknown"]
        for name in TOLD[number // 8 % len(TOLD)]:
            value = float(body[population.index(name)])
            unit = "kg" if name == "weight" else "mm"
            flag = "mass" if name == "weight" else name.replace("_", "-")
            flags.append(f"--{flag} {round(value)}{unit}")
        desk = DESKS[number % len(DESKS)].format(
            height=f"{int(chance.integers(640, 860))}mm",
            thick=f"{int(chance.choice([18, 25, 40, 80, 120]))}mm",
            low=f"{int(chance.integers(580, 720))}mm",
            high=f"{int(chance.integers(900, 1300))}mm",
            heel=f"{int(chance.integers(0, 60))}mm",
        )
        yield f"person {number}", " ".join([*flags, desk, "--json"])


def fits(many: int, ranges: list[str]) -> Iterator[tuple[str, Any]]:
    """Each person's results, at one range after another."""
    for number, (name, flags) in enumerate(people(many)):
        said = io.StringIO()
        range_ = ranges[number % len(ranges)]
        asked = flags if range_ == "" else f"{flags} --range {range_}"
        with contextlib.redirect_stdout(said), contextlib.redirect_stderr(said):
            main(["fit", *asked.split()])
        yield f"{name}: {asked}", _parsed(said.getvalue())


def calls() -> Iterator[tuple[str, Any]]:
    """The state of every demo call, as far as the fit has a part in it."""
    for file in sorted((ROOT / "transcripts_demo").glob("*.yaml")):
        transcript, problems = load_transcript(file)
        assert transcript is not None, problems
        basis = _basis(transcript.tree)
        now = state(basis, transcript.call)
        yield (
            f"call {file.stem}",
            {
                "body": body_json(now.estimate),
                "fit": fit_json(now.fit, basis.sources) if now.fit else None,
                "notes": notes_json(now.fit, basis.sources, "metric") if now.fit else None,
                "plausibility": plausibility_json(now.doubts),
                "chair": chosen_json(now.chosen, "metric") if now.chosen else None,
                "advice": [one.say for one in now.advice],
                "cautions": [one.say for one in now.cautions],
            },
        )


def differences(before: Any, after: Any, place: str = "") -> Iterator[tuple[str, Any, Any]]:
    """Every leaf that differs, with its place."""
    if isinstance(before, dict) and isinstance(after, dict):
        for key in sorted({*before, *after}):
            yield from differences(before.get(key), after.get(key), f"{place}.{key}")
    elif isinstance(before, list) and isinstance(after, list) and len(before) == len(after):
        for at, (one, other) in enumerate(zip(before, after, strict=True)):
            yield from differences(one, other, f"{place}[{at if place != '.advice' else ''}]")
    elif before != after:
        yield place, before, after


def compare(before: Path, after: Path) -> None:
    """Print where two files differ: place, people, largest difference, an example."""
    one, other = (json.loads(file.read_text(encoding="utf-8")) for file in (before, after))
    found: dict[str, list[tuple[str, Any, Any]]] = defaultdict(list)
    for name in sorted({*one, *other}):
        for place, was, now in differences(one.get(name), other.get(name)):
            found[place].append((name, was, now))
    changed = {name for each in found.values() for name, *_ in each}
    print(f"{len(changed)} of {len(one)} differ")
    for place, each in sorted(found.items()):
        numbers = [
            abs(now - was)
            for _, was, now in each
            if isinstance(was, int | float) and isinstance(now, int | float)
        ]
        most = f", at most {max(numbers):.2f}" if numbers else ""
        print(f"{place}: {len(each)}{most}; {each[0][0]}: {each[0][1]!r} -> {each[0][2]!r}"[:300])


@cache
def _basis(tree: str) -> Basis:
    basis, problems = load_basis(ROOT / "trees" / f"{tree}.yaml")
    assert basis is not None, problems
    return basis


def _parsed(text: str) -> Any:
    try:
        return json.loads(text)
    except ValueError:
        return text


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("files", nargs="+", type=Path)
    parser.add_argument("--compare", action="store_true")
    parser.add_argument("--bodies", type=int, default=2000)
    parser.add_argument("--range", action="append", default=[], help="further range files")
    options = parser.parse_args()
    if options.compare:
        compare(*options.files)
        sys.exit()
    results = dict(calls())
    for number, (name, result) in enumerate(fits(options.bodies, ["", *options.range])):
        results[name] = result
        if number % 100 == 0:
            print(number, file=sys.stderr)
    options.files[0].write_text(json.dumps(results), encoding="utf-8")
