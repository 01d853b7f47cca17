"""SQL is worked out once for all records that a process of the tests opens, not once for each.

To put a statement into words takes SQLAlchemy longer than SQLite takes to carry it out, and nearly
every test has records of its own: it was half of what opening them and storing a call took.
"""

from __future__ import annotations

from typing import Any

import pytest
from sqlalchemy.dialects.sqlite.pysqlite import SQLiteDialect_pysqlite
from sqlalchemy.engine import Engine
from sqlalchemy.util import LRUCache


def share_statements(patch: pytest.MonkeyPatch) -> None:
    """From now on, for every file."""
    known: LRUCache[Any, Any] = LRUCache(500)

    def of(engine: Engine) -> Any:
        is_file = isinstance(engine.dialect, SQLiteDialect_pysqlite)
        return known if is_file else engine.__dict__["own_statements"]

    def keep(engine: Engine, own: Any) -> None:
        engine.__dict__["own_statements"] = own

    patch.setattr(Engine, "_compiled_cache", property(of, keep), raising=False)
    # They are known by their dialect too, and each engine has one of its own.
    patch.setattr(SQLiteDialect_pysqlite, "__eq__", lambda one, other: type(one) is type(other))
    patch.setattr(SQLiteDialect_pysqlite, "__hash__", lambda one: hash(type(one)))
