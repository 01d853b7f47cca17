"""How long commands take to start and do a small thing, each in a process of its own.

Seconds of the processor, of the child and what it starts, so that neighbours hardly count.
"""

from __future__ import annotations

import os
import resource
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path

from consult.paths import demo_folder, trees_folder
from consult.records.store import open_store
from tests.benchmarks.measure import Family, Size
from tests.records.samples import call_of, keep

PYTHON, TEXTUAL, NUMPY = "a bare Python", "importing Textual", "importing NumPy"
_REFERENCES = {PYTHON: "", TEXTUAL: "import textual.app", NUMPY: "import numpy"}


def _commands(check_all: bool) -> dict[str, tuple[str, list[str]]]:
    """Name -> its reference and the words after ``consult``."""
    demo = str(sorted(demo_folder().glob("01*.yaml"))[0])
    tree = str(trees_folder() / "closing.yaml")
    fit = ("fit", "--stature", "172cm", "--sex", "female", "--desk", "fixed")
    everything = {"check of everything": (TEXTUAL, ["check"])} if check_all else {}
    return {
        "--help": (PYTHON, ["--help"]),
        "help of a command": (PYTHON, ["batch", "--help"]),
        "records list": (TEXTUAL, ["records", "list"]),
        "records find": (TEXTUAL, ["records", "find", "ada"]),
        "records show": (TEXTUAL, ["records", "show", "{reference}"]),
        "fit": (TEXTUAL, [*fit, "--desk-height", "74cm"]),
        "replay of one call": (TEXTUAL, ["replay", demo]),
        "summary of one call": (TEXTUAL, ["replay", demo, "--summary", "text"]),
        "sheet": (TEXTUAL, ["sheet", "--form", "text"]),
        "check of one file": (TEXTUAL, ["check", tree]),
        **everything,
    }


def starts(size: Size) -> Family:
    """Every command beside its reference."""
    family = Family("starts", size)
    with tempfile.TemporaryDirectory() as folder:
        place = str(Path(folder) / "records.db")
        store = open_store(place)
        reference = keep(store, call_of(("stature", "157 cm")), None, "Ada Fenwick").reference
        store.close()
        environment = installed(place)
        commands = _commands(size.check_all)
        took: dict[str, list[float]] = {name: [] for name in (*_REFERENCES, *commands)}
        for number in range(size.few + 1):
            found = {
                name: seconds_of_child(["-c", code], environment)
                for name, code in _REFERENCES.items()
            }
            for name, (_, words) in commands.items():
                if name == "check of everything" and number > 2:
                    continue
                said = [word.format(reference=reference) for word in words]
                found[name] = seconds_of_child(["-m", "consult", *said], environment)
            for name, seconds in found.items() if number else ():  # the first only compiles
                took[name].append(seconds)
    family.add(NUMPY, took[NUMPY], PYTHON, took[PYTHON])
    family.add(TEXTUAL, took[TEXTUAL], PYTHON, took[PYTHON])
    for name, (against, _) in commands.items():
        family.add(name, took[name], against, took[against])
    return family


def installed(records: str) -> dict[str, str]:
    """An environment in which what was compiled once is kept, as where it is installed, and that
    of nobody: what is stored goes beside the records."""
    kept = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    own = ("CACHE", "CONFIG", "DATA", "STATE")
    beside = {f"XDG_{name}_HOME": str(Path(records).with_name(name.lower())) for name in own}
    return kept | beside | {"CONSULT_RECORDS": records}


def seconds_of_child(words: Sequence[str], environment: dict[str, str]) -> float:
    """Of the processor, for a Python with these words; RuntimeError where it fails."""
    before = children_used()
    done = subprocess.run([sys.executable, *words], env=environment, capture_output=True)
    if done.returncode != 0:
        raise RuntimeError(f"{' '.join(words)}: {done.stderr.decode()}")
    return children_used() - before


def children_used() -> float:
    """Seconds of the processor that ended children took."""
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime
