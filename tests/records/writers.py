"""Processes of their own that write to the records, to be killed, raced or starved."""

from __future__ import annotations

import multiprocessing
import os
import resource
import time
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any

from consult.records.record import Opening, Record
from consult.records.recovery_file import spill_folders
from consult.records.store import open_store
from tests.records.samples import NOW, PRIVATE, VERSIONS, append, begin, call_of

SPAWN = multiprocessing.get_context("forkserver")
SPAWN.set_forkserver_preload(
    [
        "tests.records.writers",
        # Else each of twenty processes loads its database driver again.
        "sqlalchemy.dialects.sqlite.pysqlite",
        "sqlalchemy.dialects.postgresql.psycopg",
        "psycopg",
    ]
)


def start(work: Any, *given: Any) -> Any:
    """A process of its own doing the work."""
    process = SPAWN.Process(target=work, args=given)
    process.start()
    return process


def talk(place: str, told: Connection) -> None:
    """Keep answers without end, telling of each once it is said to be kept.

    Every third answer tells of health, consent comes and goes, so that every kind of writing is
    under way at some time.
    """
    store = open_store(place)
    opened, call, number = begin(store), call_of(), 0
    told.send((opened.reference, -1, None))
    while True:
        name = "pain" if number % 3 == 2 else "a"
        call = call.add(call_of((name, f"said {number}")).answers[0])
        call = call.handle("back_stop", lifted="r", at=NOW) if number % 4 == 0 else call
        consent = number % 10 > 3
        append(store, opened, call, consent, f"Ada {number}")
        told.send((opened.reference, number, consent))
        number += 1


def keep_some(place: str, who: int, count: int, told: Connection, gate: Any = None) -> None:
    """Keep some answers as fast as the others let it; how long each took.

    ``gate`` is a barrier where all are to be at work before the first answer: what it costs to
    start twenty processes is no cost of an answer.
    """
    store = open_store(place, wait=30)
    opened, call, took = begin(store), call_of(), []
    if gate is not None:
        append(store, opened, call, None, f"Name{who}")
        gate.wait()
    for number in range(count):
        call = call.add(call_of(("a", f"{who}-{number}")).answers[0])
        before = time.perf_counter()
        append(store, opened, call, None, f"Name{who}")
        took.append(time.perf_counter() - before)
    store.finish(opened, NOW)
    store.close()
    told.send((opened.reference, took))


def fight(place: str, reference: str, who: int, count: int, told: Connection) -> None:
    """Take a call over and over from the others and add to it; which answers were taken."""
    from consult.records.errors import Conflict, OpenElsewhere

    store, kept = open_store(place, wait=30), []
    for number in range(count):
        opened = store.take_over(reference, f"desk {who}", NOW, anyway=True)
        said = f"{who}-{number}"
        try:
            call = store.read(opened.id).call.add(call_of(("a", said)).answers[0])
            append(store, opened, call)
        except (Conflict, OpenElsewhere):
            continue
        kept.append(said)
    store.close()
    told.send(kept)


def starve(place: str, room: int, told: Connection) -> None:
    """Keep answers while no file may grow beyond what is left; what the adviser was told."""
    path = Path(place)
    store = open_store(path, wait=0.3)
    opening = Opening(lambda: store)
    opening.start()
    record = Record(opening, spill_folders(path), VERSIONS, PRIVATE, "Ann")
    call, said = call_of(), []
    size = path.stat().st_size + room
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, resource.RLIM_INFINITY))
    for number in range(60):
        call = call.add(call_of(("a", f"said {number} " + "x" * 2_000)).answers[0])
        said.append(record.keep(call, consent=None, caller_name="Ada", at=NOW))
    told.send((record.reference, said))


def as_nobody(place: str, recovery: str, told: Connection) -> None:
    """Keep an answer as a user who may read the records but not write them."""
    os.environ["CONSULT_RECOVERY"] = recovery
    path = Path(place)
    if os.geteuid() == 0:
        os.setgid(65534)
        os.setuid(65534)
    folders = spill_folders(path)
    opening = Opening(lambda: open_store(path))
    opening.start()
    record = Record(opening, folders, VERSIONS, PRIVATE, "Ann")
    call = call_of(("a", "1"))
    told.send((record.reference, record.keep(call, consent=None, caller_name="", at=NOW)))
