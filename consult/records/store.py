"""The store of calls: create, add answers, read, find, and hand over between screens.

Every method returns only when what it wrote is durable, and speaks through ``RecordsTrouble``.
"""

from __future__ import annotations

import secrets
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from sqlalchemy import delete, insert, select
from sqlalchemy.exc import IntegrityError

from consult.records import search
from consult.records.appending import LastWritten, add_plain, append_in, begin_in, silent
from consult.records.backup import finish_restore
from consult.records.call_snapshot import held_of
from consult.records.encryption import Seal, find_seal, seal_of
from consult.records.engine import bring_up, open_database
from consult.records.errors import DAMAGED, NOT_OWNER, Damaged, NoSuchCall
from consult.records.kept import Opened, new_reference, utc
from consult.records.keys import key_state, settle_key
from consult.records.place import make_way, records_place
from consult.records.recovery_file import spill_folders
from consult.records.rows import call_number, call_row, elsewhere, read_pieces, rewrite_call
from consult.records.schema import summaries
from consult.records.search import kept_of

if TYPE_CHECKING:
    from datetime import datetime
    from pathlib import Path

    from sqlalchemy.engine import Connection

    from consult.call.call import Call, Private
    from consult.records.engine import Database
    from consult.records.kept import CallStatus, Kept, ListedCall, Versions
    from consult.records.keys import KeyState

BLOCKED = (
    "The health answers were deleted, but a copy may remain in the file while another program "
    "reads it. Close that program."
)


