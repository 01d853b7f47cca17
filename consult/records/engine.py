"""Opening the database of the records: a SQLite file of this user, or PostgreSQL by URL."""

from __future__ import annotations

import os
import secrets
import sqlite3
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import AbstractContextManager, contextmanager, nullcontext, suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

import platformdirs
from sqlalchemy import create_engine, delete, insert, inspect, make_url, text, update
from sqlalchemy.exc import ArgumentError, NoSuchModuleError

from consult.records.errors import (
    DAMAGED,
    CannotKeep,
    Damaged,
    Newer,
    NotRecords,
    RecordsTrouble,
    plainly,
)
from consult.records.file_connections import (
    BEGIN_WRITING,
    connect_file,
    file_engine,
    marks_of,
    turn,
)
from consult.records.place import home_path
from consult.records.schema import APPLICATION_ID, SCHEMA_VERSION, meta, metadata, noted

if TYPE_CHECKING:
    from sqlalchemy.engine import Connection, Engine

NEWER = (
    "These records were written by a newer version of consult and were not changed. Update "
    "consult on this machine to open them."
)


@dataclass(frozen=True, slots=True)
class Database:
    """The connection to the records."""

    engine: Engine
    path: Path | None
    """The file; None for a shared database."""
    patience: float
    """Seconds to wait for another writer."""
    _texts: dict[Any, tuple[str, Sequence[str] | None]] = field(default_factory=dict)

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """A read-only transaction: one moment of the records."""
        with self._connected() as connection:
            if self.path is None:
                # A SQLite reader sees one moment by itself.
                connection = connection.execution_options(isolation_level="REPEATABLE READ")
            with connection.begin():
                yield connection

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """A write transaction: durable at the end of the block, or not made at all."""
        with self._turn(), self._connected() as connection:
            connection = connection.execution_options(consult_writes=True)
            with connection.begin():
                yield connection

    @contextmanager
    def quick(self) -> Iterator[Callable[[Any, dict[str, Any]], int]]:
        """A write transaction by the driver alone: runs a statement, tells how many rows it met.

        For what is done after every answer: SQLAlchemy takes longer about it than SQLite. Texts are
        not escaped here.
        """
        with plainly(self.path), self._turn():
            pooled = self.engine.raw_connection()
            driver: Any = pooled.driver_connection

            def run(statement: Any, values: dict[str, Any]) -> int:
                if statement not in self._texts:
                    compiled = statement.compile(dialect=self.engine.dialect)
                    self._texts[statement] = str(compiled), compiled.positiontup
                words, places = self._texts[statement]
                given = values if places is None else [values[name] for name in places]
                met: int = driver.execute(words, given).rowcount
                return met

            try:
                if self.path is not None:
                    driver.execute(BEGIN_WRITING)
                yield run
                driver.commit()
            except BaseException:
                pooled.invalidate()
                raise
            finally:
                pooled.close()

    @contextmanager
    def _connected(self) -> Iterator[Connection]:
        with plainly(self.path), self.engine.connect() as connection:
            try:
                yield connection
            except BaseException:
                # Whatever was wrong with it, the next one begins anew.
                connection.invalidate()
                raise

    def _turn(self) -> AbstractContextManager[None]:
        return turn(self.path.parent, self.patience) if self.path else nullcontext()

    @contextmanager
    def raw(self, patience: float | None = None) -> Iterator[sqlite3.Connection]:
        """The SQLite connection itself, for what stands outside transactions."""
        with plainly(self.path):
            connection = connect_file(self.path, self.patience if patience is None else patience)
            try:
                yield connection
            finally:
                connection.close()

    def close(self) -> None:
        """Close what is kept open; another use opens it again."""
        self.engine.dispose()

    def settle(self) -> bool:
        """Move everything from the log of a SQLite file into it, and empty the log.

        What was erased is gone from the disk's files only then. False: a reader is in the way.
        """
        return self.path is None or self._settle(self.patience)

    def settle_now(self) -> None:
        """The same if nobody is in the way; a file copied by hand has everything then."""
        if self.path is not None:
            with suppress(RecordsTrouble), self._turn():
                self._settle(0)

    def _settle(self, patience: float) -> bool:
        end = time.monotonic() + patience
        with self.raw(patience) as connection:
            while True:
                busy = connection.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()[0]
                if not busy or time.monotonic() > end:
                    return not busy
                time.sleep(0.02)

    def scrub(self) -> bool:
        """Wipe removed rows from the file.

        Overwriting what is deleted is not enough: SQLite leaves copies of rows it has moved in the
        unused parts of pages, so the file is written anew. False: somebody is in the way, or on a
        server this user does not own the tables.
        """
        try:
            if self.path is None:
                return self._vacuumed()
            with self.raw() as connection:
                connection.execute("VACUUM")
        except CannotKeep:
            return False
        return self.settle()

    def _vacuumed(self) -> bool:
        """Clean the tables of a server; False where it leaves one out, which is no error to it."""
        warned: list[Any] = []
        with plainly(self.path), self.engine.connect() as connection:
            connection.execution_options(isolation_level="AUTOCOMMIT")
            driver: Any = connection.connection.driver_connection
            driver.add_notice_handler(warned.append)
            try:
                names = ", ".join(table.name for table in metadata.sorted_tables)
                connection.exec_driver_sql(f"VACUUM {names}")
            finally:
                driver.remove_notice_handler(warned.append)
        return not warned

    def scrub_marked(self) -> bool:
        """Wipe what a change marked off the whole file, or off its log alone.

        The mark stays until that is done: where a program is killed meanwhile, the next one to
        open the records does it. False: somebody is in the way.
        """
        with self.reading() as connection:
            mark = noted(connection, _UNSCRUBBED)
        if mark is None:
            return True
        done = self.settle() if mark.startswith(_LOG) and self.path else self.scrub()
        if not done:
            return False
        try:
            with self.writing() as connection:
                # Another desk may have marked a change of its own meanwhile.
                own = (meta.c.name == _UNSCRUBBED) & (meta.c.value == mark)
                connection.execute(delete(meta).where(own))
        except CannotKeep:
            return False
        return True


