"""Store the current call whatever happens: in the records, else in a recovery file.

Nothing here loads the database: it is opened in a thread of its own, so a desk appears at once.
"""

from __future__ import annotations

import secrets
from concurrent.futures import Future
from concurrent.futures import TimeoutError as TookTooLong
from contextlib import suppress
from threading import Lock, Thread
from typing import TYPE_CHECKING

from consult.records.call_snapshot import held_of, without_secrets
from consult.records.encryption import find_seal
from consult.records.errors import CannotKeep, NoSuchCall, RecordsTrouble, disk_trouble
from consult.records.kept import CallStatus, Opened, new_reference, utc
from consult.records.recovery_file import LOCKED, SUFFIX, Spilled, remove_spill, write_spill

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from datetime import datetime
    from pathlib import Path

    from consult.call.call import Call, Private
    from consult.records.kept import Versions
    from consult.records.store import Store

NOWHERE = (
    "This call cannot be stored on this machine, so it is only in memory. Export it with F8 "
    "before you quit."
)


class Opening(Future["Store"]):
    """Opens the records in a thread, begun by ``start`` or by whoever asks for them first."""

    def __init__(self, opener: Callable[[], Store]) -> None:
        super().__init__()
        self._opener = opener
        self._begun = Lock()

    def start(self, then: Callable[[], None] = lambda: None) -> None:
        """Begin to open them, once; ``then`` is called, in a thread, when that has ended."""
        work = self._work if self._begun.acquire(blocking=False) else self._wait
        Thread(target=work, args=(then,), name="records", daemon=True).start()

    def result(self, timeout: float | None = None) -> Store:
        """The records, once they are open; raises what opening them raised, or TimeoutError."""
        if not self._begun.locked():
            # An answer was typed before the first screen was drawn: nobody else would begin.
            self.start()
        return super().result(timeout)

    def _work(self, then: Callable[[], None]) -> None:
        self.set_running_or_notify_cancel()
        try:
            self.set_result(self._opener())
        except BaseException as error:
            self.set_exception(error)
        then()

    def _wait(self, then: Callable[[], None]) -> None:
        self.exception()
        then()


def opened_store(opening: Future[Store], patience: float) -> Store:
    """The records once they are open; RecordsTrouble where they cannot be, or not in time."""
    try:
        return opening.result(patience)
    except RecordsTrouble:
        raise
    except TookTooLong as error:
        raise CannotKeep("The records are still opening. Wait a moment.") from error
    except Exception as error:
        raise _unforeseen(error) from error


def _unforeseen(error: Exception) -> CannotKeep:
    """A mistake of ours must not cost the caller's answers: they go to the recovery file too."""
    return CannotKeep(f"The call could not be stored in the records ({type(error).__name__}).")


