"""The calls of a desk in the records, as the desk uses them."""

from __future__ import annotations

import subprocess
import sys
from datetime import timedelta
from pathlib import Path

from consult.call.state import State
from consult.records.desk_calls import DeskCalls
from tests.call.calls import seating, told
from tests.records.samples import NOW

ACHES = {"who_sits": "caller", "pain_sites": "lower back", "stature": "157 cm"}


def desk_of(place: str | Path, adviser: str = "Ann", seconds: int = 0) -> DeskCalls:
    """A desk whose clock stands."""
    return DeskCalls(seating(), place, adviser, lambda: NOW + timedelta(seconds=seconds))


def test_a_call_is_kept_found_and_gone_on_with(tmp_path: Path) -> None:
    """From one desk to the next, to the very same state."""
    path = tmp_path / "r.db"
    first = desk_of(path)
    name = first.new(NOW)
    assert first.find("") == []
    now: State = told(seating(), consent="yes", **ACHES)
    assert first.keep(name, now) == ""
    assert first.reference(name) == name
    second = desk_of(path, "Bea")
    (line,) = second.find(name[:4])
    assert line.name == name
    assert "open, Ann" in line.text
    refused = second.open(name)
    assert isinstance(refused, str)
    assert "open with Ann" in refused
    assert first.hold(name) == ""
    call = second.open(name)
    assert not isinstance(call, str)
    assert call == now.call
    assert second.keep(name, now) == ""
    assert second.beat(name) == ""
    assert second.note_summary(name, tmp_path / "s.txt") == ""
    assert second.finish(name, stopped=False) == ""
    assert first.keep(name, now) == ""


def test_a_call_left_by_a_crash_is_opened_after_a_minute(tmp_path: Path) -> None:
    """Or at once, where a person says so."""
    path = tmp_path / "r.db"
    first = desk_of(path)
    name = first.new(NOW)
    first.keep(name, told(seating(), **ACHES))
    assert isinstance(desk_of(path, seconds=59).open(name), str)
    assert not isinstance(desk_of(path, seconds=1).open(name, anyway=True), str)
    assert not isinstance(desk_of(path, seconds=62).open(name), str)


def test_records_that_cannot_be_opened_are_told(tmp_path: Path) -> None:
    """The desk works; the call is spilt, and put back by the next start."""
    path = tmp_path / "d" / "r.db"
    path.parent.mkdir()
    path.write_text("notes\n" * 100)
    desk = desk_of(path)
    name = desk.new(NOW)
    assert "recovery file" in desk.keep(name, told(seating(), **ACHES))
    assert "does not hold" in desk.find("x")[0].text
    assert "does not hold" in str(desk.open(desk.find("x")[0].name))
    path.unlink()
    again = desk_of(path)
    assert [one.name for one in again.find("")] == [name]
    assert again.notices == []


def test_the_desk_does_not_wait_for_the_database() -> None:
    """What the desk imports at its start loads no database."""
    code = (
        "import sys, consult.records.desk_calls; "
        "sys.exit('sqlalchemy' in sys.modules or 'cryptography' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
