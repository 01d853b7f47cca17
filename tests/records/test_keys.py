"""The key of the records: set beside a running desk, mistyped, changed, lost."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from concurrent.futures import Future
from pathlib import Path

import pytest
from cryptography.fernet import Fernet

from consult.records.backup import backup, integrity, restore
from consult.records.encryption import MISSING, WRONG_KEY, Seal
from consult.records.engine import Database
from consult.records.errors import CannotKeep, NoKey
from consult.records.keys import change_key, replace_lost_key
from consult.records.merge import merge_spilled
from consult.records.record import Record
from consult.records.recovery_file import files_in
from consult.records.schema import health
from consult.records.store import Store
from consult.records.store import open_store as _open
from tests.records.killing import every_kill
from tests.records.samples import (
    NOW,
    PRIVATE,
    VERSIONS,
    append,
    begin,
    call_of,
    keep,
    on_disk,
    words,
)

BACK = "lumbagosecret"
CALL = call_of(("a", "1"), ("pain", BACK), ("b", "2"), ("since", BACK + "days"))
KEY, OTHER = (Fernet.generate_key().decode() for _ in range(2))


_OPEN: list[Store] = []


def open_store(place: str | Path, key: str | None = None) -> Store:
    """Records, closed when the test is over."""
    _OPEN.append(_open(place, key))
    return _OPEN[-1]


@pytest.fixture(autouse=True)
def _closed() -> Iterator[None]:
    yield
    while _OPEN:
        _OPEN.pop().close()


def test_a_key_set_beside_a_running_desk(place: str, tmp_path: Path) -> None:
    """The desk without it is told, writes no health from then on, and nothing is there twice."""
    bare = open_store(place)
    call = CALL.add(call_of(("c", "3")).answers[0])
    opened = keep(bare, call, True)
    keyed = open_store(place, KEY)
    longer = call.add(call_of(("d", "4")).answers[0])
    assert append(bare, opened, longer, True) == (MISSING,)
    longer = longer.add(call_of(("pain", BACK + "again")).answers[0])
    assert append(bare, opened, longer, True) == (MISSING,)
    assert words(keyed.read(opened.id).call.answers) == [*words(call.answers), ("d", "4")]
    assert words(open_store(place).read(opened.id).call.answers) == [
        *(("a", "1"), ("b", "2"), ("c", "3"), ("d", "4"))
    ]
    assert integrity(keyed) == ()
    if "://" not in place:
        assert BACK.encode() not in on_disk(tmp_path)
        backup(keyed, tmp_path / "copy.db")
        assert BACK.encode() not in on_disk(tmp_path)


def test_the_key_of_a_desk_encrypts_records_put_back_in_plain(tmp_path: Path) -> None:
    """Records replaced by unencrypted ones under a desk with a key are encrypted as it writes."""
    plain = open_store(tmp_path / "plain.db")
    keep(plain, CALL, True)
    keyed = open_store(tmp_path / "kept" / "r.db", KEY)
    backup(plain, tmp_path / "kept" / "copy.db")
    restore(tmp_path / "kept" / "copy.db", tmp_path / "kept" / "r.db")
    (tmp_path / "kept" / "copy.db").unlink()
    keep(keyed, CALL, True)
    assert BACK.encode() not in on_disk(tmp_path / "kept")


def test_a_plain_answer_in_encrypted_records(store: Store, place: str) -> None:
    """The check names it, and any opening with the key encrypts it."""
    keyed = open_store(place, KEY)
    opened = keep(keyed, CALL, True)
    with keyed.database.writing() as connection:
        from consult.records.kept import check_of

        for one in connection.execute(health.select()).all():
            body = b"p" + keyed.seal.open(one.body)
            check = check_of(one.call_id, one.kind, one.seq, body)
            own = health.c.id == one.id
            connection.execute(health.update().where(own).values(body=body, check=check))
    (finding,) = integrity(store)
    assert finding.startswith(f"Call {opened.reference} has 2 health answers that are not encr")
    again = open_store(place, KEY)
    assert integrity(store) == integrity(again) == ()
    assert again.read(opened.id).call == CALL


@pytest.mark.parametrize("key", [OTHER, "abc"], ids=["another", "malformed"])
def test_a_wrong_key_shuts_out_health_alone(place: str, key: str) -> None:
    """Everything that works without a key works with a wrong one, and it says so."""
    opened = keep(open_store(place, KEY), CALL, True)
    store = open_store(place, key)
    assert store.key_trouble
    kept = store.read(opened.id)
    assert words(kept.call.answers) == [("a", "1"), ("b", "2")]
    assert kept.trouble == store.key_trouble
    assert integrity(store) == ()
    assert store.latest()[0].reference == opened.reference
    mine = store.take_over(opened.id, "Bea", NOW, anyway=True)
    told = append(store, mine, kept.call.add(call_of(("pain", "x")).answers[0]), True)
    assert told == (store.key_trouble,)


def record_of(store: Store | None, folder: Path) -> Record:
    """A desk's record; no store: the records cannot be opened."""
    opening: Future[Store] = Future()
    if store is None:
        opening.set_exception(CannotKeep("The records are away."))
    else:
        opening.set_result(store)
    return Record(opening, (folder,), VERSIONS, PRIVATE, "Ann")


