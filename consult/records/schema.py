"""The tables of stored calls, the same for a file and for a shared database.

Texts of people are stored escaped (``exact``). Health is in a table of its own, a closed body per
answer, so that taking consent back removes exactly that table's rows of a call. ``seq`` is the one
order of a call's answers; times are UTC and only told, because a clock can go backwards.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from sqlalchemy import (
    Boolean,
    Column,
    Float,
    ForeignKey,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    String,
    Table,
    Text,
    UniqueConstraint,
    select,
)
from sqlalchemy.types import TypeDecorator

from consult.records.kept import escaped, unescaped

if TYPE_CHECKING:
    from collections.abc import Callable

    from sqlalchemy.engine import Connection, Dialect

SCHEMA_VERSION = 1
APPLICATION_ID = 0x636E736C
"""Marks a SQLite file as ours, so that no other program's file is ever written to."""


class Exact(TypeDecorator[str]):
    """Text that comes back to the character."""

    impl = Text
    cache_ok = True

    def process_bind_param(self, value: str | None, dialect: Dialect) -> str | None:  # noqa: ARG002
        """Escaped on the way in."""
        return None if value is None else escaped(value)

    def result_processor(
        self,
        dialect: Dialect,  # noqa: ARG002
        coltype: object,  # noqa: ARG002
    ) -> Callable[[str | None], str | None]:
        """As it was on the way out; one call a text, as there are hundreds in a call."""
        return lambda value: unescaped(value) if value and "\\" in value else value


# Compared sign by sign, so that "begins with" is a range of the index on either database.
_SIGNS = Text().with_variant(Text(collation="C"), "postgresql")

metadata = MetaData()

meta = Table(
    "meta",
    metadata,
    Column("name", String(40), primary_key=True),
    Column("value", Text, nullable=False),
)


def noted(connection: Connection, name: str) -> str | None:
    """What the records note under a name."""
    value: str | None = connection.scalar(select(meta.c.value).where(meta.c.name == name))
    return value


KEY_PROOF = "key_proof"
"""The name of what the key of the records is known by."""

calls = Table(
    "calls",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("reference", _SIGNS, nullable=False, unique=True),
    Column("started_at", Text, nullable=False),
    Column("today", Text, nullable=False),
    Column("system", Text, nullable=False),
    Column("country", Exact, nullable=False),
    Column("tree", Exact, nullable=False),
    Column("tree_version", Exact, nullable=False),
    Column("range", Exact, nullable=False),
    Column("range_version", Exact, nullable=False),
    Column("population", Exact, nullable=False),
    Column("population_version", Exact, nullable=False),
    Column("caller_name", Exact, nullable=False),
    Column("status", Text, nullable=False),
    Column("consent", Boolean),
    Column("answer_count", Integer, nullable=False),
    Column("handled_count", Integer, nullable=False),
    Column("health_count", Integer, nullable=False),
    Column("floor", Integer, nullable=False),
    Column("check", Text, nullable=False),
    Column("updated_at", Text, nullable=False),
    Column("adviser", Exact, nullable=False),
    Column("open_by", Text),
    Column("open_since", Text),
    Column("heartbeat", Text),
    Column("origin", Text, unique=True),
    Index("calls_status", "status"),
    Index("calls_updated", "updated_at"),
    sqlite_autoincrement=True,
)

answers = Table(
    "answers",
    metadata,
    Column("call_id", Integer, ForeignKey("calls.id", ondelete="CASCADE"), primary_key=True),
    Column("seq", Integer, primary_key=True),
    Column("question", Exact, nullable=False),
    Column("said", Exact, nullable=False),
    Column("confirmed", Boolean, nullable=False),
    Column("note", Exact, nullable=False),
    Column("at", Text),
    Column("took", Float(53)),
    Column("check", Text, nullable=False),
)

handled = Table(
    "handled",
    metadata,
    Column("call_id", Integer, ForeignKey("calls.id", ondelete="CASCADE"), primary_key=True),
    Column("seq", Integer, primary_key=True),
    Column("after", Integer, nullable=False),
    Column("caution", Exact, nullable=False),
    Column("lifted", Exact, nullable=False),
    Column("at", Text),
    Column("check", Text, nullable=False),
)

health = Table(
    "health",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("call_id", Integer, ForeignKey("calls.id", ondelete="CASCADE"), nullable=False),
    Column("kind", Text, nullable=False),
    Column("seq", Integer, nullable=False),
    Column("body", LargeBinary, nullable=False),
    Column("check", Text, nullable=False),
    Index("health_call", "call_id"),
    sqlite_autoincrement=True,
)
"""Kind 'answer' or 'handled'. In a SQLite file rows are only appended, and overwritten in place."""

summaries = Table(
    "summaries",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("call_id", Integer, ForeignKey("calls.id", ondelete="CASCADE"), nullable=False),
    Column("path", Exact, nullable=False),
    Column("written_at", Text, nullable=False),
    UniqueConstraint("call_id", "path"),
    Index("summaries_path", "path"),
)

name_words = Table(
    "name_words",
    metadata,
    Column("word", _SIGNS, primary_key=True),
    Column("call_id", Integer, ForeignKey("calls.id", ondelete="CASCADE"), primary_key=True),
    Index("name_words_call", "call_id"),
    sqlite_with_rowid=False,
)

audit = Table(
    "audit",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("at", Text, nullable=False),
    Column("what", Text, nullable=False),
    Column("count", Integer, nullable=False),
)
"""What was erased, and used for training, when and how many; never whose."""

erased = Table("erased", metadata, Column("mark", Text, primary_key=True))
"""Marks of erased calls, so that a recovery file found later does not bring one back.

A mark is worked out of a reference made at random: it tells nothing about anybody.
"""