@dataclass
class Store:
    """The open records. Usable from any thread."""

    database: Database
    seal: Seal
    encrypted: bool
    """Whether health answers in these records are encrypted, as far as this screen knows."""
    key_trouble: str = ""
    """Why health answers can be neither read nor stored here; '' where they can."""
    copies_remain: bool = field(default=False, init=False)
    """Whether something deleted could not yet be wiped from the file."""
    notices: tuple[str, ...] = field(default=(), init=False)
    """Messages for the person who opened the records."""
    _written: dict[str, LastWritten] = field(default_factory=dict, init=False)
    """By opening; gone when the call is left, or another screen changed it."""

    @property
    def recovery_folders(self) -> tuple[Path, ...]:
        """Where recovery files of these records may be."""
        return spill_folders(self.database.path or "of a server")

    def health_trouble(self, connection: Connection) -> str:
        """Why this change must not write health; another desk may have set a key since."""
        return self._key_state(connection).trouble

    def _key_state(self, connection: Connection) -> KeyState:
        now = key_state(connection, self.seal)
        self.key_trouble, self.encrypted = now.trouble, bool(now.proof)
        self.copies_remain |= now.is_new
        return now

    # -- one call -----------------------------------------------------------------------------

    def begin(
        self, call: Call, versions: Versions, adviser: str, at: datetime, reference: str = ""
    ) -> Opened:
        """A new call with nothing said yet; a reference already told to the caller is kept."""
        for _ in range(20):
            wanted = reference or new_reference()
            try:
                with self.database.writing() as connection:
                    return begin_in(connection, call, versions, adviser, at, wanted)
            except Damaged as error:
                if not isinstance(error.__cause__, IntegrityError):
                    raise
                reference = ""
        raise Damaged(DAMAGED)

    def append(
        self,
        opened: Opened,
        call: Call,
        *,
        consent: bool | None,
        caller_name: str,
        private: Private,
        at: datetime,
    ) -> tuple[str, ...]:
        """Store what is new in a call, all or nothing. Returns messages for the adviser.

        What is kept must be the beginning of the call, else ``Conflict``; the call must still be
        open here, else ``OpenElsewhere``. Without consent no health answer is written, and those
        written before are erased.
        """
        messages: tuple[str, ...] = ()
        erased, after = 0, None
        before = self._written.pop(opened.token, None)
        if before:
            after = add_plain(self.database, before, call, consent, caller_name, private, at)
        if after is None:
            held = held_of(call, consent, caller_name, private)
            with self.database.writing() as connection:
                key = self._key_state(connection)
                row = self._row(connection, opened.id, opened.reference)
                self._own(row, opened)
                if row["open_by"] is None:
                    # Put aside, or closed after a silence, and not taken up: it goes on here.
                    rewrite_call(connection, row, open_by=opened.token, open_since=utc(at))
                kept = before.pieces if before and before.row["check"] == row["check"] else None
                # What is there may be what this screen cannot read, once somebody changed the key.
                if kept is None or key.trouble:
                    kept = read_pieces(connection, row, self.seal)
                done = append_in(connection, row, kept, held, at, self.seal, key.trouble)
            messages, erased = done.told, done.erased
            if not key.trouble:
                after = LastWritten(row, done.pieces, call, private, key.proof)
        if after:
            self._written[opened.token] = after
        # A file may be free by now; who may clean a server does not change in a call.
        if erased or (self.copies_remain and self.database.path is not None):
            self.copies_remain = not self.wipe()
            if self.copies_remain:
                messages = (*messages, BLOCKED if self.database.path else NOT_OWNER)
        return messages

    def read(self, which: int | str) -> Kept:
        """A call by its number or reference, every piece of it proved."""
        with self.database.reading() as connection:
            number = self._number(connection, which)
            row = self._row(connection, number, str(which), lock=False)
            pieces = read_pieces(connection, row, self.seal)
            paths = select(summaries.c.path).where(summaries.c.call_id == row["id"])
            written = tuple(connection.scalars(paths.order_by(summaries.c.id)))
            return kept_of(row, pieces, written)

    def note_summary(self, call_id: int, path: Path, at: datetime) -> None:
        """Remember a file written about a call, so that it can be erased with it."""
        where = str(path.absolute())
        with self.database.writing() as connection:
            same = (summaries.c.call_id == call_id) & (summaries.c.path == where)
            connection.execute(delete(summaries).where(same))
            row = {"call_id": call_id, "path": where, "written_at": utc(at)}
            connection.execute(insert(summaries).values(row))

    # -- from desk to desk --------------------------------------------------------------------

    def take_over(
        self, which: int | str, adviser: str, at: datetime, *, anyway: bool = False
    ) -> Opened:
        """Open a stored call here. ``OpenElsewhere`` if another live screen has it.

        ``anyway`` takes it from them: their next answer is refused there, and nothing is lost.
        """
        with self.database.writing() as connection:
            call_id = self._number(connection, which)
            row = self._row(connection, call_id, str(which))
            if row["open_by"] and not anyway and not silent(row, at):
                raise elsewhere(row)
            pieces = read_pieces(connection, row, self.seal)
            opened = Opened(call_id, row["reference"], secrets.token_hex(8))
            rewrite_call(
                connection,
                row,
                status="open",
                adviser=adviser,
                open_by=opened.token,
                open_since=utc(at),
                heartbeat=utc(at),
                floor=max(row["floor"], pieces.end),
            )
            return opened

    def beat(self, opened: Opened, at: datetime) -> None:
        """Say that this desk is alive; ``OpenElsewhere`` where the call was taken from it."""
        with self.database.writing() as connection:
            row = self._row(connection, opened.id, opened.reference)
            self._own(row, opened)
            if row["open_by"]:
                rewrite_call(connection, row, heartbeat=utc(at))
        self.database.settle_now()

    def hold(self, opened: Opened, at: datetime) -> None:
        """Put a call on hold; anybody can open it again."""
        self._leave(opened, "held", at)

    def finish(self, opened: Opened, at: datetime, *, stopped: bool = False) -> None:
        """End a call; ``stopped`` where a warning sign ended the advice."""
        self._leave(opened, "stopped" if stopped else "finished", at)

    def _leave(self, opened: Opened, status: CallStatus, at: datetime) -> None:
        self._written.pop(opened.token, None)
        with self.database.writing() as connection:
            row = self._row(connection, opened.id, opened.reference)
            self._own(row, opened)
            rewrite_call(
                connection,
                row,
                status=status,
                open_by=None,
                open_since=None,
                heartbeat=None,
                updated_at=max(utc(at), row["updated_at"]),
            )
        self.database.settle_now()

    # -- lists --------------------------------------------------------------------------------

    def find(self, text: str, limit: int = 20) -> tuple[ListedCall, ...]:
        """Calls by the beginning of their reference or of words of the caller's name."""
        with self.database.reading() as connection:
            return search.find(connection, text, limit)

    def latest(self, limit: int = 20) -> tuple[ListedCall, ...]:
        """The calls begun last, the newest first."""
        return search.listed_calls(self, limit=limit)

    def held(self, limit: int = 100) -> tuple[ListedCall, ...]:
        """Calls put aside or left open, the newest first."""
        with self.database.reading() as connection:
            return search.unfinished(connection, limit)

    def close(self) -> None:
        """Close the database."""
        self.database.close()

    # -- inside -------------------------------------------------------------------------------

    def _number(self, connection: Connection, which: int | str) -> int:
        return which if isinstance(which, int) else call_number(connection, which)

    @staticmethod
    def _row(
        connection: Connection, call_id: int, label: str, *, lock: bool = True
    ) -> dict[str, Any]:
        row = call_row(connection, call_id, lock=lock)
        if row is None:
            raise NoSuchCall(f"Call {label} is not stored here. It may have been deleted.")
        return row

    @staticmethod
    def _own(row: dict[str, Any], opened: Opened) -> None:
        if row["reference"] != opened.reference:
            raise NoSuchCall(
                f"Call {opened.reference} is not stored here. It may have been deleted."
            )
        if row["open_by"] not in (None, opened.token):
            raise elsewhere(row)

    def wipe(self) -> bool:
        """After health was overwritten: nothing of it in the log either."""
        return self.database.scrub_marked()


def open_store(place: str | Path | None = None, key: str | None = None, wait: float = 3) -> Store:
    """Open the records, making them where there are none; ``wait`` is seconds for other writers.

    A key comes from CONSULT_KEY or CONSULT_KEY_FILE where none is given. With a key, health
    answers stored before without one are encrypted now. Without the right one everything but
    health can be read and written.
    """
    where = records_place(place)
    anew = make_way(where)
    database = open_database(where, wait)
    try:
        bring_up(database)
        notices = (*filter(None, (anew,)), *finish_restore(database))
        seal = seal_of(key) if key else find_seal()
        encrypted, trouble = settle_key(database, seal)
        # What another program changed before it was killed.
        wiped = database.scrub_marked()
        store = Store(database, seal, encrypted, trouble)
        store.copies_remain = not wiped
        store.notices = notices
        return store
    except BaseException:
        database.close()
        raise
