"""How long keeping and finding take: ``python -m tests.benchmarks.bench_records [URL or folder]``.

With a folder or nothing: a file made there; with a URL: that empty PostgreSQL database. Prints
how long one answer takes to be durable, alone and with twenty desks at once, beside the least the
disk needs for that; how long finding takes among 100,000 calls; and what opening costs.
"""

from __future__ import annotations

import os
import random
import sqlite3
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from contextlib import closing
from datetime import timedelta
from multiprocessing import Pipe
from pathlib import Path
from typing import Any

from sqlalchemy import Table, select

from consult.records.backup import integrity
from consult.records.kept import check_of, new_reference
from consult.records.report import Asks, report
from consult.records.rows import call_check, call_row
from consult.records.schema import answers, calls, health, name_words
from consult.records.search import name_words as name_words_of
from consult.records.store import Store, open_store
from tests.records.samples import NOW, append, begin, call_of
from tests.records.writers import SPAWN, keep_some, start

CALLS = 100_000
_FIRST = ("Ada", "Bo", "Cem", "Dina", "Edda", "Finn", "Gwen", "Hal", "Ines", "Jo", "Kai", "Zoë")
_ENDS = ("by", "ton", "worth", "ley", "ham", "well", "ford", "mere")


def main() -> None:
    """Print the figures."""
    place = sys.argv[1] if len(sys.argv) > 1 else tempfile.mkdtemp()
    if "://" not in place:
        place = str(Path(place) / "records.db")
    print(
        f"python alone {_python('pass'):.2f}s, with consult.records.record "
        f"{_python('import consult.records.record'):.2f}s, with consult.records.store "
        f"{_python('import consult.records.store'):.2f}s"
    )
    store = open_store(place)
    if store.database.path is not None:
        print(_line("write and fsync 4 kB", _fsync(store.database.path.parent)))
        print(_line("a bare insert, durable", bare(Path(place).parent, 200)))
    print(_line("an answer, one desk", _alone(store)))
    print(_line("an answer, twenty desks", _together(place)))
    if store.database.path is None:
        _analysed(store, CALLS)
    else:
        _fill(store, CALLS)
    for text in ("z", "zo", "ada", "ada bra", "qq", "234", "ada b"):
        print(_line(f"find {text!r} of {CALLS}", _times(lambda text=text: store.find(text))))  # type: ignore[misc]
    print(_line("latest", _times(store.latest)))
    print(_line("held", _times(store.held)))
    print(_line("an answer, one desk", _alone(store)))
    print(_line("open the records", _times(lambda: open_store(place).close(), 10)))
    day = timedelta(days=3_000)
    before = time.perf_counter()
    report(
        store,
        NOW - day,
        NOW + day,
        asks=Asks("why"),
        read=lambda _, said: (said,),
        unknown=lambda _: False,
    )
    print(f"{'report over all':<34}{time.perf_counter() - before:9.2f}s")
    if store.database.path is not None:
        before = time.perf_counter()
        store.database.scrub()
        size = store.database.path.stat().st_size / 1e6
        print(f"{f'write {size:.0f} MB anew (erasing)':<34}{time.perf_counter() - before:9.2f}s")


def _python(what: str) -> float:
    def run() -> None:
        subprocess.run([sys.executable, "-c", what], check=True)

    return min(_times(run, 5))


def _times(work: Callable[[], object], count: int = 30) -> list[float]:
    found = []
    for _ in range(count):
        before = time.perf_counter()
        work()
        found.append(time.perf_counter() - before)
    return found


def _fsync(folder: Path) -> list[float]:
    handle = os.open(folder / "probe", os.O_RDWR | os.O_CREAT, 0o600)

    def write() -> None:
        os.write(handle, bytes(4096))
        os.fsync(handle)

    try:
        return _times(write, 200)
    finally:
        os.close(handle)


def bare(folder: Path, count: int) -> list[float]:
    """Seconds for each durable insert of a short row by SQLite and nothing else."""
    with closing(sqlite3.connect(folder / "bare.db", isolation_level=None)) as connection:
        connection.execute("PRAGMA journal_mode=WAL")
        connection.execute("PRAGMA synchronous=FULL")
        connection.execute("CREATE TABLE IF NOT EXISTS bare (id INTEGER PRIMARY KEY, said TEXT)")
        return _times(
            lambda: connection.execute("INSERT INTO bare (said) VALUES ('said in a call')"), count
        )


def _alone(store: Store) -> list[float]:
    found = []
    for _ in range(4):
        opened, call = begin(store), call_of()
        for number in range(50):
            call = call.add(call_of(("a", f"said {number}")).answers[0])
            before = time.perf_counter()
            append(store, opened, call, None, "Ada Testing")
            found.append(time.perf_counter() - before)
    return found


def _together(place: str) -> list[float]:
    told, gate = [], SPAWN.Barrier(20)
    for who in range(20):
        receiving, sending = Pipe(duplex=False)
        told.append((receiving, start(keep_some, place, who, 40, sending, gate)))
        sending.close()
    found: list[float] = []
    for receiving, process in told:
        found += receiving.recv()[1]
        process.join()
    return found


def _analysed(store: Store, count: int) -> None:
    """PostgreSQL looks at its tables by itself within a minute; no figure should wait for that."""
    _fill(store, count)
    with store.database.writing() as connection:
        connection.exec_driver_sql("ANALYZE")


def _fill(store: Store, count: int) -> None:
    """Calls as the store writes them, many at a time: one kept by it, told again of others."""
    chance = random.Random(1)
    references = list({new_reference() for _ in range(count + count // 100)})
    call = call_of(("why", "1"), ("stature", "157 cm"), ("pain", "back"))
    model = begin(store, call)
    append(store, model, call, True, "Model")
    with store.database.reading() as connection:
        row = call_row(connection, model.id)
        assert row is not None
        told = {
            table: [dict(one) for one in connection.execute(own).mappings()]
            for table in (answers, health)
            for own in [select(table).where(table.c.call_id == model.id)]
        }
    before = time.perf_counter()
    for first in range(0, count, 5_000):
        made: dict[Table, list[dict[str, Any]]] = {
            table: [] for table in (calls, answers, health, name_words)
        }
        for number in range(first, first + 5_000):
            letters = "".join(chance.choice("abcdefghilmnoprstu") for _ in range(3))
            name = f"{chance.choice(_FIRST)} {letters.title()}{chance.choice(_ENDS)}"
            call_id = 1_000_000 + number
            one = row | {"id": call_id, "reference": references[number], "caller_name": name}
            made[calls].append(one | {"open_by": None, "status": "finished"})
            made[calls][-1]["check"] = call_check(made[calls][-1])
            for table in (answers, health):
                for piece in told[table]:
                    copy = {name: v for name, v in piece.items() if name != "id"}
                    copy |= {"call_id": call_id}
                    copy["check"] = check_of(*[v for n, v in copy.items() if n != "check"])
                    made[table].append(copy)
            made[name_words] += [{"word": word, "call_id": call_id} for word in name_words_of(name)]
        with store.database.writing() as connection:
            for table, rows in made.items():
                connection.execute(table.insert(), rows)
    print(f"{f'{count} calls made':<34}{time.perf_counter() - before:9.2f}s")
    problems = integrity(store) if count < 10_000 else ()
    assert not problems, problems[:3]


def _line(what: str, took: list[float]) -> str:
    ordered = sorted(took)
    half, most = ordered[len(ordered) // 2], ordered[int(len(ordered) * 0.95)]
    return f"{what:<34}{1000 * half:9.2f}ms  p95 {1000 * most:9.2f}ms"


if __name__ == "__main__":
    main()
