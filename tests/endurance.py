"""What the records withstand, with the figures: ``python -m tests.endurance [FOLDER] [--quick]``.

Kills 200 desks in the middle of typing and 200 writers in the middle of writing, spoils every page
of the records in four ways, lets twenty desks write at once to a file and to PostgreSQL, fills the
disk, stops PostgreSQL and starts it again, and holds an answer against a bare insert. What is timed
comes first and alone; the other trials, which only count, run on every core at once. Takes about a
quarter of an hour on a machine of two cores that does nothing else, for which the limits of time
are meant. Prints the machine first, since the figures are of it, then a table; exit code 1 where an
answer was lost or a limit is not kept. FOLDER is where the records are made, so that they are on
the disk that is meant. ``--quick`` tries everything, and the kills and the damages less often, in
a few minutes; ``--only WORD`` makes the lines of the table that begin so.
"""

from __future__ import annotations

import os
import platform
import re
import sqlite3
import subprocess
import sys
import tempfile
import time
from argparse import ArgumentParser
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor, as_completed
from contextlib import closing
from dataclasses import dataclass
from multiprocessing import Pipe
from pathlib import Path

from consult.records.backup import integrity
from consult.records.store import open_store
from tests.benchmarks.records import bare
from tests.records.postgres import ABSENT, programs, serving
from tests.records.samples import append, begin, call_of, words
from tests.records.writers import SPAWN, keep_some, start

KILLS, FEW_KILLS = "200", "10"
DESKS, ANSWERS = 20, 40
LONG_CALL, LAST = 150, 50
SLOWEST = 0.150
"""Seconds that an answer may take to be stored in a file, 95 of 100, while twenty desks write: they
do so one after the other, so on a disk that is slower, ``DEAREST`` times twenty bare inserts."""
DEAREST = 2.0
"""Times a bare insert that an answer may take to be stored in a file by one desk."""
ALONE, IN_FILE = "an answer of a long call, one desk", "twenty desks, a file"
ON_SERVER = "twenty desks, PostgreSQL"
TRIALS = {
    "desks killed": "test_desk_killed.py::test_a_desk_killed_at_any_moment",
    "writers killed": "test_killed.py::test_killed_at_any_moment",
    "every page spoilt in four ways": "test_damage.py",
    "key and restore killed at each step": "test_keys.py test_restore.py",
    "full disk, locks, a folder that goes": "test_trouble.py",
    "PostgreSQL stopped and started": "test_server_stopped.py",
}
"""The longest first."""


@dataclass(frozen=True, slots=True)
class Figure:
    """A line of the table."""

    what: str
    holds: bool
    found: str


def main() -> int:
    """Print machine and figures."""
    given = ArgumentParser(prog="python -m tests.endurance")
    given.add_argument("folder", nargs="?", type=Path, default=Path(tempfile.gettempdir()))
    given.add_argument("--quick", action="store_true")
    given.add_argument("--only", metavar="WORD", default="")
    options = given.parse_args()
    folder = options.folder
    print("\n".join(machine(folder)), flush=True)
    held = []
    for figure in figures(folder, quick=options.quick, only=options.only):
        held.append(figure.holds)
        print(
            f"{figure.what:<38}{'holds' if figure.holds else 'FAILS':<7}{figure.found}", flush=True
        )
    return 0 if all(held) else 1


def figures(folder: Path, *, quick: bool, only: str) -> Iterator[Figure]:
    """Every trial whose line begins with ``only``: what is timed alone, the others as they end."""
    timed = {ALONE: alone, IN_FILE: in_a_file, ON_SERVER: on_a_server}
    for what, measure in timed.items():
        if what.startswith(only):
            yield measure(folder)
    counted = {what: files for what, files in TRIALS.items() if what.startswith(only)}
    if counted:
        print(f"Now at once, for a long time: {'; '.join(counted)}", flush=True)
    with ThreadPoolExecutor(os.cpu_count()) as pool:
        begun = [pool.submit(trial, *each, folder, quick=quick) for each in counted.items()]
        yield from (one.result() for one in as_completed(begun))


