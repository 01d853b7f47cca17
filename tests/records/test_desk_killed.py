"""The desk itself killed while somebody types: what was answered is there, and goes on there.

``CONSULT_KILLS=200`` kills more often.
"""

from __future__ import annotations

import os
import random
import time
from itertools import pairwise
from pathlib import Path

from consult.call.call import Call
from consult.call.session import Session
from consult.records.backup import integrity
from consult.records.store import open_store
from consult.tree.model import Question
from tests.call.calls import seating
from tests.records.desk_process import DeskProcess
from tests.records.samples import NOW, TODAY, words

KILLS = int(os.environ.get("CONSULT_KILLS", "3"))
LONGEST = 1.0
"""Seconds before a desk is killed, at most: from the first question drawn, or from the next. The
first answer waits for the records to be opened."""
PATIENCE = 120
"""Seconds after which something that is not drawn never will be."""
SAID = {
    "caller_name": "Ada Fen",
    "who_sits": "caller",
    "consent": "y",
    "pain_sites": "lower back",
    "warning_signs": "none",
    "pain_signs": "none",
    "special_care": "none",
    "stature": "157.5",
    "lower_leg": "37",
    "thigh_length": "45",
    "weight": "59",
    "desk_kind": "fixed",
    "desk_height": "74",
    "agreed": "recommended",
    "delivery_address": "14 Quay Street",
    "more_help": "screen, desk, breaks",
}
"""Health among it, a chair and topics, so that every kind of answer is under way at some time."""


def answer_to(question: Question) -> str:
    """Something that is taken."""
    return SAID.get(question.name) or ("?" if question.unknown_allowed else "1")


def beginning(question: Question | None) -> str:
    """The first words of what the desk shows now, not so many that they are on two lines."""
    asked = question.ask if question else "That was the last question."
    return asked[:40].rpartition(" ")[0] if len(asked) > 40 else asked


def led(count: int) -> tuple[Session, list[tuple[str, str]]]:
    """A call after so many answers, and these."""
    session = Session(seating(), Call(TODAY), NOW)
    said: list[tuple[str, str]] = []
    while len(said) < count and session.asking is not None:
        said.append((session.asking.name, answer_to(session.asking)))
        reply = session.offer(said[-1][1], NOW)
        assert reply.taken, (said[-1], reply.tell)
    return session, said


def test_every_two_questions_begin_differently() -> None:
    """Else nobody could tell by the screen that the next one was drawn."""
    at_end, said = led(1_000)
    assert at_end.asking is None
    assert len(said) > 20
    shown = [beginning(seating().tree.questions[name]) for name, _ in said]
    assert all(one and one != other for one, other in pairwise(shown))


def test_a_desk_killed_at_any_moment(tmp_path: Path) -> None:
    """Every answer whose next question was drawn is kept, in order; opened again, the desk asks
    the question after the last that is kept."""
    chance = random.Random(20261125)
    path = tmp_path / "kept" / "records.db"
    _, whole = led(1_000)
    reference, kept, drawn_in_all = "", 0, 0
    ended: set[str] = set()
    for number in range(KILLS):
        desk = DeskProcess(path, *(["--open", reference] if reference else []))
        try:
            session, _ = led(kept)
            if reference:
                assert desk.drawn("takes it over", within=PATIENCE), number
                desk.type("y")
            assert desk.drawn(beginning(session.asking), within=PATIENCE), (number, kept)
            warm = bool(number % 3)
            drawn, typed = talk(desk, session, kept, chance.uniform(0, LONGEST), warm=warm)
        finally:
            desk.kill()
        if typed > drawn and desk.drawn(beginning(led(typed)[0].asking), within=0):
            drawn = typed
        store = open_store(path)
        assert integrity(store) == ()
        assert not (path.parent / "recovery").exists()
        if not reference:
            reference = next((one.reference for one in store.latest(1)), "")
            reference = reference if reference not in ended else ""
        said = words(store.read(reference).call.answers) if reference else []
        store.close()
        assert said == whole[: len(said)], number
        assert drawn <= len(said) <= typed, number
        drawn_in_all += drawn - kept
        kept = len(said)
        if kept in (0, len(whole)):
            # Nothing to go on with. Begun and killed before its first answer, it has none.
            ended.add(reference)
            reference, kept = "", 0
    assert drawn_in_all > KILLS / 2
    print(f"{KILLS} kills, {drawn_in_all} answers whose next question was drawn, none missing")


def talk(
    desk: DeskProcess, session: Session, kept: int, seconds: float, *, warm: bool
) -> tuple[int, int]:
    """Type answers until the time is up: after how many the next question was drawn, and how many
    were typed. ``warm`` begins to count after the first."""
    until = time.monotonic() + seconds
    drawn = typed = kept
    while session.asking is not None:
        said = answer_to(session.asking)
        session.offer(said, NOW)
        desk.type(f"{said}\r")
        typed += 1
        left = PATIENCE if warm else max(0.0, until - time.monotonic())
        if not desk.drawn(beginning(session.asking), within=left):
            break
        if warm:
            until, warm = time.monotonic() + seconds, False
        drawn = typed
    return drawn, typed
