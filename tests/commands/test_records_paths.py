"""Paths that begin with a user: filled in where there is one, a plain sentence where not."""

from __future__ import annotations

from pathlib import Path

import pytest

from consult.commands.records import _ACTIONS
from consult.records.store import Store
from tests.commands.runs import Run
from tests.records.samples import call_of, keep

NOBODY = "~no-such-user-here/x.db"
NOWHERE = ("--records", NOBODY)


@pytest.mark.parametrize(
    "words",
    [
        ("records", *NOWHERE, "list"),
        ("records", *NOWHERE, "check"),
        ("records", *NOWHERE, "restore", "copy.db", "--yes"),
        ("records", "--records", f"sqlite:///{NOBODY}", "list"),
        ("records", "backup", NOBODY),
        ("records", "restore", NOBODY, "--yes"),
        ("records", "export", "--format", "json", "--out", NOBODY),
        ("records", "export", "--format", "yaml", "--out", NOBODY),
        ("records", "report", "--tree", NOBODY),
        ("batch", NOBODY, "--out", "out.csv"),
        ("batch", "people.csv", "--out", NOBODY),
        ("batch", "people.csv", "--out", "out.csv", "--tree", NOBODY),
    ],
)
def test_a_user_nobody_knows(
    run: Run,
    records: Store,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    words: tuple[str, ...],
) -> None:
    """It is said so, with exit code 2, and nothing is made or written."""
    keep(records, call_of(("a", "1")))
    (tmp_path / "here").mkdir()
    monkeypatch.chdir(tmp_path / "here")
    Path("copy.db").write_bytes(Path(str(records.database.path)).read_bytes())
    done = run(*words)
    assert (done.code, done.err.count("\n")) == (2, 1)
    assert NOBODY in done.err
    assert "unknown on this machine" in done.err
    assert [file.name for file in Path().iterdir()] == ["copy.db"]


def test_records_named_by_the_environment(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    """Are refused in the same words."""
    monkeypatch.setenv("CONSULT_RECORDS", NOBODY)
    done = run("records", "list")
    assert done.code == 2
    assert "unknown on this machine" in done.err


def test_a_call_at_records_nobody_has(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    """The call is not begun."""
    monkeypatch.setenv("TEXTUAL_DRIVER", "none")
    done = run("call", *NOWHERE)
    assert done.code == 2
    assert "unknown on this machine" in done.err


def test_the_home_folder_is_filled_in(
    run: Run, records: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Also where the shell leaves it, as in --out=~/calls.json."""
    keep(records, call_of(("a", "1")))
    monkeypatch.setenv("HOME", str(tmp_path))
    assert run("records", "export", "--format", "json", "--out=~/calls.json").code == 0
    assert (tmp_path / "calls.json").exists()
    assert run("records", "backup", "~/copy.db").code == 0
    assert run("records", "--records=~/copy.db", "where").code == 0


_REF = "7K3-M2Q"
_READING: dict[str, tuple[str, ...]] = {
    "find": ("x",),
    "show": (_REF,),
    "document": (_REF, "--form", "text"),
    "orders": ("--to", "."),
    "demo": (_REF, "--name", "x"),
    "export": ("--format", "json", "--out", "x.json"),
    "outcome": (_REF, "exchanged"),
    "own-figures": ("show",),
    "delete": (_REF, "--yes"),
    "purge": ("--yes",),
    "backup": ("copy.db",),
    "nightly": ("--to", "."),
}


@pytest.mark.parametrize("action", [one for one in _ACTIONS if one != "change-key"])
def test_records_that_are_not_there(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, action: str
) -> None:
    """Nothing that reads them makes them, and no copy of none pushes out an older one."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("CONSULT_RECORDS", str(tmp_path / "kept" / "records.db"))
    monkeypatch.setenv("CONSULT_RECOVERY", str(tmp_path))
    done = run("records", action, *_READING.get(action, ()))
    assert (done.code, done.out) == (2, "")
    assert f"There are no records at {tmp_path / 'kept' / 'records.db'} yet" in done.err
    assert list(tmp_path.iterdir()) == []


def test_a_stored_call_where_there_are_none(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nobody is led through a new call, and nothing is made."""
    monkeypatch.setenv("CONSULT_RECORDS", str(tmp_path / "records.db"))
    for flag in ("--open", "--follow-up"):
        done = run("call", "--plain", flag, _REF)
        assert (done.code, "There are no records at" in done.err) == (2, True)
    assert list(tmp_path.iterdir()) == []


def test_what_begins_records(run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A first key, and recovery files that wait; where they are begun is said."""
    monkeypatch.setenv("CONSULT_RECOVERY", str(tmp_path / "state"))
    for place, action in (("one", ("change-key", "--to", str(tmp_path / "key"))), ("two", ())):
        file = tmp_path / place / "records.db"
        monkeypatch.setenv("CONSULT_RECORDS", str(file))
        if not action:
            (tmp_path / "state" / "recovery").mkdir(parents=True)
            (tmp_path / "state" / "recovery" / "x.recovery").write_text("torn")
        done = run("records", *(action or ("recover",)))
        assert done.err == f"consult: New records were begun at {file}.\n"
        assert file.exists()
