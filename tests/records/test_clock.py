"""Clocks that go back or were wrong: the order stays, and no call is shut for ever."""

from __future__ import annotations

from concurrent.futures import Future
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from consult.call.call import Answer
from consult.records.appending import AHEAD, SILENT
from consult.records.errors import CannotKeep, OpenElsewhere
from consult.records.merge import merge_spilled
from consult.records.record import Record
from consult.records.search import unheard
from consult.records.store import Store
from tests.records.samples import NOW, PRIVATE, VERSIONS, append, begin, call_of, keep, words

CALL = call_of(("a", "1"))
SECOND = timedelta(seconds=1)
YEAR = timedelta(days=365)


def after(*hours: float) -> list[datetime]:
    return [NOW + timedelta(hours=each) for each in hours]


@settings(
    max_examples=10, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(st.lists(st.integers(-100_000, 100_000), min_size=2, max_size=6))
def test_whatever_the_clock_does_the_order_is_kept(file_store: Store, minutes: list[int]) -> None:
    """Between answers, beats and cautions the clock may jump anywhere; what is read is what was
    said, in that order, and the call can be put aside and gone on with."""
    opened, call = begin(file_store), call_of()
    for number, each in enumerate(minutes):
        at = NOW + timedelta(minutes=each)
        call = call.add(Answer(f"q{number}", str(number), at=at)).handle("note", at=at)
        append(file_store, opened, call, at=at)
        file_store.beat(opened, at - timedelta(minutes=2 * each))
    kept = file_store.read(opened.id)
    assert kept.call == call
    assert kept.updated_at == max(NOW, *(NOW + timedelta(minutes=each) for each in minutes))
    file_store.hold(opened, NOW + timedelta(minutes=minutes[0]))
    assert file_store.take_over(opened.reference, "Bea", NOW - YEAR)


def test_a_beat_after_the_clock_was_set_back(file_store: Store) -> None:
    """It is the last sign of life, though earlier than the one before: the call is not shut until
    the old time comes round."""
    opened = keep(file_store, CALL)
    file_store.beat(opened, NOW + YEAR)
    file_store.beat(opened, NOW)
    with pytest.raises(OpenElsewhere):
        file_store.take_over(opened.reference, "Bea", NOW + SILENT)
    assert file_store.take_over(opened.reference, "Bea", NOW + SILENT + SECOND)


def test_a_clock_that_is_a_little_behind_takes_nothing_unasked(file_store: Store) -> None:
    """Up to two hours a desk heard of in the future is at work."""
    opened = keep(file_store, CALL)
    for behind in (SECOND, SILENT + SECOND, timedelta(hours=1), AHEAD):
        with pytest.raises(OpenElsewhere):
            file_store.take_over(opened.reference, "Bea", NOW - behind)


def test_a_clock_that_was_wrong_shuts_no_call(store: Store) -> None:
    """A desk last heard of further ahead has gone; its call can be gone on with."""
    opened = keep(store, CALL)
    store.beat(opened, NOW + YEAR)
    mine = store.take_over(opened.reference, "Bea", NOW)
    append(store, mine, CALL.add(Answer("b", "2")), at=NOW)
    assert words(store.read(mine.id).call.answers) == [("a", "1"), ("b", "2")]
    with pytest.raises(OpenElsewhere):
        append(store, opened, CALL.add(Answer("b", "3")), at=NOW + YEAR)


def test_no_call_is_shut_for_longer_than_two_hours_and_a_minute(file_store: Store) -> None:
    """However far ahead the last sign of life was, and it can be had at any time by asking."""
    for ahead in (timedelta(0), timedelta(minutes=1), timedelta(hours=1), AHEAD, 2 * AHEAD, YEAR):
        opened = keep(file_store, CALL)
        file_store.beat(opened, NOW + ahead)
        assert file_store.take_over(opened.reference, "Bea", NOW, anyway=True)
        opened = keep(file_store, CALL)
        file_store.beat(opened, NOW + ahead)
        if ahead <= AHEAD:
            with pytest.raises(OpenElsewhere):
                file_store.take_over(opened.reference, "Bea", NOW)
            assert file_store.take_over(opened.reference, "Bea", NOW + AHEAD + SILENT + SECOND)
        else:
            assert file_store.take_over(opened.reference, "Bea", NOW)


def test_a_take_over_with_a_clock_behind(store: Store) -> None:
    """Who takes a call has it, whatever the clock there says; the answers go on in order."""
    call = call_of(("a", "1"), ("b", "2"))
    opened = keep(store, call)
    behind = NOW - timedelta(hours=1)
    mine = store.take_over(opened.reference, "Bea", behind, anyway=True)
    call = call.add(Answer("c", "3", at=behind))
    append(store, mine, call, at=behind)
    store.beat(mine, behind)
    with pytest.raises(OpenElsewhere, match="Bea"):
        append(store, opened, call.add(Answer("d", "x")))
    kept = store.read(mine.id)
    assert kept.call == call
    assert kept.updated_at == NOW
    store.finish(mine, behind)
    assert store.read(mine.id).status == "finished"


def test_a_recovery_file_does_not_wait_for_a_time_that_is_far_ahead(
    file_store: Store, tmp_path: Path
) -> None:
    """Where a desk took a call and left it open a year ahead, what the file of the desk before
    has of it is put back now."""
    opened = keep(file_store, CALL)
    opening: Future[Store] = Future()
    opening.set_exception(CannotKeep("The records are away."))
    record = Record(opening, (tmp_path,), VERSIONS, PRIVATE, "Ann", opened=opened)
    more = CALL.add(call_of(("b", "2")).answers[0])
    record.keep(more, consent=None, caller_name="", at=NOW)
    file_store.beat(file_store.take_over(opened.reference, "Bea", NOW, anyway=True), NOW + YEAR)
    assert merge_spilled(file_store, [tmp_path], NOW).calls == 1
    assert file_store.read(opened.reference).call == more


def test_desks_long_unheard_of(store: Store) -> None:
    """Those of more than a day ago, or ahead; not one of today, nor a call put aside."""
    beats = dict(zip(("lost", "now", "ahead", "day"), after(-25, 1, 25, -23), strict=True))
    made = {}
    for name, at in beats.items():
        opened = store.begin(replace(CALL), VERSIONS, name, NOW)
        store.beat(opened, at)
        made[name] = opened.reference
    held = keep(store, CALL)
    store.beat(held, NOW - YEAR)
    store.hold(held, NOW)
    found = unheard(store, NOW)
    assert [(one.reference, one.adviser, one.heard) for one in found] == [
        (made[name], name, beats[name]) for name in ("lost", "ahead")
    ]
