"""The calls of a call screen, stored in the records.

The records are opened, and recovery files put back, in a thread of their own, so the desk's first
screen waits for neither. A call's name here is its reference.
"""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from consult.call.call import CAME, ODDS, Answer, private_of
from consult.call.closing_lines import stated_odds
from consult.records.errors import NoSuchCall, OpenElsewhere, RecordsTrouble
from consult.records.kept import versions_of
from consult.records.record import Opening, Record, opened_store
from consult.records.recovery_file import spill_folders

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import datetime
    from pathlib import Path

    from consult.call.basis import Basis
    from consult.call.call import Call
    from consult.call.closing_lines import ChairOutcome
    from consult.call.session import Session
    from consult.call.state import State
    from consult.records.call_trees import FirstCalls, LiveTrees
    from consult.records.kept import CallStatus, ListedCall, Opened, Versions
    from consult.records.store import Store

NOBODY = "no name"
IN_RECOVERY = "It is stored in a recovery file and moves to the records at the next start."
BEAT = 20
"""Seconds between two signs of life by which other desks see that the calls here are open."""


@dataclass(frozen=True, slots=True)
class KeptCall:
    """A call stored earlier."""

    name: str
    """Its reference; '' for a line with an error only."""
    text: str
    """Caller, day and status in one line."""


@dataclass(frozen=True, slots=True)
class CallRefused:
    """A call that was not opened."""

    text: str
    elsewhere: bool = False
    """Whether another screen has it open, from which it can be taken over."""


class DeskCalls:
    """Calls in the records, one or several of them on this screen."""

    def __init__(
        self,
        basis: Basis,
        place: str | Path,
        adviser: str,
        clock: Callable[[], datetime],
        patience: float = 5,
    ) -> None:
        """``place`` is what ``records_place()`` gives; ``patience`` is seconds for its opening.

        Nothing is opened before ``start``.
        """
        self._basis = basis
        self.adviser, self._clock, self._patience = adviser, clock, patience
        self._folders = spill_folders(place)
        self._records: dict[str, Record] = {}
        self._unsaid: dict[str, str] = {}
        self.notices: list[str] = []
        """Messages for the adviser once the records are open; showing them empties the list."""
        self._opening = Opening(lambda: self._opened(place))

    def start(self, then: Callable[[], None] = lambda: None) -> None:
        """Open the records; ``then`` is called in that thread when they are open, or cannot be."""
        self._opening.start(then)

    def _opened(self, place: str | Path) -> Store:
        from consult.records.merge import merge_spilled
        from consult.records.store import open_store

        store = open_store(place)
        self.notices += store.notices
        if store.key_trouble:
            self.notices.append(store.key_trouble)
        try:
            self.notices += merge_spilled(store, self._folders, self._clock()).told
            mine = sum(call.adviser == self.adviser for call in store.held())
        except RecordsTrouble as trouble:
            self.notices.append(str(trouble))
        else:
            if mine:
                are = "1 call of yours is" if mine == 1 else f"{mine} calls of yours are"
                self.notices.append(f"{are} not finished: F9 or consult records list.")
        return store

    def new(self, at: datetime, basis: Basis | None = None) -> str:  # noqa: ARG002 - files are named after it
        """The reference of a new call; nothing is stored before the first answer.

        ``basis`` is what it is led with, where that is not what the desk was opened with.
        """
        return self._add(None, basis or self._basis)

    def keep(self, name: str, now: State) -> str:
        """Store the call; returns a message for the adviser, or ''."""
        messages = self._records[name].keep(
            now.call, consent=now.consent, caller_name=now.caller_name, at=self._clock()
        )
        return " ".join(messages)

    def reference(self, name: str) -> str:
        """The reference to give to the caller; not the name if that was already in use."""
        return self._records[name].reference

    def find(self, typed: str) -> list[KeptCall]:
        """Calls by the beginning of a name or reference, the latest first; all where it is ''."""
        try:
            store = self._store()
            calls = store.find(typed) if typed.strip() else store.latest()
        except RecordsTrouble as trouble:
            return [KeptCall("", str(trouble))]
        return [KeptCall(call.reference, _line(call)) for call in calls]

    def open(
        self, name: str, *, anyway: bool = False, basis: Basis | None = None
    ) -> Call | CallRefused:
        """Open a stored call, or say why it cannot be opened.

        ``anyway`` takes it from a desk that has it open. ``basis`` is what it is led with from
        now on, where that is not what the desk was opened with.
        """
        basis = basis or self._basis
        try:
            store = self._store()
            opened = store.take_over(name, self.adviser, self._clock(), anyway=anyway)
            kept = store.read(opened.id)
        except RecordsTrouble as trouble:
            return CallRefused(str(trouble), isinstance(trouble, OpenElsewhere))
        self._add(opened, basis)
        messages = [kept.trouble] if kept.trouble else []
        used, ours = versions_of(basis), versions_of(self._basis)
        if kept.versions != used:
            messages.append(_since(kept.versions, used))
        elif used.tree_version != ours.tree_version:
            message = (
                f"This call continues with version {used.tree_version} of the questions, as it "
                "started."
            )
            messages.append(message)
        self._unsaid[name] = " ".join(messages)
        return kept.call

    def unsaid(self, name: str) -> str:
        """A message about a call just opened; given once."""
        return self._unsaid.pop(name, "")

    def hold(self, name: str) -> str:
        """Put a call on hold; returns an error message, or ''."""
        return " ".join(self._records[name].leave("held", self._clock()))

    def finish(self, name: str, *, stopped: bool) -> str:
        """Finish a call; returns an error message, or ''."""
        status: CallStatus = "stopped" if stopped else "finished"
        return " ".join(self._records[name].leave(status, self._clock()))

    def stored_as(self, name: str) -> str:
        """How the call stands in the records: finished, stopped, held or open; '' if it is not
        there; or why that cannot be told."""
        if self._records[name].in_recovery:
            return IN_RECOVERY
        try:
            return self._store().read(self.reference(name)).status
        except NoSuchCall:
            return ""
        except RecordsTrouble as trouble:
            return str(trouble)

    def note_summary(self, name: str, path: Path) -> str:
        """Record a file written about a call, so that it is deleted with it."""
        return " ".join(self._records[name].note_summary(path, self._clock()))

    def wrote(self, name: str, session: Session, path: Path, firsts: FirstCalls | None) -> str:
        """Store a call with a file written about it; at its end that finishes it."""
        messages = [self.keep(name, session.now), self.note_summary(name, path)]
        if session.now.finished:
            messages.append(self._end(name, session, firsts))
        return " ".join(line for line in messages if line)

    def leave(self, name: str, session: Session, firsts: FirstCalls | None) -> str:
        """Nobody is at the call now: at its end it is finished, else anybody may continue it."""
        return self._end(name, session, firsts) if session.now.finished else self.hold(name)

    def _end(self, name: str, session: Session, firsts: FirstCalls | None) -> str:
        """Finish a call, with what it leaves for later: its odds, what came of an earlier chair."""
        now = session.whole()
        came = firsts.came_of(now, session.basis) if firsts and now.first_reference else None
        then, message = ended(session.basis, now, came, self._clock()), ""
        if then is not now:
            session.now = then
            message = self.keep(name, then)
        return " ".join(filter(None, (message, self.finish(name, stopped=now.stopped is not None))))

    def beat(self, name: str) -> str:
        """Record that the screen is alive, every ``BEAT`` seconds; an error message, or ''."""
        return " ".join(self._records[name].beat(self._clock()))

    def close(self) -> None:
        """Let go of the records; nothing is stored after that."""
        with suppress(RecordsTrouble):
            self._store().close()

    def _add(self, opened: Opened | None, basis: Basis) -> str:
        record = Record(
            self._opening,
            self._folders,
            versions_of(basis),
            private_of(basis.tree),
            self.adviser,
            opened=opened,
            patience=self._patience,
        )
        self._records[record.reference] = record
        return record.reference

    def _store(self) -> Store:
        return opened_store(self._opening, self._patience)


