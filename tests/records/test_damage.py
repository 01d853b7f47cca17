"""Every page of the records spoilt in turn: never a wrong answer, never a bare error."""

from __future__ import annotations

import random
import shutil
from collections.abc import Callable, Mapping
from concurrent.futures import Future
from pathlib import Path

import pytest

from consult.call.call import Call
from consult.records.backup import integrity
from consult.records.erase import purge
from consult.records.errors import RecordsTrouble
from consult.records.record import Record
from consult.records.recovery_file import spill_folders
from consult.records.store import Store, open_store
from tests.records.samples import NOW, PRIVATE, VERSIONS, call_of, keep

PAGE = 4096


def damaged(data: bytes, page: int, how: str, chance: random.Random) -> bytes:
    """A page of a file spoilt."""
    torn = bytearray(data)
    start_of = page * PAGE
    if how == "inverted":
        for at in range(start_of, start_of + PAGE):
            torn[at] ^= 0xFF
    elif how == "emptied":
        torn[start_of : start_of + PAGE] = bytes(PAGE)
    elif how == "cut":
        del torn[start_of:]
    else:
        for _ in range(3):
            torn[chance.randrange(start_of, start_of + PAGE)] ^= 1 << chance.randrange(8)
    return bytes(torn)


@pytest.mark.parametrize("how", ["inverted", "emptied", "cut", "some bits"])
def test_damage_is_said_or_does_no_harm(tmp_path: Path, how: str) -> None:
    """Whatever page is spoilt: right answers or a plain sentence, and the next answer is kept."""
    chance = random.Random(7)
    path = tmp_path / "whole" / "r.db"
    store = open_store(path)
    said = [(f"q{n}", f"said {n} " * 12) for n in range(5)] + [("pain", "back " * 20)]
    calls = {keep(store, call_of(*said), True, f"Ada N{n}").id: call_of(*said) for n in range(5)}
    whole = path.read_bytes()
    assert integrity(store) == ()
    noticed = 0
    pages = range(len(whole) // PAGE)
    for page in [p for p in pages for _ in range(2 if how == "some bits" else 1)]:
        torn = tmp_path / "torn" / "r.db"
        shutil.rmtree(torn.parent, ignore_errors=True)
        torn.parent.mkdir()
        torn.write_bytes(damaged(whole, page, how, chance))
        noticed += look_at(torn, calls)
    assert noticed or how == "some bits"


def look_at(path: Path, calls: Mapping[int, Call]) -> bool:
    """Use spoilt records as a desk does; whether any trouble was told."""
    troubles: list[str] = []
    folders = spill_folders(path)
    opening: Future[Store] = Future()
    try:
        store = open_store(path, wait=0.1)
        opening.set_result(store)
    except RecordsTrouble as trouble:
        troubles.append(str(trouble))
        opening.set_exception(trouble)
    else:
        for call_id, call in calls.items():
            try:
                assert store.read(call_id).call == call
            except RecordsTrouble as trouble:
                troubles.append(str(trouble))
        works: tuple[Callable[[], object], ...] = (
            lambda: store.find("ada"),
            store.latest,
            store.held,
            lambda: purge(store, NOW),
            lambda: integrity(store),
        )
        for work in works:
            try:
                work()
            except RecordsTrouble as trouble:
                troubles.append(str(trouble))
    record = Record(opening, folders, VERSIONS, PRIVATE, "Ann")
    call = call_of(("a", "1"), ("b", "2"))
    told = record.keep(call, consent=None, caller_name="Bo", at=NOW)
    if told:
        assert "recovery file" in told[1]
        assert len(list(folders[0].iterdir())) == 1
    else:
        try:
            assert open_store(path).read(record.reference).call == call
        except RecordsTrouble as trouble:
            troubles.append(str(trouble))
    assert all(one.endswith((".", "?")) for one in troubles)
    return bool(troubles)
