"""Killed at any moment, raced by others: every answer that was said to be kept is there.

``CONSULT_KILLS=200`` kills more often.
"""

from __future__ import annotations

import os
import random
import time
from contextlib import ExitStack, closing
from multiprocessing import Pipe

from consult.records.backup import integrity
from consult.records.schema import answers
from consult.records.store import open_store
from tests.records.samples import begin, words
from tests.records.writers import fight, keep_some, start, talk

KILLS = int(os.environ.get("CONSULT_KILLS", "8"))
HEARD = 12
"""Answers waited for before a kill, at most; the kill comes at any moment of those after them."""


def test_killed_at_any_moment(place: str) -> None:
    """What was acknowledged is there, in order, the records whole, no health without consent."""
    chance = random.Random(20261125)
    kills = KILLS if "://" not in place else max(5, KILLS // 4)
    lengths = []
    for _ in range(kills):
        told, telling = Pipe(duplex=False)
        process = start(talk, place, telling)
        telling.close()
        try:
            for _ in range(chance.randint(1, HEARD)):
                reference, number, consent = told.recv()
            # So that it is in the middle of something; how far it comes meanwhile is no matter.
            time.sleep(chance.uniform(0, 0.02))
        finally:
            process.kill()
            process.join()
        while True:
            try:
                reference, number, consent = told.recv()
            except EOFError:
                break
        told.close()
        with closing(open_store(place)) as store:
            kept = words(store.read(reference).call.answers)
        full = [("pain" if n % 3 == 2 else "a", f"said {n}") for n in range(number + 2)]
        # The one under way may be there or not; it may be the one that takes consent back.
        possible = []
        for count in {number + 1, number + 2}:
            consented = count > 0 and (count - 1) % 10 > 3
            possible.append([one for one in full[:count] if consented or one[0] != "pain"])
        assert kept in possible, (number, consent, kept[-3:])
        lengths.append(number + 1)
    with closing(open_store(place)) as store:
        assert integrity(store) == ()
        assert len(store.latest(limit=1_000)) == kills
    assert sum(lengths) > kills
    print(f"{kills} kills, {sum(lengths)} answers acknowledged, none missing")


def test_read_while_it_is_written(place: str) -> None:
    """A reader sees each call as it was at one moment, never half of an answer."""
    told, telling = Pipe(duplex=False)
    process = start(talk, place, telling)
    telling.close()
    grown = set()
    try:
        reference, *_ = told.recv()
        with closing(open_store(place)) as store:
            for _ in range(40):
                # One more answer is under way or kept since the last look, however slow it is.
                told.recv()
                assert integrity(store) == ()
                kept = words(store.read(reference).call.answers)
                assert kept == sorted(kept, key=lambda one: int(one[1].split()[1]))
                grown.add(len(kept))
    finally:
        process.kill()
        process.join()
        told.close()
    assert len(grown) > 1


def test_twenty_desks_at_once(place: str) -> None:
    """Nothing is lost, doubled or mixed up where twenty processes write at the same time."""
    told = []
    for who in range(20):
        receiving, sending = Pipe(duplex=False)
        told.append((who, receiving, start(keep_some, place, who, 6, sending)))
        sending.close()
    with ExitStack() as left:
        store = None
        for who, receiving, process in told:
            reference, _ = receiving.recv()
            process.join()
            assert process.exitcode == 0
            store = store or left.enter_context(closing(open_store(place)))
            kept = store.read(reference)
            assert words(kept.call.answers) == [("a", f"{who}-{n}") for n in range(6)]
            assert kept.status == "finished"
        assert store is not None
        with store.database.reading() as connection:
            assert len(connection.execute(answers.select()).all()) == 120
        assert integrity(store) == ()


def test_twenty_desks_at_one_call(place: str) -> None:
    """Of desks that take one call from each other, each answer is refused or kept, never lost."""
    with closing(open_store(place)) as store:
        reference = begin(store).reference
        told = []
        for who in range(20):
            receiving, sending = Pipe(duplex=False)
            told.append((receiving, start(fight, place, reference, who, 4, sending)))
            sending.close()
        expected: list[str] = []
        for receiving, process in told:
            expected += receiving.recv()
            process.join()
        kept = [said for _, said in words(store.read(reference).call.answers)]
        assert sorted(kept) == sorted(expected)
        assert kept
        assert integrity(store) == ()


def test_many_make_the_records_at_once(nowhere: str) -> None:
    """The first start of several desks makes the tables once."""
    told = []
    for who in range(6):
        receiving, sending = Pipe(duplex=False)
        told.append((receiving, start(keep_some, nowhere, who, 1, sending)))
        sending.close()
    for receiving, process in told:
        assert receiving.recv()[0]
        process.join()
    with closing(open_store(nowhere)) as store:
        assert len(store.latest()) == 6