def _since(then: Versions, now: Versions) -> str:
    """What has another version than when the call was led."""
    pairs = [
        (then.tree, then.tree_version, now.tree, now.tree_version),
        (then.range, then.range_version, now.range, now.range_version),
        (then.population, then.population_version, now.population, now.population_version),
    ]
    changes = [f"{a} {b}, now {c} {d}" for a, b, c, d in pairs if (a, b) != (c, d)]
    return f"This call was taken with {'; '.join(changes)}. Its results are worked out again."


def _line(call: ListedCall) -> str:
    who = " ".join(call.caller_name.split()) or NOBODY
    day = call.started_at.astimezone().strftime("%Y-%m-%d %H:%M")
    return f"{call.reference}, {who}, {day}, {call.status}, {call.adviser or 'no name given'}"


# -- ending ---------------------------------------------------------------------------------------
# What a call leaves for later when it ends: how sure consult was, and what came of the chair.


def ended(basis: Basis, now: State, came: ChairOutcome | None, at: datetime) -> State:
    """A finished call with those lines added to its answers; unchanged where they are there.

    ``now`` has its chair chosen. ``came`` is about the chair of the call that this one follows.
    """
    odds, call = stated_odds(basis, now), now.call
    lines = {ODDS: odds.text if odds else "", CAME: came.text if came else ""}
    for name, text in lines.items():
        old = call.latest().get(name)
        if text and (old is None or old.said != text):
            call = call.add(Answer(name, text, at=at))
    return now if call is now.call else replace(now, call=call)


# -- what a desk begins with ----------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Begun:
    """What the call desk begins with.

    ``live`` knows what new calls begin with; where there is none, as a tree was named, every call
    at the desk is led with ``basis``.
    """

    basis: Basis
    call: Call
    kept: DeskCalls
    clock: Callable[[], datetime]
    open_first: str = ""
    """The reference of a stored call to continue."""
    firsts: FirstCalls | None = None
    """Looks at the calls that others follow."""
    live: LiveTrees | None = None
