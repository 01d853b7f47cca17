"""Health answers inside the closed body that is kept of each."""

from __future__ import annotations

import json
from typing import cast

from consult.records.exact import escaped, unescaped


def body_of(values: tuple[object, ...]) -> bytes:
    """The values as bytes; half characters and all come back to the character."""
    return json.dumps([escaped(v) if isinstance(v, str) else v for v in values]).encode("ascii")


def values_of(body: bytes) -> tuple[object, ...]:
    """The values again; ValueError where they cannot be."""
    read: object = json.loads(body)
    if not isinstance(read, list):
        raise ValueError("no list")
    values = cast("list[object]", read)
    return tuple(unescaped(v) if isinstance(v, str) else v for v in values)
