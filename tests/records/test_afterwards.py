"""What is read of finished calls to learn from: the right calls, and no answer without consent."""

from __future__ import annotations

import gc

import pytest

from consult.records.afterwards import (
    Stretch,
    count_finished,
    said_with_consent,
    times_taken,
    uncollected,
    words_counted,
)
from consult.records.store import Store
from tests.records.samples import NOW, call_of, keep

EVERY = Stretch("seating", 0, 100)


def finished(store: Store, said: str, consent: bool | None) -> None:
    """A finished call in which the stature was told."""
    store.finish(keep(store, call_of(("stature", said)), consent), NOW)


def test_bodies_are_read_with_consent_alone(file_store: Store) -> None:
    """Not of callers who refused, or were not asked, and only what counts of each call."""
    for said, consent in (("170", True), ("171", False), ("172", None), ("173", True)):
        finished(file_store, said, consent)
    amended = keep(file_store, call_of(("stature", "180"), ("stature", "181")), True)
    file_store.finish(amended, NOW)
    asked = ("stature",)
    found = said_with_consent(file_store, EVERY, asked, most=9)
    assert [one["stature"] for one in found] == ["170", "173", "181"]
    first = said_with_consent(file_store, EVERY, asked, most=1)
    assert [one["stature"] for one in first] == ["170"]


def test_a_stretch_is_of_finished_calls_of_one_tree(file_store: Store) -> None:
    """Calls on hold are in none; a stretch begins and ends where it says."""
    for said in ("170", "171", "172"):
        finished(file_store, said, None)
    file_store.hold(keep(file_store, call_of(("stature", "173"))), NOW)
    assert count_finished(file_store, "seating") == 3
    assert count_finished(file_store, "my_chair") == 0
    middle = words_counted(file_store, Stretch("seating", 1, 2), ("stature",))
    assert middle == {"stature": {"171": 1}}
    timed = times_taken(file_store, EVERY, shortest=1, longest=9, a_second=4)
    assert timed == {"stature": {10: 3}}
    assert times_taken(file_store, EVERY, shortest=3, longest=9, a_second=4) == {}


def test_garbage_is_looked_for_again_afterwards() -> None:
    """Whatever happened meanwhile; and not where somebody else had it off."""
    assert gc.isenabled()
    seen = []

    def broken_off() -> None:
        with uncollected():
            seen.append(gc.isenabled())
            raise ValueError("broken off")

    with pytest.raises(ValueError, match="broken off"):
        broken_off()
    assert (seen, gc.isenabled()) == ([False], True)
    gc.disable()
    try:
        with uncollected():
            pass
        assert not gc.isenabled()
    finally:
        gc.enable()
