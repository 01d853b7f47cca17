"""The clock of the program: its day and hour here, one moment everywhere, and who reads it."""

from __future__ import annotations

import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from consult.call.call import Call
from consult.call.session import Session
from consult.commands import clock
from consult.records.desk_calls import DeskCalls
from consult.records.search import unheard
from consult.records.store import open_store
from tests.call.calls import small

pytestmark = pytest.mark.any_day
FORWARD = datetime(2030, 3, 31, 1, 0, tzinfo=UTC)
"""When clocks in London go an hour forward: last Sunday of March, 01:00 UTC (2000/84/EC, kept by
the United Kingdom's Summer Time Order 2002)."""
BACK = datetime(2030, 10, 27, 1, 0, tzinfo=UTC)
"""When they go back: last Sunday of October, 01:00 UTC (the same)."""

LITTLE = (
    "tree: little\ntitle: T\nversion: 1\nfirst: q0\nworks_out: nothing\nquestions:\n"
    + "".join(
        f"  q{number}: {{ask: Is it?, answer: yes-no, next: {then}}}\n"
        for number, then in enumerate(["q1", "q2", "q3", "q4", "end"])
    )
)


@pytest.fixture
def _in_london(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    with monkeypatch.context() as there:
        there.setenv("TZ", "Europe/London")
        time.tzset()
        if not time.daylight:
            pytest.skip("this machine has no time zones (Debian: apt-get install tzdata)")
        yield
    time.tzset()


def at(monkeypatch: pytest.MonkeyPatch, moment: datetime) -> None:
    """Let the machine's clock say this, as it does in its own time zone."""
    monkeypatch.setattr(clock, "read_clock", lambda: datetime.fromtimestamp(moment.timestamp()))


def test_the_clock_is_stopped(pytestconfig: pytest.Config) -> None:
    """What a test expects of a day is of this one, in processes it starts too."""
    if pytestconfig.getoption("--clock") == "machine":
        pytest.skip("the machine's own clock was asked for")
    assert clock.now() == datetime(2026, 11, 25, 12, 0)
    told = "from consult.commands import clock; print(clock.now())"
    done = subprocess.run([sys.executable, "-c", told], capture_output=True, text=True, check=True)
    assert done.stdout == f"{clock.now()}\n"


@pytest.mark.usefixtures("_in_london")
@pytest.mark.parametrize("change", [FORWARD, BACK])
def test_an_hour_that_is_left_out_or_comes_twice(
    change: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Every minute around it is told from every other, and the moment is the same everywhere."""
    for minute in range(-60, 61):
        moment = change + timedelta(minutes=minute)
        at(monkeypatch, moment)
        assert clock.now_utc() == moment
        assert clock.today() == change.date()


@pytest.mark.usefixtures("_in_london")
@pytest.mark.parametrize("change", [FORWARD, BACK])
def test_a_call_over_the_change(
    change: datetime, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """Answers stay in order and are kept with their true moments, and none took an hour."""
    basis = small(tmp_path, LITTLE)
    at(monkeypatch, change - timedelta(seconds=50))
    session = Session(basis, Call(clock.today()), clock.now())
    desk = DeskCalls(basis, tmp_path / "r.db", "Ann", clock.now)
    desk.start()
    name = desk.new(clock.now())
    moments = [change + timedelta(seconds=20 * number) for number in range(-2, 3)]
    for moment in moments:
        at(monkeypatch, moment)
        question = session.asking
        assert question is not None
        assert session.offer("yes", clock.now()).taken
        assert desk.keep(name, session.now) == ""
    with closing(open_store(tmp_path / "r.db")) as store:
        (listed,) = store.latest()
        kept = store.read(listed.reference)
    assert [one.at for one in kept.call.answers] == moments
    assert [one.took for one in kept.call.answers] == [10, 20, 20, 20, 20]


def test_a_call_by_the_clock_of_the_machine(tmp_path: Path) -> None:
    """Whatever it says now: what is kept is of this moment, and the call is not taken for lost."""
    basis = small(tmp_path, LITTLE)
    before = clock.now_utc()
    session = Session(basis, Call(clock.today()), clock.now())
    desk = DeskCalls(basis, tmp_path / "r.db", "Ann", clock.now)
    desk.start()
    name = desk.new(clock.now())
    assert session.offer("yes", clock.now()).taken
    assert desk.keep(name, session.now) == ""
    assert desk.beat(name) == ""
    with closing(open_store(tmp_path / "r.db")) as store:
        (kept,) = (store.read(one.reference) for one in store.latest())
        assert before <= kept.started_at <= kept.updated_at <= clock.now_utc()
        assert unheard(store, clock.now_utc()) == ()
