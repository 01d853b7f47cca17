"""How long a question took, without time on hold."""

from __future__ import annotations

from datetime import datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from consult.call.worth import Stopwatch, call_seconds, minutes

NOON = datetime(2026, 11, 25, 12, 0)


def at(seconds: float) -> datetime:
    return NOON + timedelta(seconds=seconds)


def test_hold_is_left_out() -> None:
    """Ten seconds, an hour on hold, five more: fifteen."""
    watch = Stopwatch(NOON).hold(at(10)).go_on(at(3610))
    assert watch.seconds(at(3615)) == 15


def test_a_clock_set_back() -> None:
    """Counts as no time."""
    assert Stopwatch(NOON).seconds(at(-60)) == 0


@given(st.lists(st.tuples(st.booleans(), st.floats(-100, 100)), max_size=30))
def test_never_negative_and_never_backwards_while_held(turns: list[tuple[bool, float]]) -> None:
    """Whatever the clock does, time is never negative, and on hold it does not move."""
    watch, now = Stopwatch(NOON), 0.0
    for hold, moved in turns:
        now += moved
        watch = watch.hold(at(now)) if hold else watch.go_on(at(now))
        assert watch.seconds(at(now)) >= 0
        if watch.since is None:
            assert watch.seconds(at(now + 50)) == watch.seconds(at(now))


@pytest.mark.parametrize(
    ("seconds", "said"),
    [(0, "under a minute"), (29, "under a minute"), (61, "1 minute"), (600, "10 minutes")],
)
def test_minutes(seconds: float, said: str) -> None:
    """As people say it."""
    assert minutes(seconds) == said


def test_untimed_answers_count_nothing() -> None:
    """Answers read from a file without times add nothing."""
    assert call_seconds([None, 2.5, None, 4.0]) == 6.5
