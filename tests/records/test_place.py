"""Files are written whole and for this user only; records that are gone are not taken for none."""

from __future__ import annotations

import os
import stat
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest

from consult.records.backup import backup
from consult.records.call_trees import FirstCalls
from consult.records.errors import CannotKeep
from consult.records.place import home_path, no_records, records_place, write_in_place
from consult.records.store import Store, open_store
from tests.call.calls import HOSTILE
from tests.records.samples import call_of, keep


@pytest.mark.parametrize("text", HOSTILE)
def test_any_text(text: str, tmp_path: Path) -> None:
    """Every awkward text is written to the character."""
    file = tmp_path / "new" / "text"
    write_in_place(file, text)
    assert file.read_bytes().decode("utf-8", "surrogatepass") == text.replace("\n", os.linesep)


@pytest.mark.skipif(os.name != "posix", reason="permissions as POSIX has them")
def test_for_this_user_only(tmp_path: Path) -> None:
    """Neither the file nor its new folder can be read by others."""
    file = tmp_path / "calls" / "text"
    write_in_place(file, "private")
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    assert stat.S_IMODE(file.parent.stat().st_mode) & 0o077 == 0


def test_home_folders(monkeypatch: pytest.MonkeyPatch) -> None:
    """One's own is filled in, that of a user nobody knows is told, and other paths stay."""
    monkeypatch.setenv("HOME", "/home/ada")
    assert home_path("~/x") == Path("/home/ada/x")
    assert home_path(Path("a/~b")) == Path("a/~b")
    with pytest.raises(CannotKeep, match="~no-such-user/x starts with a user"):
        home_path("~no-such-user/x")


# -- records that are gone, and those that were never there ---------------------------------------


def test_first_records_are_begun_without_a_word(tmp_path: Path) -> None:
    """Also where the file is there and empty, beside files of other programs."""
    tmp_path.joinpath("notes.db").write_text("notes")
    for name in ("new.db", "empty.db"):
        path = tmp_path / name
        if name == "empty.db":
            path.touch()
        assert no_records(path).startswith(f"There are no records at {path} yet; the first call")
        with closing(open_store(path)) as store:
            assert store.notices == ()
        assert no_records(path) == ""
        path.unlink()


def _log(file: Path) -> Path:
    left = file.with_name(f"{file.name}-wal")
    left.write_bytes(b"calls")
    return left


def _recovery(file: Path) -> Path:
    write_in_place(file.parent / "recovery" / "x.recovery", "")
    return file.parent / "recovery" / "x.recovery"


def _copy(file: Path) -> Path:
    with closing(open_store(file)) as store:
        backup(store, file.with_name("monday.db"))
    file.unlink()
    return file.with_name("monday.db")


def _aside(file: Path) -> Path:
    left = file.with_name(f"{file.name}.aside-1")
    left.touch()
    return left


@pytest.mark.parametrize("leave", [_log, _recovery, _copy, _aside])
def test_records_that_left_a_trace(tmp_path: Path, leave: Callable[[Path], Path]) -> None:
    """Who reads is told what was found, and so is who writes, once, before new ones are begun."""
    file = tmp_path / "records.db"
    trace = leave(file)
    assert f"; {trace} may be what is left of them." in no_records(file)
    assert not file.exists()
    with closing(open_store(file)) as store:
        (told,) = store.notices
        assert told.startswith(f"There were no records at {file}, so new ones were begun; {trace}")
    with closing(open_store(file)) as store:
        assert store.notices == ()


def test_the_log_of_records_that_are_gone(tmp_path: Path) -> None:
    """Is not deleted with what is only in it: back in its place, the file is whole again."""
    file, away = tmp_path / "records.db", tmp_path / "trash"
    with closing(open_store(file)) as store:
        reference = keep(store, call_of(("a", "1"))).reference
        log = file.with_name("records.db-wal")
        written = log.read_bytes()
        file.rename(away)
        log.unlink()
    log.write_bytes(written)
    with closing(open_store(file)) as store:
        aside = file.with_name("records.db-wal.aside-1")
        assert str(aside) in store.notices[0]
    away.rename(file)
    aside.rename(log)
    with closing(open_store(file)) as store:
        assert store.read(reference).call.answers[0].said == "1"


def test_a_call_that_others_follow(tmp_path: Path) -> None:
    """Is looked for without making records to look in."""
    file = tmp_path / "records.db"
    assert FirstCalls(file).kept("7K3-M2Q") == no_records(file)
    assert list(tmp_path.iterdir()) == []


def test_a_file_named_by_an_address(file_store: Store) -> None:
    """Is the file; an address without one, and that of a server, stay what they are."""
    path = file_store.database.path
    assert records_place(f"sqlite:///{path}") == path
    assert records_place("sqlite+pysqlite:///calls.db") == Path("calls.db")
    assert records_place("sqlite://") == "sqlite://"
    assert records_place("postgresql:///calls") == "postgresql:///calls"
