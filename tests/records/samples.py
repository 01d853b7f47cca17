"""What the tests of the records share: calls, names, a moment, the smallest tree of privacy."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

from consult.call.call import UNNAMED_STOP, Answer, Call, Private
from consult.records.kept import Opened, Versions
from consult.records.store import Store

NOW = datetime(2026, 11, 25, 12, 0, tzinfo=UTC)
PRIVATE = Private(
    questions=frozenset({"pain", "since", "signs"}),
    always_asked=frozenset({"signs"}),
    telling=frozenset({"back_stop", "back_note", UNNAMED_STOP}),
    stops=frozenset({"back_stop", UNNAMED_STOP}),
)
VERSIONS = Versions("seating", "2026.11", "tarnbeck", "3", "us_army_2012", "1")
TODAY = date(2026, 11, 25)


def answer(question: str, said: str, second: int = 0) -> Answer:
    """Something said."""
    return Answer(question, said, False, "", NOW + timedelta(seconds=second), 2.5)


def call_of(*said: tuple[str, str]) -> Call:
    """A call in which this was said."""
    answers = tuple(answer(question, words, at) for at, (question, words) in enumerate(said))
    return Call(TODAY, answers=answers)


def begin(store: Store, call: Call | None = None, adviser: str = "Ann") -> Opened:
    """A call begun, as the desk does it."""
    return store.begin(call or Call(TODAY), VERSIONS, adviser, NOW)


def append(
    store: Store,
    opened: Opened,
    call: Call,
    consent: bool | None = None,
    name: str = "",
    at: datetime = NOW,
) -> tuple[str, ...]:
    """Everything said so far, as the desk gives it."""
    return store.append(opened, call, consent=consent, caller_name=name, private=PRIVATE, at=at)


def keep(store: Store, call: Call, consent: bool | None = None, name: str = "") -> Opened:
    """A call begun and kept, one answer after the other."""
    opened = begin(store, call)
    for count in range(1, len(call.answers) + 1):
        append(
            store, opened, replace(call, answers=call.answers[:count], handled=()), consent, name
        )
    append(store, opened, call, consent, name)
    return opened


def words(answers: Iterable[Answer]) -> list[tuple[str, str]]:
    """What was said to what."""
    return [(one.question, one.said) for one in answers]


def on_disk(folder: Path) -> bytes:
    """Every byte of every file under a folder."""
    return b"".join(file.read_bytes() for file in sorted(folder.rglob("*")) if file.is_file())
