"""Recovery files grow old like the records, and nothing in them outlives the days set."""

from __future__ import annotations

import os
from concurrent.futures import Future
from datetime import datetime, timedelta
from pathlib import Path

import pytest
from cryptography.fernet import Fernet

from consult.records.backup import integrity
from consult.records.erase import erase, purge
from consult.records.errors import CannotKeep, NoSuchCall
from consult.records.merge import merge_spilled
from consult.records.record import Record
from consult.records.store import Store
from tests.records.samples import NOW, PRIVATE, VERSIONS, append, call_of, keep, on_disk, words
from tests.records.test_erase import audited

CALL = call_of(("a", "mystature"), ("pain", "backsecret"), ("b", "2"))
CALL = CALL.handle("back_stop", lifted="secretreason", at=NOW)


def spill(
    folder: Path, at: datetime, consent: bool | None = True, store: Store | None = None
) -> str:
    """A call that never reached the records, or is there too under the reference returned."""
    opening: Future[Store] = Future()
    if store is None:
        opening.set_exception(CannotKeep("The records are away."))
        record = Record(opening, (folder,), VERSIONS, PRIVATE, "Ann")
    else:
        old = store.begin(call_of(), VERSIONS, "Ann", NOW - timedelta(days=900))
        append(store, old, call_of(("a", "mystature")), at=NOW - timedelta(days=900))
        opening.set_exception(CannotKeep("The records are away."))
        record = Record(opening, (folder,), VERSIONS, PRIVATE, "Ann", opened=old)
    record.keep(CALL, consent=consent, caller_name="Quillfeather", at=at)
    return record.reference


def ago(days: int) -> datetime:
    return NOW - timedelta(days=days)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Where recovery files go."""
    return tmp_path / "recovery"


def test_calls_in_recovery_files_alone_go_by_age(store: Store, folder: Path) -> None:
    """After a year the file goes, after ninety days its health; a dry run tells both and keeps."""
    by_age = {days: spill(folder, ago(days)) for days in (89, 91, 364, 366)}
    before = on_disk(folder)
    dry = purge(store, NOW, dry_run=True, folders=[folder])
    assert (dry.calls, dry.health) == (1, 4)
    assert (len(dry.files), len(dry.bared)) == (1, 2)
    assert on_disk(folder) == before
    done = purge(store, NOW, folders=[folder])
    assert (done.calls, done.health) == (1, 4)
    assert done.files == dry.files
    assert [one.left for one in (*done.files, *done.bared)] == [""] * 3
    assert audited(store) == [("calls erased by age", 1), ("health answers erased by age", 4)]
    again = purge(store, NOW, folders=[folder])
    assert (again.calls, again.health, again.files, again.bared) == (0, 0, (), ())
    assert merge_spilled(store, [folder], NOW).calls == 3
    assert store.read(by_age[89]).call == CALL
    for days in (91, 364):
        kept = store.read(by_age[days]).call
        assert words(kept.answers) == [("a", "mystature"), ("b", "2")]
        assert [one.caution for one in kept.handled] == [""]
    with pytest.raises(NoSuchCall):
        store.read(by_age[366])
    assert integrity(store) == ()


def test_health_goes_without_the_key(
    file_store: Store, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What is encrypted need not be read to be taken out."""
    monkeypatch.setenv("CONSULT_KEY", Fernet.generate_key().decode())
    reference = spill(folder, ago(100))
    monkeypatch.delenv("CONSULT_KEY")
    assert purge(file_store, NOW, folders=[folder]).health == 2
    assert merge_spilled(file_store, [folder], NOW).told == []
    assert words(file_store.read(reference).call.answers) == [("a", "mystature"), ("b", "2")]


def test_the_younger_of_both_counts(store: Store, folder: Path) -> None:
    """A call old in the records and gone on with in a recovery file is young; then it goes."""
    reference = spill(folder, ago(10), store=store)
    done = purge(store, NOW, folders=[folder])
    assert (done.calls, done.health, done.files) == (0, 0, ())
    assert store.read(reference)
    gone = purge(store, NOW + timedelta(days=400), folders=[folder])
    assert gone.calls == 1
    assert len(gone.files) == 1
    assert not list(folder.iterdir())
    with pytest.raises(NoSuchCall):
        store.read(reference)


def test_old_health_goes_from_both(store: Store, folder: Path) -> None:
    """Put back afterwards, the call is one, without health."""
    reference = spill(folder, ago(100), store=store)
    assert purge(store, NOW, folders=[folder]).health == 2
    assert merge_spilled(store, [folder], NOW).told == []
    assert words(store.read(reference).call.answers) == [("a", "mystature"), ("b", "2")]
    assert len(store.latest()) == 1


def test_a_claimed_file_is_reached(file_store: Store, folder: Path) -> None:
    """One that another desk began to put back and did not is as old as any."""
    spill(folder, ago(400))
    (file,) = folder.iterdir()
    file.rename(file.with_suffix(".merging"))
    assert purge(file_store, NOW, folders=[folder]).calls == 1
    assert not list(folder.iterdir())


