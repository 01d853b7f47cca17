"""Texts already found to follow their schema, so that a start need not prove them again.

A text is known by its digest together with that of the schema: changed by a letter, it is new.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping
from typing import Any

_proven: dict[str, None] = {}
"""In the order they were proven or recalled."""


def is_proven(digest: str, schema: Mapping[str, Any]) -> bool:
    """Whether a text of this digest was found to follow the schema."""
    return _key(digest, schema) in _proven


def prove(digest: str, schema: Mapping[str, Any]) -> None:
    """Remember that it does."""
    _proven[_key(digest, schema)] = None


def recall(keys: Iterable[str]) -> None:
    """Take over what an earlier run proved."""
    _proven.update(dict.fromkeys(keys))


def proven() -> tuple[str, ...]:
    """What is worth remembering for the next run."""
    return tuple(_proven)


def _key(digest: str, schema: Mapping[str, Any]) -> str:
    written = json.dumps(schema, sort_keys=True)
    return hashlib.sha256(f"{digest} {written}".encode()).hexdigest()
