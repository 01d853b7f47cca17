"""Keeping answers, finding among many calls and purging, beside SQLite alone, by the clock."""

from __future__ import annotations

import sqlite3
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from datetime import timedelta
from multiprocessing import Pipe
from multiprocessing.connection import Connection
from pathlib import Path
from statistics import median
from typing import Any

from consult.records.erase import purge
from consult.records.report import Asks, report
from consult.records.search import listed_calls
from consult.records.store import Store, open_store
from tests.benchmarks.made_calls import fill
from tests.benchmarks.measure import Family, Size, Work, quantile
from tests.records.samples import NOW, append, begin, call_of
from tests.records.writers import SPAWN, keep_some, start

BARE = "a bare durable insert"
READ = "SQLite reading the same rows"
TEXTS = ("z", "zo", "ada", "ada bra", "qq", "234")
_EACH = 10
"""Answers of each of them."""
DELETED = "SQLite deleting the same rows"
_DELETES = "DELETE FROM health; DELETE FROM answers; DELETE FROM name_words; DELETE FROM calls"


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
        _purged(family, folder)
        _kept(family, store, folder, f", among {size.calls:,} calls")
        store.close()
    return family


def _kept(family: Family, store: Store, folder: Path, among: str = "") -> None:
    """Every answer of a call, a bare insert between each two."""
    opened, call, many = begin(store), call_of(), family.size.answers
    took, bare_took = [], []
    with _bare(folder / "bare.db") as insert:
        insert()
        for number in range(many):
            call = call.add(call_of(("a", f"said {number}")).answers[0])
            took += seconds(lambda call=call: append(store, opened, call, None, "Ada"))  # type: ignore[misc]
            bare_took += seconds(insert)
    last = many // 3
    family.add(f"an answer kept, {many} in the call{among}", took, BARE, bare_took)
    family.add(f"the last {last} of them{among}", took[-last:], BARE, bare_took[-last:])


def _together(family: Family, folder: Path) -> None:
    """Desks that write at once, as fast as they can, and as many programs that insert in turn
    with them: SQLite alone lets one in after the other, too."""
    many = family.size.writers
    took: list[float] = []
    bare_took: list[float] = []
    for number in range(family.size.few):
        bare_found = _at_once(insert_some, str(folder / "bare_shared.db"), many)
        found = _at_once(keep_some, str(folder / f"shared_{number}.db"), many)
        # SQLite lets one program in again and again: what compares is when the last was done.
        bare_took.append(max(map(sum, bare_found)))
        took.append(max(map(sum, found)))
        each = [one for own in found for one in own]
    note = f"an answer {1000 * median(each):.0f} ms, p95 {1000 * quantile(each, 0.95):.0f} ms"
    name = f"{many * _EACH} answers of {many} desks at once"
    family.add(name, took, f"{many} programs that insert", bare_took, note)


def _at_once(work: Callable[..., object], place: str, many: int) -> list[list[float]]:
    """Seconds of each write, by each of so many processes."""
    told, gate = [], SPAWN.Barrier(many)
    for who in range(many):
        receiving, sending = Pipe(duplex=False)
        told.append((receiving, start(work, place, who, _EACH, sending, gate)))
        sending.close()
    found: list[list[float]] = []
    for receiving, process in told:
        found.append(receiving.recv()[1])
        process.join()
    return found


def insert_some(place: str, who: int, count: int, told: Connection, gate: Any) -> None:
    """Durable inserts of a short row among others that do the same; how long each took."""
    with _bare(Path(place)) as insert:
        insert()
        gate.wait()
        took = [each for _ in range(count) for each in seconds(insert)]
    told.send((str(who), took))


def _purged(family: Family, folder: Path) -> None:
    """All health answers, then all calls, too old; beside SQLite that deletes as many rows."""
    many = f"{family.size.calls:,} calls"
    works = {"the health answers": (100, "DELETE FROM health"), "all": (400, _DELETES)}
    for what, (days, statements) in works.items():
        took: list[float] = []
        bare_took: list[float] = []
        for _ in range(min(family.size.few, 3)):
            bare_took += seconds_on_copy(folder, lambda copy, say=statements: _deleted(copy, say))  # type: ignore[misc]
            took += seconds_on_copy(folder, lambda copy, age=days: _purge(copy, age))  # type: ignore[misc]
        family.add(f"purge {what} of {many}", took, DELETED, bare_took)


def seconds_on_copy(folder: Path, work: Callable[[Path], Work]) -> list[float]:
    """How long it takes on a copy of the records, once they are open."""
    copy = folder / "copy.db"
    with closing(sqlite3.connect(folder / "records.db")) as plain:
        plain.execute("VACUUM INTO ?", (str(copy),))
    try:
        return seconds(work(copy))
    finally:
        for each in folder.glob("copy.db*"):
            each.unlink()


def _purge(copy: Path, age: int) -> Work:
    store = open_store(copy)

    def work() -> None:
        with closing(store):
            purge(store, NOW + timedelta(days=age))

    return work


def _deleted(copy: Path, statements: str) -> Work:
    plain = sqlite3.connect(copy, isolation_level=None)

    def work() -> None:
        with closing(plain):
            plain.executescript(
                "PRAGMA journal_mode=WAL; PRAGMA secure_delete=ON; BEGIN IMMEDIATE; "
                f"{statements}; COMMIT; VACUUM"
            )

    return work


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
            f"list the newest of {many}": lambda: listed_calls(store),
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
def _bare(file: Path) -> Iterator[Callable[[], object]]:
    """A durable insert of a short row by SQLite and nothing else."""
    with closing(sqlite3.connect(file, 30, isolation_level=None)) as connection:
        connection.execute("PRAGMA journal_mode=WAL")
        connection.execute("PRAGMA synchronous=FULL")
        connection.execute("CREATE TABLE IF NOT EXISTS bare (id INTEGER PRIMARY KEY, said TEXT)")
        yield lambda: connection.execute("INSERT INTO bare (said) VALUES ('said in a call')")


def bare(folder: Path, count: int) -> list[float]:
    """Seconds for each durable insert of a short row by SQLite and nothing else."""
    with _bare(folder / "bare.db") as insert:
        return [each for _ in range(count) for each in seconds(insert)]