def put(record: Record, *said: tuple[str, str], consent: bool | None = True) -> tuple[str, ...]:
    """A call as far as it has come."""
    return record.keep(call_of(*said), consent=consent, caller_name="Ada", at=NOW)


CONSENTED = (("a", "1"), ("pain", BACK), ("b", "2"))


@pytest.mark.parametrize("away", [False, True], ids=["records there", "records away"])
def test_a_call_held_with_a_mistyped_key(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, away: bool
) -> None:
    """What may go in goes in; the rest waits encrypted, and goes in with the key it has."""
    keep(open_store(tmp_path / "r.db", KEY), CALL, True)
    monkeypatch.setenv("CONSULT_KEY", OTHER)
    record = record_of(None if away else open_store(tmp_path / "r.db"), tmp_path / "recovery")
    for count in range(1, 4):
        told = put(record, *CONSENTED[:count])
    assert any("recovery file" in sentence for sentence in told)
    assert BACK.encode() not in on_disk(tmp_path)
    monkeypatch.delenv("CONSULT_KEY")
    store = open_store(tmp_path / "r.db", KEY)
    for _ in range(2):
        merged = merge_spilled(store, (tmp_path / "recovery",), NOW)
        assert "records recover" in merged.told[0]
        assert words(store.read(record.reference).call.answers) == [("a", "1"), ("b", "2")]
    # The call goes on elsewhere meanwhile.
    mine = store.take_over(record.reference, "Bea", NOW, anyway=True)
    seen = store.read(record.reference).call
    assert append(store, mine, seen.add(call_of(("c", "3")).answers[0]), True, "Ada") == ()
    merged = merge_spilled(store, (tmp_path / "recovery",), NOW, [Seal(OTHER)])
    assert (merged.calls, merged.told) == (1, [])
    kept = store.read(record.reference)
    assert words(kept.call.answers) == [*CONSENTED, ("c", "3")]
    assert len(store.latest()) == 2
    assert files_in((tmp_path / "recovery",)) == ()
    assert BACK.encode() not in on_disk(tmp_path)


