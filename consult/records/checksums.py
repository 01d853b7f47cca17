"""Store any text exactly, in databases that refuse some characters, with a checksum."""

from __future__ import annotations

import re
from hashlib import blake2b

_UNSAFE = re.compile("[\\\\\0\ud800-\udfff]")
_ESCAPED = re.compile(r"\\([0-9a-f]{4})")


def escaped(text: str) -> str:
    r"""The text with NUL and half characters written as ``\0000`` and ``\d83d``.

    PostgreSQL has no NUL in a text and neither database takes half a character; both are kept all
    the same. The backslash is written the same way, so nothing else reads as one of these.
    """
    return _UNSAFE.sub(lambda found: f"\\{ord(found[0]):04x}", text)


def unescaped(text: str) -> str:
    """The text ``escaped`` was given; ValueError where it cannot have come from there."""
    if "\\" not in text:
        return text
    plain = _ESCAPED.sub("", text)
    if "\\" in plain:
        raise ValueError("a stray backslash")
    return _ESCAPED.sub(lambda found: chr(int(found[1], 16)), text)


def check_of(*values: object) -> str:
    """A checksum of sixteen characters that changes with any of the values.

    Databases notice a torn page, not a changed letter in it; a call must never be read wrong.
    """
    return blake2b(repr(values).encode("utf-8", "surrogatepass"), digest_size=8).hexdigest()