class Record:
    """One call being stored. No method raises; each returns a message if something fails."""

    def __init__(
        self,
        opening: Future[Store],
        folders: Sequence[Path],
        versions: Versions,
        private: Private,
        adviser: str,
        *,
        opened: Opened | None = None,
        patience: float = 5,
    ) -> None:
        self._opening = opening
        self._folders = tuple(folders)
        self._versions, self._private, self._adviser = versions, private, adviser
        self._opened = opened
        self._reference = opened.reference if opened else new_reference()
        self._name = f"call-{secrets.token_hex(6)}"
        self._token = secrets.token_hex(8)
        self._begun: datetime | None = None
        self._last: tuple[Call, bool | None, str] | None = None
        self._summaries: list[str] = []
        self._patience = patience
        self._spilt = ""

    @property
    def reference(self) -> str:
        """What to tell the caller to ask for."""
        return self._reference

    @property
    def in_recovery(self) -> bool:
        """Whether some of the call is in a recovery file alone that needs no other key."""
        return self._spilt == SUFFIX

    def keep(
        self, call: Call, *, consent: bool | None, caller_name: str, at: datetime
    ) -> tuple[str, ...]:
        """Store what is new, durable on return. Returns messages for the adviser, if any.

        A call in which nothing was said yet is not kept at all.
        """
        if not call.answers and not call.handled:
            return ()
        self._last = (call, consent, caller_name)
        self._begun = self._begun or at
        return self._try(lambda store: self._append(store, at), "open", at)

    def leave(self, status: CallStatus, at: datetime) -> tuple[str, ...]:
        """Put the call on hold, or end it."""
        if self._last is None and self._opened is None:
            return ()

        def leave(store: Store) -> tuple[str, ...]:
            messages = self._append(store, at) if self._last else ()
            assert self._opened is not None
            if status == "held":
                store.hold(self._opened, at)
            else:
                store.finish(self._opened, at, stopped=status == "stopped")
            return messages

        return self._try(leave, status, at)

    def note_summary(self, path: Path, at: datetime) -> tuple[str, ...]:
        """Remember a file written about this call, so that it is erased with it."""
        where = str(path.absolute())
        self._summaries = [*(summary for summary in self._summaries if summary != where), where]
        if self._last is None:
            return ()

        def note(store: Store) -> tuple[str, ...]:
            messages = self._append(store, at) if self._spilt or self._opened is None else ()
            assert self._opened is not None
            store.note_summary(self._opened.id, path, at)
            return messages

        return self._try(note, "open", at)

    def beat(self, at: datetime) -> tuple[str, ...]:
        """Record that this screen is alive, about every twenty seconds."""
        if self._opened is None or self._spilt:
            return ()
        try:
            self._store().beat(self._opened, at)
        except RecordsTrouble as trouble:
            return (str(trouble),)
        return ()

    def _append(self, store: Store, at: datetime) -> tuple[str, ...]:
        assert self._last is not None
        call, consent, name = self._last
        if self._opened is None:
            self._opened = self._begin(store, call, at)
            self._reference = self._opened.reference
        return store.append(
            self._opened, call, consent=consent, caller_name=name, private=self._private, at=at
        )

    def _begin(self, store: Store, call: Call, at: datetime) -> Opened:
        begun = self._begun or at
        if self._spilt:
            # Another desk may have put the recovery file into the records meanwhile.
            with suppress(NoSuchCall):
                return store.take_over(self._reference, self._adviser, at, anyway=True)
        return store.begin(call, self._versions, self._adviser, begun, self._reference)

    def _try(
        self, work: Callable[[Store], tuple[str, ...]], status: CallStatus, at: datetime
    ) -> tuple[str, ...]:
        try:
            messages = work(self._store())
        except RecordsTrouble as trouble:
            return self._spill(trouble, status, at)
        except Exception as error:
            return self._spill(_unforeseen(error), status, at)
        if (locked := self._lock_away(messages, status, at)) is not None:
            return (*messages, locked)
        if self._spilt:
            try:
                remove_spill(self._folders, self._name)
            except OSError as error:
                return (*messages, f"The recovery file could not be deleted ({error.strerror}).")
            self._spilt = ""
        return messages

    def _store(self) -> Store:
        return opened_store(self._opening, self._patience)

    def _lock_away(self, messages: tuple[str, ...], status: CallStatus, at: datetime) -> str | None:
        """Where health of a call goes that the records took without it; None where none waits.

        A key that is not that of the records is still somebody's: what is encrypted with it can
        be put in later. Without any key, health is in memory alone.
        """
        if self._store().key_trouble not in messages or find_seal().key is None:
            return None
        try:
            path = write_spill(self._folders, self._spilled(status, at), find_seal(), LOCKED)
        except (OSError, RecordsTrouble):
            return "Its health answers could not be stored in a recovery file either."
        self._spilt = LOCKED
        return (
            f"Its health answers are stored in a recovery file ({path}) until their key is given."
        )

    def _spill(self, trouble: RecordsTrouble, status: CallStatus, at: datetime) -> tuple[str, ...]:
        if self._last is None:
            return (str(trouble),)
        try:
            path = write_spill(self._folders, self._spilled(status, at), find_seal(), SUFFIX)
        except (OSError, RecordsTrouble) as error:
            why = disk_trouble(error, self._folders[-1]) if isinstance(error, OSError) else error
            return (str(trouble), f"{NOWHERE} ({why})")
        self._spilt = SUFFIX
        return (
            str(trouble),
            f"The call is stored in a recovery file ({path}). It moves to the records as soon as "
            "they can be written.",
        )

    def _spilled(self, status: CallStatus, at: datetime) -> Spilled:
        """The call as it goes into a recovery file."""
        assert self._last is not None
        call, consent, name = self._last
        held = held_of(call, consent, name, self._private)
        seal = find_seal()
        if seal.trouble or (seal.key is None and self._encrypted()):
            held = without_secrets(held)
        return Spilled(
            self._name,
            self._opened.id if self._opened else None,
            self._reference,
            self._opened.token if self._opened else self._token,
            self._adviser,
            utc(self._begun or at),
            utc(at),
            call.today.isoformat(),
            call.system,
            call.country,
            self._versions,
            status,
            tuple(self._summaries),
            held,
        )

    def _encrypted(self) -> bool:
        """Whether the records are known to be."""
        if not self._opening.done() or self._opening.exception() is not None:
            return False
        return self._opening.result().encrypted