def test_consent_taken_back_reaches_what_waits_for_its_key(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The desk removes its own file; one that waits elsewhere is never put in."""
    open_store(tmp_path / "r.db", KEY)
    monkeypatch.setenv("CONSULT_KEY", OTHER)
    record = record_of(open_store(tmp_path / "r.db"), tmp_path / "recovery")
    put(record, *CONSENTED)
    shutil.copytree(tmp_path / "recovery", tmp_path / "elsewhere")
    put(record, *CONSENTED, consent=False)
    assert files_in((tmp_path / "recovery",)) == ()
    monkeypatch.delenv("CONSULT_KEY")
    store = open_store(tmp_path / "r.db", KEY)
    merge_spilled(store, (tmp_path / "elsewhere",), NOW, [Seal(OTHER)])
    assert words(store.read(record.reference).call.answers) == [("a", "1"), ("b", "2")]
    assert files_in((tmp_path / "elsewhere",)) == ()


def test_a_malformed_key_loses_no_other_answer(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Records or recovery file take the call without its health, which is said."""
    monkeypatch.setenv("CONSULT_KEY", "abc")
    store = open_store(tmp_path / "r.db")
    record = record_of(store, tmp_path / "recovery")
    assert "is not valid" in put(record, *CONSENTED)[0]
    assert words(store.read(record.reference).call.answers) == [("a", "1"), ("b", "2")]
    away = record_of(None, tmp_path / "recovery")
    assert "recovery file" in put(away, *CONSENTED)[1]
    assert merge_spilled(store, (tmp_path / "recovery",), NOW).told == []
    assert words(store.read(away.reference).call.answers) == [("a", "1"), ("b", "2")]
    assert BACK.encode() not in on_disk(tmp_path)


def test_a_key_changed(place: str) -> None:
    """Everything reads with the new key, nothing with the old; a desk with that goes on."""
    old = open_store(place, KEY)
    opened = keep(old, CALL, True)
    erased = keep(old, CALL, True)
    append(old, erased, CALL, False)
    with pytest.raises(NoKey):
        change_key(open_store(place, OTHER).database, Seal(OTHER), Seal(OTHER))
    assert change_key(old.database, old.seal, Seal(OTHER)) == 2
    new = open_store(place, OTHER)
    assert new.key_trouble == ""
    assert new.read(opened.id).call == CALL
    assert open_store(place, KEY).key_trouble == WRONG_KEY
    longer = CALL.add(call_of(("pain", "later"), ("c", "3")).answers[0])
    assert append(old, opened, longer, True) == (WRONG_KEY,)
    assert new.read(opened.id).call == CALL


def test_a_lost_key(place: str) -> None:
    """What nobody can read is erased, the rest stays, and health is stored again."""
    opened = keep(open_store(place, KEY), CALL, True)
    bare = open_store(place)
    assert replace_lost_key(bare.database, Seal(OTHER), NOW) == 2
    new = open_store(place, OTHER)
    assert words(new.read(opened.id).call.answers) == [("a", "1"), ("b", "2")]
    assert integrity(new) == ()
    again = keep(new, CALL, True)
    assert new.read(again.id).call == CALL


def test_what_could_not_be_wiped_is_at_the_next_opening(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A program killed between encrypting and wiping leaves a mark, which the next one obeys."""
    keep(open_store(tmp_path / "r.db"), CALL, True)
    with monkeypatch.context() as killed:
        killed.setattr(Database, "scrub", lambda _: False)
        assert open_store(tmp_path / "r.db", KEY).copies_remain
    assert not open_store(tmp_path / "r.db", KEY).copies_remain


@pytest.mark.parametrize("how", ["set", "changed"])
def test_killed_before_every_step_of_a_key(tmp_path: Path, how: str) -> None:
    """The records have one key, reading all, and once opened with it no plain word is left."""
    made = tmp_path / "made"
    with_key = None if how == "set" else KEY
    store = open_store(made / "r.db", with_key)
    references = [keep(store, CALL, True).reference for _ in range(3)]
    open_call = begin(store)
    append(store, open_call, CALL, True)
    records = tmp_path / "records"
    shutil.copytree(made, records)

    def work() -> None:
        if how == "set":
            open_store(records / "r.db", OTHER)
        else:
            old = open_store(records / "r.db", KEY)
            change_key(old.database, old.seal, Seal(OTHER))
            old.wipe()

    step = 0
    for step in every_kill(work, records):
        after = open_store(records / "r.db", OTHER)
        if after.key_trouble:
            assert (how, after.key_trouble) == ("changed", WRONG_KEY), step
            after = open_store(records / "r.db", KEY)
        assert not after.key_trouble
        assert all(after.read(one).call == CALL for one in references), step
        assert integrity(after) == ()
        assert BACK.encode() not in on_disk(records), step
        assert not after.copies_remain
    assert step > 15
