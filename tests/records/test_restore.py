"""A backup put back: killed before any step, the records are the old ones or the backup, whole."""

from __future__ import annotations

import shutil
import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest

from consult.records.backup import backup, integrity, restore
from consult.records.errors import CannotKeep, Newer
from consult.records.schema import SCHEMA_VERSION
from consult.records.store import open_store
from tests.records.killing import every_kill
from tests.records.samples import call_of, keep, on_disk, words


def references(place: Path) -> set[str]:
    """The calls there, each proved."""
    store = open_store(place)
    assert integrity(store) == ()
    return {one.reference for one in store.latest(limit=99)}


@pytest.fixture
def scene(tmp_path: Path) -> tuple[Callable[[], None], Path, set[str], set[str]]:
    """Records of two old calls and two in the log of a desk that died; a backup of the first two.

    What sets them up anew, their folder, the references of now and of the backup.
    """
    made, here = tmp_path / "made", tmp_path / "here"
    store = open_store(made / "records.db")
    saved = {keep(store, call_of(("a", str(n)))).reference for n in range(2)}
    backup(store, made / "backup.db")
    with closing(sqlite3.connect(made / "records.db")) as dying:
        # A reader keeps the log from being moved into the file, as a desk that is killed does.
        dying.execute("BEGIN")
        dying.execute("SELECT count(*) FROM calls").fetchone()
        now = saved | {keep(store, call_of(("b", f"in the log {n}"))).reference for n in range(2)}
        shutil.copytree(made, here)

    def set_up() -> None:
        shutil.rmtree(here, ignore_errors=True)
        shutil.copytree(tmp_path / "scene", here)

    here.rename(tmp_path / "scene")
    assert (tmp_path / "scene" / "records.db-wal").stat().st_size > 0
    return set_up, here, now, saved


def test_killed_before_every_step(
    scene: tuple[Callable[[], None], Path, set[str], set[str]],
) -> None:
    """Nothing of either is lost, nothing is left over, and what happened is told."""
    set_up, folder, now, saved = scene
    place, aside = folder / "records.db", folder / "records.db.aside-1"
    undone = finished = 0
    set_up()
    for step in every_kill(lambda: restore(folder / "backup.db", place), folder):
        left = {one.name for one in folder.glob(".*")}
        store = open_store(place)
        found = {one.reference for one in store.latest(limit=99)}
        if found == now:
            assert not aside.exists(), step
            undone += 1
            assert bool(left) == any("before it changed" in one for one in store.notices), step
        else:
            assert found == saved, step
            assert references(aside) == now, step
            finished += 1
            assert any("is now finished" in one for one in store.notices) or not left, step
        assert integrity(store) == (), step
        assert open_store(place).notices == ()
        assert not list(folder.glob(".*")), step
    assert undone > 5
    assert finished > 3
    assert references(place) == saved
    assert references(aside) == now
    assert aside.stat().st_mode & 0o777 == 0o600


def test_killed_where_there_were_no_records(
    scene: tuple[Callable[[], None], Path, set[str], set[str]],
) -> None:
    """There are none or those of the backup, and restoring again is always possible."""
    set_up, folder, _, saved = scene
    place = folder / "new" / "records.db"
    set_up()
    for step in every_kill(lambda: restore(folder / "backup.db", place), folder):
        if place.exists() and references(place):
            assert references(place) == saved, step
        else:
            restore(folder / "backup.db", place)
        assert references(place) == saved, step
        assert not list(place.parent.glob(".*")), step


@pytest.mark.parametrize("damage", [slice(0, 100), slice(4096, 12288), slice(None)])
def test_records_that_are_damaged_are_set_aside_too(
    scene: tuple[Callable[[], None], Path, set[str], set[str]], damage: slice
) -> None:
    """That is what a backup is for: whatever can still be read of them is kept, with its log."""
    set_up, folder, _, saved = scene
    place = folder / "records.db"

    set_up()
    data = bytearray(place.read_bytes())
    data[damage] = b"x" * len(data[damage])
    place.write_bytes(data)
    for step in every_kill(lambda: restore(folder / "backup.db", place), folder):
        restore(folder / "backup.db", place)
        assert references(place) == saved, step
        assert b"in the log 1" in on_disk(folder), step
    assert (folder / "records.db.aside-1").exists()


def test_a_backup_newer_inside_than_its_header(
    scene: tuple[Callable[[], None], Path, set[str], set[str]],
) -> None:
    """Is refused before anything of the records changes."""
    set_up, folder, now, _ = scene
    set_up()
    with closing(sqlite3.connect(folder / "backup.db")) as opened:
        newer = str(SCHEMA_VERSION + 1)
        opened.execute("UPDATE meta SET value = ? WHERE name = 'schema_version'", (newer,))
        opened.commit()
    with pytest.raises(Newer):
        restore(folder / "backup.db", folder / "records.db")
    assert references(folder / "records.db") == now
    assert not list(folder.glob("*aside*"))


def test_another_program_in_the_way(
    scene: tuple[Callable[[], None], Path, set[str], set[str]],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """It is said, and nothing is changed."""
    set_up, folder, now, _ = scene
    set_up()
    monkeypatch.setattr("consult.records.backup._PATIENCE", 0.1)
    with closing(sqlite3.connect(folder / "records.db", isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(CannotKeep):
            restore(folder / "backup.db", folder / "records.db")
        other.execute("ROLLBACK")
    assert references(folder / "records.db") == now
    assert not list(folder.glob(".*"))


def test_records_put_back_serve_many_desks(
    scene: tuple[Callable[[], None], Path, set[str], set[str]],
) -> None:
    """As before: readers read while one writes, and a desk that was open goes on in them."""
    set_up, folder, _, saved = scene
    set_up()
    open_desk = open_store(folder / "records.db")
    restore(folder / "backup.db", folder / "records.db")
    restore(folder / "backup.db", folder / "other.db")
    for place in (folder / "records.db", folder / "other.db"):
        with closing(sqlite3.connect(place)) as opened:
            assert opened.execute("PRAGMA journal_mode").fetchone()[0] == "wal"
    new = keep(open_desk, call_of(("c", "1")))
    assert words(open_store(folder / "records.db").read(new.reference).call.answers) == [("c", "1")]
    assert references(folder / "records.db") == saved | {new.reference}


def test_half_a_backup_is_removed_by_the_next(
    scene: tuple[Callable[[], None], Path, set[str], set[str]],
) -> None:
    """A killed backup leaves no copy for ever, and never a file that looks like a whole one."""
    set_up, folder, now, _ = scene
    place = folder / "records.db"
    set_up()
    for step in every_kill(lambda: backup(open_store(place), folder / "mon.db"), folder):
        store = open_store(place)
        half = list(folder.glob(".mon*"))
        assert (folder / "mon.db").exists() is False or references(folder / "mon.db") == now
        assert backup(store, folder / f"tue{step}.db") is bool(half), step
        assert not list(folder.glob(".mon*")), step
