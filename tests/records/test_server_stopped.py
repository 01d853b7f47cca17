"""A shared server that is stopped in the middle of a call and started again."""

from __future__ import annotations

from concurrent.futures import Future
from contextlib import closing
from pathlib import Path

import pytest

from consult.records.record import Record
from consult.records.store import Store, open_store
from tests.records.postgres import ABSENT, programs, serving
from tests.records.samples import NOW, PRIVATE, VERSIONS, call_of, words


def test_stopped_and_started(tmp_path: Path) -> None:
    """What is said meanwhile is in a recovery file, and in the records with the next answer."""
    found = programs()
    if found is None:
        pytest.skip(ABSENT)
    with serving(found) as server:
        place, folder = server.database(), tmp_path / "recovery"
        with closing(open_store(place)) as store:
            opening: Future[Store] = Future()
            opening.set_result(store)
            record = Record(opening, (folder,), VERSIONS, PRIVATE, "Ann")
            call, said = call_of(), []
            for number in range(9):
                if number == 3:
                    server.stop()
                if number == 6:
                    server.start()
                call = call.add(call_of(("a", f"said {number}")).answers[0])
                told = record.keep(call, consent=None, caller_name="Ada", at=NOW)
                assert bool(told) == (3 <= number < 6), told
                said.append(bool(told and list(folder.iterdir())))
            assert said == [3 <= number < 6 for number in range(9)]
            assert words(store.read(record.reference).call.answers) == words(call.answers)
            assert not list(folder.iterdir())
