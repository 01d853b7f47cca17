"""Figures for the team lead hold nobody's data."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

from cryptography.fernet import Fernet

from consult.call.understand import is_unknown
from consult.records.report import OTHER, Report, report
from consult.records.sealing import MISSING
from consult.records.store import Store, open_store
from tests.records.samples import NOW, call_of, keep

WHY = {"1": "new_chair", "2": "aches"}


def figures(store: Store) -> Report:
    """The figures of the day."""
    return report(
        store,
        NOW - timedelta(days=1),
        NOW + timedelta(days=1),
        reason="why",
        read=WHY.get,
        unknown=is_unknown,
    )


def filled(store: Store) -> Store:
    """Six calls."""
    for number in range(6):
        call = call_of(("why", "1"), ("why", "2"), ("stature", "?"), ("pain", "?"))
        if number == 0:
            call = call_of(
                ("why", "I am Jane Doe of 1 High Street"), ("stature", "?"), ("stature", "157")
            )
        slow = tuple(replace(one, took=float(number)) for one in call.answers)
        call = replace(call, answers=slow).handle("plain", at=NOW).handle("back_note", at=NOW)
        call = call.handle("back_stop", lifted="Jane is well", at=NOW)
        call = call.handle("stop", lifted="Jane is well", at=NOW)
        opened = keep(store, call, True, "Jane Doe")
        store.finish(opened, NOW, stopped=number == 0)
    return store


def test_the_figures_are_right(store: Store) -> None:
    """The answer that counts is the last to each question; amended answers are timed too."""
    told = figures(filled(store))
    assert (told.calls, told.by_status) == (6, {"stopped": 1, "finished": 5})
    assert told.reasons == {"aches": 5, OTHER: 1}
    stature, pain = told.questions["stature"], told.questions["pain"]
    assert (stature.calls, stature.unknown, stature.seconds) == (6, 5, 2.0)
    assert (pain.calls, pain.unknown, pain.seconds) == (5, 5, 3.0)
    assert told.cautions == {"plain": 6, "back_note": 6}
    assert told.lifted == {"stop": 6, OTHER: 6}
    assert told.told == ()


def test_nobody_is_in_the_figures(store: Store) -> None:
    """Neither names nor what people said nor why a stop was lifted."""
    told = repr(figures(filled(store)))
    assert "Jane" not in told
    assert "High Street" not in told


def test_few_of_a_health_caution_are_not_named(store: Store) -> None:
    """A caution about health raised for one caller points at them, so it has no name."""
    keep(store, call_of(("a", "1")).handle("back_note", at=NOW), True)
    assert figures(store).cautions == {OTHER: 1}


def test_other_days_do_not_count(store: Store) -> None:
    """Only calls begun within the stretch of time."""
    filled(store)
    day = timedelta(days=1)
    later = report(store, NOW + day, NOW + 2 * day, reason="why", read=WHY.get, unknown=is_unknown)
    assert (later.calls, later.questions, later.cautions) == (0, {}, {})


def test_without_the_key_it_is_said(place: str) -> None:
    """Health answers that cannot be opened are left out, and it is said so."""
    store = filled(open_store(place, Fernet.generate_key().decode()))
    bare = open_store(place)
    told = figures(bare)
    assert told.told == (MISSING,)
    assert "pain" not in told.questions
    assert told.questions["stature"].calls == 6
    store.close()
    bare.close()
