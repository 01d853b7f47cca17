"""Keeping answers, and finding among many calls, beside SQLite alone; timed by the clock."""

from __future__ import annotations

import sqlite3
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from datetime import timedelta
from multiprocessing import Pipe
from pathlib import Path

from consult.records.report import Asks, report
from consult.records.search import listed
from consult.records.store import Store, open_store
from tests.benchmarks.made_calls import fill
from tests.benchmarks.measure import Family, Size
from tests.records.samples import NOW, append, begin, call_of
from tests.records.writers import SPAWN, keep_some, start

BARE = "a bare durable insert"
READ = "SQLite reading the same rows"
TEXTS = ("z", "zo", "ada", "ada bra", "qq", "234")
_WRITERS = 20


def records(size: Size) -> Family:
    """Keep the answers of a long call; then find, list and report among many calls."""
    family = Family("records", size)
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        store = open_store(str(folder / "records.db"))
        _kept(family, store, folder)
        if size.rounds > 1:
            _together(family, folder)
        fill(store, size.calls)
        _found(family, store, folder / "records.db")
        _kept(family, store, folder, f", among {size.calls:,} calls")
        store.close()
    return family


def _kept(family: Family, store: Store, folder: Path, among: str = "") -> None:
    """Every answer of a call, a bare insert between each two."""
    opened, call, many = begin(store), call_of(), family.size.answers
    took, bare_took = [], []
    with _bare(folder) as insert:
        insert()
        for number in range(many):
            call = call.add(call_of(("a", f"said {number}")).answers[0])
            took += seconds(lambda call=call: append(store, opened, call, None, "Ada"))  # type: ignore[misc]
            bare_took += seconds(insert)
    last = many // 3
    family.add(f"an answer kept, {many} in the call{among}", took, BARE, bare_took)
    family.add(f"the last {last} of them{among}", took[-last:], BARE, bare_took[-last:])


def _together(family: Family, folder: Path) -> None:
    """Twenty desks that write at once, as fast as they can, beside one program that inserts."""
    told, gate = [], SPAWN.Barrier(_WRITERS)
    for who in range(_WRITERS):
        receiving, sending = Pipe(duplex=False)
        place = str(folder / "shared.db")
        told.append((receiving, start(keep_some, place, who, 10, sending, gate)))
        sending.close()
    found: list[float] = []
    for receiving, process in told:
        found += receiving.recv()[1]
        process.join()
    family.add(f"an answer, {_WRITERS} desks at once", found, BARE, bare(folder, len(found)))


def _found(family: Family, store: Store, file: Path) -> None:
    many, day = f"{family.size.calls:,} calls", timedelta(days=3_000)
    with closing(sqlite3.connect(file)) as plain:

        def whole() -> None:
            plain.execute("SELECT * FROM calls").fetchall()
            plain.execute("SELECT * FROM answers").fetchall()

        def newest() -> None:
            plain.execute("SELECT * FROM calls ORDER BY id DESC LIMIT 50").fetchall()

        def asked() -> None:
            report(
                store,
                NOW - day,
                NOW + day,
                asks=Asks("why"),
                read=lambda _, said: (said,),
                unknown=lambda _: False,
            )

        few = {
            **{f"find '{one}' among {many}": lambda one=one: store.find(one) for one in TEXTS},  # type: ignore[misc]
            f"list the newest of {many}": lambda: listed(store),
        }
        clock = time.perf_counter
        family.against("SQLite reading fifty calls", newest, few, clock=clock)
        works = {f"report on {many}": asked}
        family.against(READ, whole, works, clock=clock, rounds=family.size.few)


def seconds(work: Callable[[], object]) -> list[float]:
    """How long it takes once."""
    before = time.perf_counter()
    work()
    return [time.perf_counter() - before]


@contextmanager
def _bare(folder: Path) -> Iterator[Callable[[], object]]:
    """A durable insert of a short row by SQLite and nothing else."""
    with closing(sqlite3.connect(folder / "bare.db", isolation_level=None)) as connection:
        connection.execute("PRAGMA journal_mode=WAL")
        connection.execute("PRAGMA synchronous=FULL")
        connection.execute("CREATE TABLE IF NOT EXISTS bare (id INTEGER PRIMARY KEY, said TEXT)")
        yield lambda: connection.execute("INSERT INTO bare (said) VALUES ('said in a call')")


def bare(folder: Path, count: int) -> list[float]:
    """Seconds for each durable insert of a short row by SQLite and nothing else."""
    with _bare(folder) as insert:
        return [each for _ in range(count) for each in seconds(insert)]
