"""``consult records change-key`` and ``recover``, and every action with a wrong key."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
from cryptography.fernet import Fernet

from consult.records.encryption import MISSING, WRONG_KEY
from consult.records.store import Store, open_store
from tests.commands.runs import Run
from tests.records.samples import call_of, keep, on_disk

CALL = call_of(("a", "1"), ("pain", "lumbagosecret"))


@pytest.mark.parametrize("key", [Fernet.generate_key().decode(), "abc"], ids=["another", "bad"])
def test_a_wrong_key_stops_nothing_but_health(
    run: Run, records: Store, monkeypatch: pytest.MonkeyPatch, key: str, tmp_path: Path
) -> None:
    """List, find, report, purge, where, check, show and export work, and health is nowhere."""
    kept = Path(records.database.path or "")
    open_store(kept, Fernet.generate_key().decode())
    reference = keep(records, CALL, True, "Ada").reference
    monkeypatch.setenv("CONSULT_KEY", key)
    for words in (
        ("list",),
        ("find", "ada"),
        ("report",),
        ("purge", "--dry-run"),
        ("check",),
        ("show", reference),
        ("export", "--format", "json", "--out", str(tmp_path / "all.json")),
    ):
        done = run("records", *words)
        assert done.code == 0, words
        assert "lumbagosecret" not in done.out
    where = run("records", "where")
    assert where.code == 0
    assert (WRONG_KEY if key != "abc" else "is not valid") in where.out


def test_a_key_made_and_changed(
    run: Run, records: Store, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """The first key and each next one are made where their file is not there yet."""
    reference = keep(records, CALL, True).reference
    first, second = tmp_path / "first.key", tmp_path / "second.key"
    done = run("records", "change-key", "--to", str(first))
    assert done.code == 0
    assert "1 health answer encrypted" in done.out
    assert first.stat().st_mode & 0o777 == 0o600
    assert first.read_text().strip() not in done.out
    assert b"lumbagosecret" not in on_disk(tmp_path / "kept")
    done = run("records", "change-key", "--to", str(second))
    assert (done.code, done.err.strip()) == (2, f"consult: {MISSING}")
    monkeypatch.setenv("CONSULT_KEY_FILE", str(first))
    done = run("records", "change-key", "--to", str(second))
    assert done.code == 0
    assert "Keep the old key" in done.out
    assert "lumbagosecret" not in run("records", "show", reference).out
    monkeypatch.setenv("CONSULT_KEY_FILE", str(second))
    assert "lumbagosecret" in run("records", "show", reference).out
    (tmp_path / "notes").write_text("hush")
    assert run("records", "change-key", "--to", str(tmp_path / "notes")).code == 2
    assert "lumbagosecret" in run("records", "show", reference).out


def test_a_lost_key(
    run: Run, records: Store, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """It is said what that costs, and done only when meant."""
    reference = keep(records, CALL, True).reference
    run("records", "change-key", "--to", str(tmp_path / "lost.key"))
    (tmp_path / "lost.key").unlink()
    words = ("records", "change-key", "--old-lost", "--to", str(tmp_path / "new.key"))
    for typed, code in (("no\n", 2), ("delete\n", 0)):
        monkeypatch.setattr("sys.stdin", io.StringIO(typed))
        done = run(*words)
        assert done.code == code
        assert (tmp_path / "new.key").exists() == (code == 0)
    assert "1 health answer deleted" in done.out
    monkeypatch.setenv("CONSULT_KEY_FILE", str(tmp_path / "new.key"))
    shown = run("records", "show", reference).out
    assert "lumbagosecret" not in shown
    assert MISSING not in shown


def test_recover(run: Run, records: Store, tmp_path: Path) -> None:
    """A file that holds no key is refused; with nothing waiting nothing is done."""
    keep(records, CALL, True)
    (tmp_path / "notes").write_text("hush")
    assert run("records", "recover", "--key-file", str(tmp_path / "notes")).code == 2
    assert run("records", "recover", "--key-file", str(tmp_path / "none")).code == 2
    done = run("records", "recover")
    assert (done.code, done.out) == (0, "0 recovery files added to the records.\n")