_UNSCRUBBED, _FILE, _LOG = "unscrubbed", "file", "log:"


def mark_unscrubbed(connection: Connection, *, in_place: bool = False) -> None:
    """Note, inside a change, that what it took away must be wiped off the file afterwards.

    What was overwritten ``in_place`` remains in the log of a SQLite file alone.
    """
    kind = _LOG if in_place else _FILE
    connection.execute(
        text(
            "INSERT INTO meta (name, value) VALUES (:name, :value) ON CONFLICT (name) DO UPDATE "
            "SET value = CASE WHEN meta.value LIKE 'file%' THEN 'file' ELSE '' END || :value"
        ),
        {"name": _UNSCRUBBED, "value": kind + secrets.token_hex(8)},
    )


def open_database(place: str | Path, patience: float) -> Database:
    """Connect, making the file where there is none; nothing is written to an existing one.

    ``NotRecords`` or ``Newer`` where the file is not ours to write, ``CannotKeep`` where it or the
    server cannot be reached.
    """
    if isinstance(place, str):
        return Database(_shared(_server(place), patience), None, patience)
    path = home_path(place).absolute()
    with plainly(path):
        _prepare(path)
    return Database(file_engine(path, patience), path, patience)


def _server(url: str) -> str:
    try:
        parsed = make_url(url)
    except (ArgumentError, ValueError) as error:
        raise NotRecords(
            "The address of the records is not valid. Name a file, or use postgresql://..."
        ) from error
    kind = parsed.drivername.partition("+")[0]
    if kind in ("postgresql", "postgres"):
        return parsed.set(drivername="postgresql+psycopg").render_as_string(hide_password=False)
    raise NotRecords(
        "Records are stored in a file or in PostgreSQL. Name a file, or use postgresql://..."
    )


def _shared(url: str, patience: float) -> Engine:
    options = f"-c lock_timeout={int(patience * 1000)} -c synchronous_commit=on"
    try:
        return create_engine(
            url,
            connect_args={"options": options, "connect_timeout": max(2, int(patience))},
            pool_pre_ping=True,
            pool_size=2,
            hide_parameters=True,
        )
    except (ImportError, NoSuchModuleError) as error:
        raise RecordsTrouble(
            "Shared records need one more package: pip install 'consult[team]'"
        ) from error