def machine(folder: Path) -> Iterator[str]:
    """What the figures were measured on."""
    info = Path("/proc/cpuinfo")
    names = re.findall(r"model name\s*: (.*)", info.read_text() if info.exists() else "")
    memory = os.sysconf("SC_PAGE_SIZE") * os.sysconf("SC_PHYS_PAGES") / 2**30
    yield f"{platform.system()} {platform.release()}, Python {platform.python_version()}"
    yield f"{os.cpu_count()} x {names[0] if names else platform.machine()}, {memory:.0f} GB"
    yield f"SQLite {sqlite3.sqlite_version}, records in {folder}"
    yield f"Load when this began: {os.getloadavg()[0]:.1f}"


def trial(what: str, files: str, folder: Path, *, quick: bool) -> Figure:
    """Tests in their long form; what they print is the figure."""
    before = time.monotonic()
    long = {"CONSULT_KILLS": FEW_KILLS} if quick else {"CONSULT_KILLS": KILLS, "CONSULT_LONG": "1"}
    with tempfile.TemporaryDirectory(dir=folder) as made:
        done = subprocess.run(
            [
                *(sys.executable, "-m", "pytest", "-q", "-s", "-p", "no:cacheprovider"),
                *(f"tests/records/{file}" for file in files.split()),
                f"--basetemp={made}/tests",
            ],
            env={**os.environ, **long},
            stdout=subprocess.PIPE,
            text=True,
            check=False,
        )
    lines = done.stdout.splitlines()
    found = [line.lstrip(".") for line in lines if "none missing" in line]
    if done.returncode:
        print(done.stdout)
    said = "; ".join([*found, lines[-1]])
    return Figure(what, done.returncode == 0, f"{said} ({time.monotonic() - before:.0f} s)")


def alone(folder: Path) -> Figure:
    """One desk stores the answers of a long call, each beside a bare insert on the same disk."""
    took, least = [], []
    with (
        tempfile.TemporaryDirectory(dir=folder) as made,
        closing(open_store(Path(made) / "records.db")) as store,
    ):
        opened, call = begin(store), call_of()
        for number in range(LONG_CALL):
            call = call.add(call_of(("a", f"said {number}")).answers[0])
            before = time.perf_counter()
            append(store, opened, call, None, "Ada Testing")
            took.append(time.perf_counter() - before)
            least += bare(Path(made), 1)
    # Of the last answers, before which the most is stored.
    half, bare_half = sorted(took[-LAST:])[LAST // 2], sorted(least[-LAST:])[LAST // 2]
    return Figure(
        ALONE,
        half <= DEAREST * bare_half,
        f"half within {1000 * half:.1f} ms, a bare insert {1000 * bare_half:.1f} ms: "
        f"{half / bare_half:.1f} times, allowed {DEAREST:g}",
    )


def in_a_file(folder: Path) -> Figure:
    """Twenty desks at one SQLite file."""
    with tempfile.TemporaryDirectory(dir=folder) as made:
        least = DESKS * sorted(bare(Path(made), 100))[50]
        return together(IN_FILE, str(Path(made) / "records.db"), max(SLOWEST, DEAREST * least))


def on_a_server(folder: Path) -> Figure:  # noqa: ARG001  the server has a folder of its own
    """Twenty desks at one PostgreSQL database."""
    found = programs()
    if found is None:
        return Figure(ON_SERVER, False, ABSENT)
    with serving(found, fsync=True) as server:
        return together(ON_SERVER, server.database(), None)


def together(what: str, place: str, slowest: float | None) -> Figure:
    """Twenty desks write as fast as they can; whether all is there, and within the limit."""
    told, gate = [], SPAWN.Barrier(DESKS)
    for who in range(DESKS):
        receiving, sending = Pipe(duplex=False)
        told.append((who, receiving, start(keep_some, place, who, ANSWERS, sending, gate)))
        sending.close()
    took: list[float] = []
    missing = 0
    with closing(open_store(place, wait=30)) as store:
        for who, receiving, process in told:
            reference, own = receiving.recv()
            process.join()
            took += own
            said = words(store.read(reference).call.answers)
            missing += said != [("a", f"{who}-{number}") for number in range(ANSWERS)]
        whole = integrity(store) == ()
    took.sort()
    half, most = took[len(took) // 2], took[int(len(took) * 0.95)]
    limit = "" if slowest is None else f", allowed {1000 * slowest:.0f} ms"
    return Figure(
        what,
        whole and not missing and (slowest is None or most < slowest),
        f"{len(took)} answers, {missing} calls with one missing; half within {1000 * half:.0f} ms, "
        f"95 of 100 within {1000 * most:.0f} ms{limit}",
    )


if __name__ == "__main__":
    sys.exit(main())
