"""A call led in full: its route is stored with it, whoever continues or replays it."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from pathlib import Path

import pytest

from consult.call.basis import Basis
from consult.call.call import Answer, Call, private_of, without_health
from consult.call.session import Session
from consult.call.state import state
from consult.call.transcript import load_transcript, unknown_questions, write_transcript
from consult.records.kept import Versions
from consult.records.store import open_store
from tests.call.calls import TODAY
from tests.call.test_pools import _basis

AT = datetime(2026, 11, 25, 9, 0)


@pytest.fixture(scope="module")
def basis() -> Basis:
    return _basis()


def asked(basis: Basis, call: Call) -> list[str]:
    """What is asked of a caller who does not know anything."""
    names = []
    while (now := state(basis, call)).current is not None:
        names.append(now.current.name)
        call = call.add(Answer(now.current.name, "?"))
    return names


def begun() -> Call:
    return Call(TODAY, answers=(Answer("stature", "172 cm"),))


def by_file(call: Call, folder: Path) -> Call:
    path = folder / "call.yaml"
    path.write_text(write_transcript(call, "little", "Little"))
    transcript, problems = load_transcript(path)
    assert transcript is not None, problems
    assert unknown_questions(transcript, _basis().tree.questions) == []
    return transcript.call


def by_records(call: Call, folder: Path) -> Call:
    private = private_of(_basis().tree)
    store = open_store(folder / "records.db")
    try:
        opened = store.begin(call, Versions("little", "1"), "Ann", AT, "7K3-M2Q")
        store.append(opened, call, consent=False, caller_name="", private=private, at=AT)
        return store.read("7K3-M2Q").call
    finally:
        store.close()


@pytest.mark.parametrize("way", [by_file, by_records])
def test_it_is_stored(way: Callable[[Call, Path], Call], basis: Basis, tmp_path: Path) -> None:
    """From a file or the records the call goes on in full; one that was not stays short."""
    for call in (begun(), begun().led_in_full(True), begun().led_in_full(True).led_in_full(False)):
        again = way(call, tmp_path)
        assert again.thorough is call.thorough
        assert asked(basis, again) == asked(basis, call)
        (tmp_path / "records.db").unlink(missing_ok=True)


def test_it_is_longer(basis: Basis) -> None:
    """In full every question of the pool is asked, whatever it is worth."""
    assert set(asked(basis, begun())) < set(asked(basis, begun().led_in_full(True)))


def test_it_tells_nothing_of_health(basis: Basis) -> None:
    """Without consent to health the route is stored all the same."""
    assert without_health(basis.tree, begun().led_in_full(True)).thorough


def test_turned_at_the_desk(basis: Basis) -> None:
    """The adviser turns it on and off in the middle of a call; an amendment leaves it."""
    session = Session(basis, begun(), AT)
    session.turn_thorough(AT)
    assert session.now.call.thorough
    session.ask(basis.tree.questions["stature"])
    assert session.offer("173 cm", AT).taken
    assert session.now.call.thorough
    session.turn_thorough(AT)
    assert not session.now.call.thorough