def test_a_purged_call_does_not_come_back(file_store: Store, folder: Path) -> None:
    """A copy of its recovery file found later is removed, not put back."""
    spill(folder, ago(400))
    (file,) = folder.iterdir()
    copy = file.read_bytes()
    purge(file_store, NOW, folders=[folder])
    file.write_bytes(copy)
    merge_spilled(file_store, [folder], NOW)
    assert file_store.latest() == ()


def test_damaged_recovery_files_go_with_the_health(file_store: Store, folder: Path) -> None:
    """Nothing can be taken out of them, so they go whole; younger ones stay. Dated by their time
    on the disk where they tell none."""
    spill(folder, ago(100))
    (file,) = folder.iterdir()
    whole = file.read_bytes()
    file.write_bytes(whole[:-9])
    for name, days in (("old", 100), ("young", 10)):
        for number, data in enumerate([b"", b"\xff\0", b"{}\n", b"[1]\n", whole[40:]]):
            path = folder / f"{name}{number}.recovery"
            path.write_bytes(data)
            os.utime(path, (ago(days).timestamp(), ago(days).timestamp()))
    dry = purge(file_store, NOW, dry_run=True, folders=[folder])
    done = purge(file_store, NOW, folders=[folder])
    assert done.files == dry.files
    assert len(done.files) == 6
    assert sorted(path.name[:5] for path in folder.iterdir()) == ["young"] * 5


def test_one_torn_file_takes_no_whole_one_along(file_store: Store, folder: Path) -> None:
    """Of two files of one call, the one that can be read stays, its health taken out."""
    reference = spill(folder, ago(100))
    (file,) = folder.iterdir()
    (folder / "torn.recovery").write_bytes(file.read_bytes()[:-9])
    done = purge(file_store, NOW, folders=[folder])
    assert [one.path.name for one in done.files] == ["torn.recovery"]
    assert (done.calls, len(done.bared)) == (0, 1)
    assert merge_spilled(file_store, [folder], NOW).calls == 1
    assert file_store.read(reference)


def test_files_written_about_a_call_in_a_recovery_file(
    store: Store, folder: Path, tmp_path: Path
) -> None:
    """Erased or purged, the summaries that only the recovery file names go too; one that another
    call wrote over stays and is told."""
    for number, take in enumerate((erase, None)):
        opening: Future[Store] = Future()
        opening.set_exception(CannotKeep("The records are away."))
        record = Record(opening, (folder,), VERSIONS, PRIVATE, "Ann")
        record.keep(CALL, consent=True, caller_name="", at=ago(400))
        mine, theirs = tmp_path / f"mine{number}.txt", tmp_path / f"theirs{number}.txt"
        for path in (mine, theirs):
            path.write_text("x")
            record.note_summary(path, ago(400))
        store.note_summary(keep(store, call_of(("a", "1"))).id, theirs, NOW)
        if take:
            done = take(store, record.reference, NOW, [folder])
        else:
            done = purge(store, NOW, folders=[folder])
        assert not mine.exists()
        assert theirs.exists()
        assert ["another call" in one.left for one in done.files] == [False, True, False]
        assert not list(folder.iterdir())


def test_a_file_that_cannot_be_written_anew_is_told(
    file_store: Store, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It stays as it is, and so it is said."""
    spill(folder, ago(100))

    def refuse(*_: object) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patched:
        patched.setattr("consult.records.recovery_file.write_in_place", refuse)
        done = purge(file_store, NOW, folders=[folder])
    assert [one.left for one in done.bared] == ["No space left on device"]
    assert done.health == 0
    assert audited(file_store) == []
    assert purge(file_store, NOW, folders=[folder]).health == 2


def test_many_calls_go_in_several_statements(
    store: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """None is left out between two of them, and a file that a later call wrote anew stays."""
    monkeypatch.setattr("consult.records.rows._AT_ONCE", 2)
    files = [tmp_path / f"{number}.txt" for number in range(5)]
    numbers = []
    for at, file in enumerate(files):
        opened = store.begin(CALL, VERSIONS, "Ann", ago(91 + at))
        append(store, opened, CALL, True, at=ago(91 + at))
        file.write_text("a paper")
        store.note_summary(opened.id, file, NOW)
        numbers.append(opened.id)
    store.note_summary(numbers[0], files[4], NOW)  # of two calls that both go
    young = keep(store, CALL, True)
    for file in files[1:3]:
        store.note_summary(young.id, file, NOW)
    assert purge(store, NOW, dry_run=True).health == 10
    assert purge(store, NOW).health == 10
    assert integrity(store) == ()
    assert purge(store, NOW).health == 0
    done = purge(store, NOW, retention_days=90)
    assert (done.calls, done.health) == (5, 0)
    assert [one.path for one in done.files if one.left] == files[1:3]
    assert [file.exists() for file in files] == [False, True, True, False, False]
    assert [one.reference for one in store.latest()] == [young.reference]
    assert store.read(young.reference).call.answers[1].said == "backsecret"
    assert integrity(store) == ()