def _prepare(path: Path) -> None:
    """Make the file where there is none, closed to others; look at one that is there, no more."""
    path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    if path.parent == Path(platformdirs.user_data_dir("consult")):
        path.parent.chmod(0o700)
    try:
        os.close(os.open(path, os.O_RDWR | os.O_CREAT | os.O_EXCL, 0o600))
    except FileExistsError:
        look(path)
        if path.stat().st_mode & 0o077:
            path.chmod(0o600)


def look(path: Path) -> None:
    """Refuse, by its first bytes alone, a file that is not ours or of a newer version."""
    if path.exists() and not path.is_file():
        raise NotRecords(f"{path} is a folder, a device or a pipe. Name a file.")
    with plainly(path):
        if path.stat().st_size == 0:
            return
        try:
            program, version = marks_of(path)
        except sqlite3.DatabaseError as error:
            if isinstance(error, sqlite3.OperationalError):
                raise
            raise NotRecords(
                f"{path} does not contain stored calls, or it is damaged. Name another file."
            ) from error
    if program != APPLICATION_ID:
        raise NotRecords(
            f"{path} belongs to another program and was not changed. Name another file."
        )
    if version > SCHEMA_VERSION:
        raise Newer(NEWER)


# -- the version of the tables: made where there are none, brought forward, never taken back ------

SchemaStep = Callable[["Connection"], None]

SCHEMA_STEPS: Mapping[int, SchemaStep] = {}
"""Version -> what makes the next version of it. Every released version has its step for ever."""

_ONE_AT_A_TIME = 0x636E736C
"""The lock PostgreSQL holds while one desk makes or changes the tables."""


def bring_up(
    database: Database, steps: Mapping[int, SchemaStep] = SCHEMA_STEPS, to: int = SCHEMA_VERSION
) -> None:
    """Make the tables or bring them to this version, in one step that happens whole or not at all.

    ``Newer`` where a newer version wrote them, ``NotRecords`` where there are tables but not ours;
    nothing is changed then.
    """
    with database.reading() as connection:
        before = _version(connection)
        if before == to:
            return
    if database.path is not None:
        _write_ahead(database, new=before is None)
    with database.writing() as connection:
        if database.path is None:
            connection.execute(text(f"SELECT pg_advisory_xact_lock({_ONE_AT_A_TIME})"))
        stored_version = _version(connection)
        if stored_version is None:
            metadata.create_all(connection, checkfirst=False)
            connection.execute(insert(meta).values(name="schema_version", value=str(to)))
        else:
            for version in range(stored_version, to):
                if version not in steps:
                    raise NotRecords(
                        f"These records have version {version}, which was never released. "
                        "Restore a backup."
                    )
                steps[version](connection)
            changed = update(meta).where(meta.c.name == "schema_version").values(value=str(to))
            connection.execute(changed)
        if database.path is not None:
            connection.exec_driver_sql(f"PRAGMA user_version={to}")
    # So that the first bytes of the file tell its version at once.
    database.settle()


def _version(connection: Connection) -> int | None:
    """The version of the tables; None where there are none yet."""
    tables = inspect(connection).get_table_names()
    if not tables:
        return None
    if meta.name not in tables:
        raise NotRecords(
            "The database contains tables of another program and was not changed. "
            "Name another database."
        )
    value = noted(connection, "schema_version")
    if value is None:
        raise Damaged(DAMAGED)
    version = int(value)
    if version > SCHEMA_VERSION:
        raise Newer(NEWER)
    return version


def _write_ahead(database: Database, *, new: bool) -> None:
    """Let readers read while one writes; SQLite does not wait for others with this by itself.

    A new file is marked as ours in its very first write: cut off after that, it is gone on with.
    """
    end = time.monotonic() + max(database.patience, 5)
    with database.raw() as connection:
        while True:
            try:
                if new:
                    connection.execute(f"PRAGMA application_id={APPLICATION_ID}")
                mode = connection.execute("PRAGMA journal_mode=WAL").fetchone()[0]
            except sqlite3.OperationalError:
                if time.monotonic() > end:
                    raise
                time.sleep(0.02)
                continue
            if mode != "wal":
                raise CannotKeep(
                    "This disk does not let several call screens share the records "
                    "safely. Choose a local disk."
                )
            return
