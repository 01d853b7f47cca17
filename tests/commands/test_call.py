"""``consult call --plain`` through a pipe: what it writes, and what is left if it is broken off."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from io import StringIO
from pathlib import Path

import pytest

from consult.commands.outcome import Outcome
from consult.records.kept import Kept
from consult.records.store import open_store
from tests.commands.conftest import run as run
from tests.commands.runs import Run
from tests.long import AT_MOST

# -- test call plain ------------------------------------------------------------------------------
# ``consult call --plain`` through a pipe: what it writes, and what is left if it is broken off.

REFERENCE = slice(-7, None)


def piped(records: Path, *words: str) -> subprocess.Popen[str]:
    """The program with a pipe at each end."""
    return subprocess.Popen(
        [sys.executable, "-m", "consult", "call", "--plain", "--records", str(records), *words],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env=os.environ | {"CONSULT_RECOVERY": str(records.parent / "recovery")},
    )


def only_call(records: Path) -> Kept:
    """The one call of the records."""
    store = open_store(records)
    try:
        (found,) = store.latest()
        return store.read(found.reference)
    finally:
        store.close()


def test_the_end_of_the_input_keeps_the_call_on_hold(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What was said is stored, and the last line says how to continue it; which then works."""
    records = tmp_path / "records.db"
    out, err = piped(records).communicate("Ada\n1\nfeet\n/desk 73 cm\n", timeout=AT_MOST)
    kept = only_call(records)
    assert (kept.status, kept.caller_name, err) == ("held", "Ada", "")
    assert [one.question for one in kept.call.answers] == [
        *("caller_name", "who_sits", "reasons", "desk_height"),
    ]
    again = f"consult call --plain --open {kept.reference}"
    assert out.rstrip().endswith(again)
    assert "\x1b" not in out
    monkeypatch.setenv("CONSULT_RECOVERY", str(tmp_path / "recovery"))
    monkeypatch.setattr("sys.stdin", StringIO("yes\nnone\n"))
    words = ("--records", str(records), "--open", kept.reference.lower())
    more = run("call", "--plain", *words)
    assert (more.code, more.err) == (Outcome.DONE, "")
    assert "May I ask about your health" in more.out.split("/help")[1].split("Say:")[1]
    assert [one.question for one in only_call(records).call.answers][-2:] == [
        *("consent", "warning_signs"),
    ]


def test_ctrl_c_keeps_the_call_on_hold(tmp_path: Path) -> None:
    """Pressed while the caller is asked; the exit code is that of a broken-off command."""
    records = tmp_path / "records.db"
    call = piped(records)
    assert call.stdin is not None
    assert call.stdout is not None
    call.stdin.write("Ada\n")
    call.stdin.flush()
    while not call.stdout.readline().startswith("Say: Who is the chair for?"):
        pass
    call.send_signal(signal.SIGINT)
    out, err = call.communicate(timeout=AT_MOST)
    assert call.returncode == Outcome.BROKEN_OFF
    assert "Traceback" not in err
    assert "consult call --plain --open" in out
    kept = only_call(records)
    assert (kept.status, kept.caller_name) == ("held", "Ada")


def test_records_that_cannot_be_written_go_into_a_recovery_file(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It is said, and the call is there."""
    records = tmp_path / "records.db"
    records.write_bytes(b"not a database" * 100)
    monkeypatch.setenv("CONSULT_RECOVERY", str(tmp_path / "recovery"))
    monkeypatch.setattr("sys.stdin", StringIO("Ada\n1\n"))
    made = run("call", "--plain", "--records", str(records))
    assert "recovery file" in made.out
    (file,) = (tmp_path / "recovery").glob("*.recovery")
    assert "Ada" in file.read_text("utf-8")


@pytest.mark.usefixtures("records")
def test_what_cannot_be_begun(run: Run) -> None:
    """An unknown reference is said as on the screen."""
    made = run("call", "--plain", "--open", "222-222")
    assert (made.code, "No call with the reference 222-222" in made.err) == (2, True)


def test_nothing_said_stores_nothing(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A call that ends before its first answer leaves no trace and says nothing of storing."""
    monkeypatch.setattr("sys.stdin", StringIO())
    made = run("call", "--plain", "--records", str(tmp_path / "records.db"))
    assert "stored as" not in made.out
    assert "Say:" in made.out
