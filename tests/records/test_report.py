"""Figures for the team lead hold nobody's data."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

from cryptography.fernet import Fernet

from consult.call.understand import is_unknown
from consult.records.encryption import MISSING
from consult.records.report import OTHER, Asks, ChairsChosen, PeriodReport, Timed, report
from consult.records.store import Store, open_store
from tests.records.samples import NOW, call_of, keep

WHY = {"1": "new_chair", "2": "aches", "o": "other", "r": "recommended", "p": "price"}
DAY = timedelta(days=1)
ASKS = Asks("why", "went", "went_because")


def read(question: str, said: str) -> tuple[str, ...]:
    """The choices of what was said."""
    assert question in ("why", "went", "went_because")
    found = [WHY.get(one) for one in said.split()]
    return tuple(one for one in found if one) if None not in found else ()


def figures(store: Store, asks: Asks = ASKS) -> PeriodReport:
    """The figures of the day."""
    return report(store, NOW - DAY, NOW + DAY, asks=asks, read=read, unknown=is_unknown)


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
    assert (stature.calls, stature.unknown) == (6, 5)
    assert stature.timed == Timed(7, 6, 2.0)
    assert (pain.calls, pain.unknown) == (5, 5)
    assert pain.timed == Timed(5, 5, 3.0)
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
    later = report(store, NOW + DAY, NOW + 2 * DAY, asks=ASKS, read=read, unknown=is_unknown)
    assert (later.calls, later.questions, later.cautions) == (0, {}, {})
    assert later.length == Timed(0, 0, None)
    assert later.chosen == ChairsChosen(0, {}, {})


def test_the_length_of_finished_calls(store: Store) -> None:
    """The answers timed in each, together; amended ones too, and what was never timed is told."""
    for number in range(4):
        call = call_of(("a", "1"), ("a", "2"), ("pain", "back"))
        slow = [replace(one, took=10.0 * (number + 1)) for one in call.answers]
        if number == 3:
            slow = [replace(one, took=None) for one in slow]
        opened = keep(store, replace(call, answers=tuple(slow)), True)
        store.finish(opened, NOW)
    keep(store, call_of(("a", "1")))
    assert figures(store).length == Timed(3, 3, 60.0)


def test_what_finished_calls_agreed_on(store: Store) -> None:
    """Counted by the answer that counts; the reasons only of those who went otherwise then."""
    for said in (
        [("went", "r")],
        [("went", "o"), ("went_because", "p 1")],
        [("went", "o"), ("went_because", "p"), ("went", "r")],
        [("went", "o"), ("went_because", "Jane's own")],
        [("went", "whatever Jane says")],
        [("a", "1")],
    ):
        store.finish(keep(store, call_of(*said)), NOW)
    keep(store, call_of(("went", "r")))
    store.finish(keep(store, call_of(("went", "o"), ("went_because", "p"))), NOW, stopped=True)
    assert figures(store).chosen == ChairsChosen(
        6, {"recommended": 2, "other": 2, OTHER: 1}, {"price": 1, "new_chair": 1, OTHER: 1}
    )


def test_a_tree_that_does_not_ask(store: Store) -> None:
    """Nothing is told of what nobody was asked."""
    store.finish(keep(store, call_of(("why", "1"), ("went", "r"))), NOW)
    told = figures(store, Asks(None))
    assert told.chosen is None
    assert told.reasons == {}


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
