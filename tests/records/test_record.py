"""The call at hand is kept whatever happens, and comes back into the records once."""

from __future__ import annotations

import shutil
from base64 import b64encode
from concurrent.futures import Future
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from threading import Event

import pytest
from cryptography.fernet import Fernet

from consult.call.call import Call
from consult.records.erase import erase
from consult.records.errors import CannotKeep
from consult.records.merge import merge_spilled
from consult.records.record import NOWHERE, Opening, Record
from consult.records.recovery_file import spill_folders
from consult.records.store import Store, open_store
from tests.long import AT_MOST
from tests.records.samples import NOW, PRIVATE, VERSIONS, append, begin, call_of, keep, on_disk
from tests.records.test_store import ODD

CALL = call_of(("a", "1"), ("pain", "backsecret"), ("b", "2"))
LATER = NOW + timedelta(minutes=10)


def record_of(store: Store | None, folders: tuple[Path, ...]) -> Record:
    """A desk's record; no store: the records cannot be opened."""
    opening: Future[Store] = Future()
    if store is None:
        opening.set_exception(CannotKeep("The records are away."))
    else:
        opening.set_result(store)
    return Record(opening, folders, VERSIONS, PRIVATE, "Ann")


def put(record: Record, call: Call, consent: bool | None = None) -> tuple[str, ...]:
    """An answer given."""
    return record.keep(call, consent=consent, caller_name="Ada", at=NOW)


@pytest.fixture
def folders(tmp_path: Path) -> tuple[Path, ...]:
    """Where recovery files go."""
    return (tmp_path / "recovery",)


def test_a_call_is_kept_in_the_records(store: Store, folders: tuple[Path, ...]) -> None:
    """Where all is well nothing is said, and no recovery file is made."""
    record = record_of(store, folders)
    assert put(record, call_of()) == ()
    assert store.latest() == ()
    assert put(record, CALL) == ()
    assert record.beat(NOW) == ()
    assert record.leave("finished", NOW) == ()
    assert store.read(record.reference).status == "finished"
    assert not folders[0].exists()


def test_a_call_that_cannot_be_kept_is_spilt_and_merged(
    store: Store, folders: tuple[Path, ...]
) -> None:
    """It stands in a recovery file of this user alone, and comes into the records once."""
    record = record_of(None, folders)
    call = CALL.handle("back_stop", lifted="r", at=NOW)
    told = put(record, call, True)
    assert told[0] == "The records are away."
    assert "recovery file" in told[1]
    (file,) = folders[0].iterdir()
    assert file.stat().st_mode & 0o777 == 0o600
    assert merge_spilled(store, folders, LATER).calls == 1
    kept = store.read(record.reference)
    assert (kept.call, kept.status, kept.caller_name) == (call, "held", "Ada")
    assert not list(folders[0].iterdir())
    assert merge_spilled(store, folders, LATER).calls == 0


def test_any_text_survives_a_recovery_file(store: Store, folders: tuple[Path, ...]) -> None:
    """To the character."""
    call = call_of(*(("q", text) for text in ODD), *(("pain", text) for text in ODD))
    record = record_of(None, folders)
    put(record, call, True)
    merge_spilled(store, folders, LATER)
    assert store.read(record.reference).call == call


@pytest.mark.parametrize("consent", [None, False])
def test_without_consent_no_health_is_spilt(
    folders: tuple[Path, ...], tmp_path: Path, consent: bool | None
) -> None:
    """Taken back, it is gone from the recovery file too."""
    record = record_of(None, folders)
    put(record, CALL, True)
    assert on_disk(tmp_path).count(b'"health": null') == 2
    put(record, CALL, consent)
    assert on_disk(tmp_path).count(b'"health": null') == 3


def test_a_key_closes_recovery_files(
    folders: tuple[Path, ...], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Health in a recovery file is as closed as in the records, and alone waits for the key."""
    key = Fernet.generate_key().decode()
    monkeypatch.setenv("CONSULT_KEY", key)
    record = record_of(None, folders)
    put(record, CALL, True)
    monkeypatch.delenv("CONSULT_KEY")
    assert b64encode(b'p["pain", "backsecret"')[:16] not in on_disk(tmp_path)
    bare = open_store(tmp_path / "r.db")
    merged = merge_spilled(bare, folders, LATER)
    assert merged.calls == 1
    assert "key is missing" in merged.told[0]
    assert bare.read(record.reference).call.answers == (CALL.answers[0], CALL.answers[2])
    with_key = open_store(tmp_path / "r.db", key)
    assert merge_spilled(with_key, folders, LATER).calls == 1
    assert with_key.read(record.reference).call == CALL


def test_records_that_come_back_take_everything(tmp_path: Path, folders: tuple[Path, ...]) -> None:
    """A file that is gone for some answers is caught up with the next one, and the spill goes."""
    store = open_store(tmp_path / "d" / "r.db")
    record = record_of(store, folders)
    put(record, call_of(("a", "1")))
    shutil.move(tmp_path / "d", tmp_path / "away")
    assert "no longer exists" in put(record, CALL)[0]
    assert record.note_summary(tmp_path / "s.txt", NOW)
    shutil.move(tmp_path / "away", tmp_path / "d")
    more = CALL.add(call_of(("c", "3")).answers[0])
    assert put(record, more, True) == ()
    assert store.read(record.reference).call == more
    assert not list(folders[0].iterdir())


def test_merged_while_the_desk_goes_on(tmp_path: Path, folders: tuple[Path, ...]) -> None:
    """Another start may merge the file of a desk that is at work: one call comes of it."""
    store = open_store(tmp_path / "r.db")
    opening: Future[Store] = Future()
    record = Record(opening, folders, VERSIONS, PRIVATE, "Ann", patience=0.01)
    assert "still opening" in put(record, CALL)[0]
    merge_spilled(store, folders, NOW)
    put(record, CALL.add(call_of(("c", "3")).answers[0]), True)
    merge_spilled(store, folders, NOW)
    opening.set_result(store)
    more = CALL.add(call_of(("c", "3")).answers[0]).add(call_of(("d", "4")).answers[0])
    assert put(record, more, True) == ()
    assert len(store.latest()) == 1
    assert store.read(record.reference).call == more


def test_a_clash_keeps_both(store: Store, folders: tuple[Path, ...]) -> None:
    """A call gone on with in two places is kept twice, once however often it is merged."""
    record = record_of(store, folders)
    put(record, CALL)
    other = store.take_over(record.reference, "Bea", LATER)
    append(
        store, other, store.read(other.id).call.add(call_of(("theirs", "x")).answers[0]), at=LATER
    )
    assert "open with Bea" in put(record, CALL.add(call_of(("mine", "y")).answers[0]))[0]
    (file,) = folders[0].iterdir()
    again = file.read_bytes()
    assert "is added when that screen closes" in merge_spilled(store, folders, LATER).told[0]
    store.hold(other, LATER)
    told = merge_spilled(store, folders, LATER).told[0]
    file.write_bytes(again)
    assert merge_spilled(store, folders, LATER).calls == 0
    assert not list(folders[0].iterdir())
    second, first = store.latest()
    assert second.reference in told
    assert first.reference == record.reference
    assert [one.question for one in store.read(first.id).call.answers] == ["a", "b", "theirs"]
    assert [one.question for one in store.read(second.id).call.answers] == ["a", "b", "mine"]


def test_consent_taken_back_in_a_clash_counts(store: Store, folders: tuple[Path, ...]) -> None:
    """Health is erased from the records even where the rest goes into a call of its own."""
    record = record_of(store, folders)
    put(record, CALL, True)
    other = store.take_over(record.reference, "Bea", LATER)
    append(store, other, CALL.add(call_of(("theirs", "x")).answers[0]), True)
    put(record, CALL.add(call_of(("mine", "y")).answers[0]), False)
    store.hold(other, LATER)
    merge_spilled(store, folders, LATER)
    for one in store.latest():
        assert "pain" not in [said.question for said in store.read(one.id).call.answers]


def test_the_erased_do_not_come_back(store: Store, folders: tuple[Path, ...]) -> None:
    """A recovery file found after its caller was erased is removed, not merged."""
    record = record_of(None, folders)
    put(record, CALL, True)
    (file,) = folders[0].iterdir()
    copy = file.read_bytes()
    merge_spilled(store, folders, LATER)
    erase(store, record.reference, LATER, folders)
    file.write_bytes(copy)
    merge_spilled(store, folders, LATER)
    assert store.latest() == ()
    assert not list(folders[0].iterdir())


def test_one_never_merged_can_be_erased(store: Store, folders: tuple[Path, ...]) -> None:
    """A caller whose call is in a recovery file alone is erased there."""
    record = record_of(None, folders)
    put(record, CALL, True)
    assert erase(store, record.reference, LATER, folders).calls == 1
    assert not list(folders[0].iterdir())


def test_damaged_recovery_files_are_left(store: Store, folders: tuple[Path, ...]) -> None:
    """A file that is not whole is named and stays; those beside it are merged."""
    put(record_of(None, folders), CALL)
    (file,) = folders[0].iterdir()
    whole = file.read_bytes()
    for number, data in enumerate([b"", b"\xff\0", b"{}\n", b"[1]\n", whole[:-9], whole[40:]]):
        (folders[0] / f"x{number}.recovery").write_bytes(data)
    merged = merge_spilled(store, folders, LATER)
    assert merged.calls == 1
    assert len(merged.told) == len(list(folders[0].iterdir())) == 6
    assert all("damaged" in one for one in merged.told)


def test_what_nobody_foresaw_is_spilt_too(
    file_store: Store, folders: tuple[Path, ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    """A mistake in the program costs no answer."""

    def break_down(*_: object, **__: object) -> None:
        raise RuntimeError("unforeseen")

    record = record_of(file_store, folders)
    with monkeypatch.context() as patched:
        patched.setattr(Store, "append", break_down)
        told = put(record, CALL)
    assert told[0] == "The call could not be stored in the records (RuntimeError)."
    assert "recovery file" in told[1]
    opening: Future[Store] = Future()
    opening.set_exception(ImportError("no database"))
    other = Record(opening, folders, VERSIONS, PRIVATE, "Ann")
    assert "recovery file" in put(other, CALL)[1]
    merge_spilled(file_store, folders, LATER)
    for one in (record, other):
        assert file_store.read(one.reference).call.answers == (CALL.answers[0], CALL.answers[2])


def test_nowhere_to_keep_it(tmp_path: Path) -> None:
    """Where no disk takes it, the adviser is told to export."""
    (tmp_path / "file").write_text("x")
    record = record_of(None, (tmp_path / "file" / "a", tmp_path / "file" / "b"))
    told = put(record, CALL)
    assert told[0] == "The records are away."
    assert told[1].startswith(NOWHERE)
    assert "is no folder" in told[1]


def test_the_second_folder_where_the_first_refuses(tmp_path: Path) -> None:
    """Beside the records, else in the folder for state."""
    (tmp_path / "file").write_text("x")
    first, second = spill_folders(tmp_path / "file" / "r.db")
    put(record_of(None, (first, second)), CALL)
    assert len(list(second.iterdir())) == 1
    assert spill_folders("postgresql://h/d") == (second,)


def test_held_and_finished_in_a_recovery_file(store: Store, folders: tuple[Path, ...]) -> None:
    """How the call ended comes into the records too, and the files written about it."""
    record = record_of(None, folders)
    put(record, CALL)
    record.note_summary(Path("/nowhere/s.txt"), NOW)
    record.leave("stopped", NOW)
    merge_spilled(store, folders, NOW)
    kept = store.read(record.reference)
    assert (kept.status, kept.summaries) == ("stopped", ("/nowhere/s.txt",))


def test_a_call_gone_on_with(store: Store, folders: tuple[Path, ...]) -> None:
    """A call opened from the records goes on under its reference."""
    opened = keep(store, CALL)
    store.hold(opened, NOW)
    mine = store.take_over(opened.reference, "Ann", NOW)
    opening: Future[Store] = Future()
    opening.set_result(store)
    record = Record(opening, folders, VERSIONS, PRIVATE, "Ann", opened=mine)
    assert record.reference == opened.reference
    resumed = replace(store.read(mine.id).call)
    assert put(record, resumed.add(call_of(("c", "3")).answers[0])) == ()
    assert record.leave("held", NOW) == ()
    assert begin(store).reference != record.reference


def test_opening_soon_hands_on_what_went_wrong(tmp_path: Path) -> None:
    """The records are opened beside the desk; trouble comes with the first answer."""
    opening = Opening(lambda: open_store(tmp_path / "r.db"))
    other = Opening(lambda: open_store(tmp_path / "other"))
    opening.start()
    assert opening.result(9).latest() == ()
    (tmp_path / "other").write_text("notes " * 100)
    other.start()
    record = Record(
        other,
        spill_folders(tmp_path / "other"),
        VERSIONS,
        PRIVATE,
        "Ann",
    )
    assert "does not contain stored calls" in put(record, CALL)[0]


def test_records_asked_for_before_they_were_begun(tmp_path: Path) -> None:
    """An answer typed before the first screen opens them; ``then`` is called all the same."""
    opened: list[str] = []

    def opener() -> Store:
        opened.append("once")
        return open_store(tmp_path / "r.db")

    opening, told = Opening(opener), Event()
    assert opening.result(AT_MOST).latest() == ()
    opening.start(told.set)
    assert told.wait(AT_MOST)
    assert opened == ["once"]
