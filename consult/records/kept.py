"""The values that the store reads and writes, and the reference of a call."""

from __future__ import annotations

import re
import secrets
from dataclasses import dataclass
from datetime import UTC, datetime
from hashlib import blake2b
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from consult.call.basis import Basis
    from consult.call.call import Call

CallStatus = Literal["open", "held", "finished", "stopped"]
STATUSES: tuple[CallStatus, ...] = ("open", "held", "finished", "stopped")


@dataclass(frozen=True, slots=True)
class Versions:
    """What a call was worked out from; '' where there was none."""

    tree: str
    tree_version: str
    range: str = ""
    range_version: str = ""
    population: str = ""
    population_version: str = ""


def versions_of(basis: Basis) -> Versions:
    """The names and versions of what a call is computed from."""
    tree, chairs, people = basis.tree, basis.range, basis.population
    sold = (chairs.name, chairs.version) if chairs else ("", "")
    return Versions(tree.name, tree.version, *sold, people.id, people.version)


@dataclass(frozen=True, slots=True)
class Opened:
    """A call that this screen may write to."""

    id: int
    reference: str
    token: str
    """This opening of it; another one, here or elsewhere, has another."""


@dataclass(frozen=True, slots=True)
class ListedCall:
    """A call in a list."""

    id: int
    reference: str
    caller_name: str
    status: CallStatus
    started_at: datetime
    adviser: str


@dataclass(frozen=True, slots=True)
class Kept:
    """A stored call."""

    id: int
    reference: str
    call: Call
    versions: Versions
    status: CallStatus
    consent: bool | None
    caller_name: str
    adviser: str
    started_at: datetime
    updated_at: datetime
    open_since: datetime | None
    """Since when a screen has it open; None if none has."""
    summaries: tuple[str, ...]
    trouble: str = ""
    """Why stored health answers cannot be read here; '' if none are missing."""


def utc(at: datetime) -> str:
    """A time as it is kept; one without a zone is this machine's own."""
    return at.astimezone(UTC).isoformat(timespec="microseconds")


def from_utc(text: str) -> datetime:
    """The time kept; ValueError where it is none."""
    return datetime.fromisoformat(text)


ALPHABET = "23456789CDFGHJKMNPQRTVWXY"
"""Without 0 O 1 I L S Z B, which look alike, and without vowels, which make words."""
_LENGTH = 6
_NOISE = re.compile(r"[\s\-–—.]+")


def new_reference() -> str:
    """A random reference such as 7K3-M2Q, one of two hundred million."""
    signs = "".join(secrets.choice(ALPHABET) for _ in range(_LENGTH))
    return f"{signs[:3]}-{signs[3:]}"


def as_reference(typed: str) -> str | None:
    """The reference, or the beginning of one, as kept; None where the text cannot be one."""
    signs = _NOISE.sub("", typed).upper()
    if not 0 < len(signs) <= _LENGTH or any(sign not in ALPHABET for sign in signs):
        return None
    return signs if len(signs) <= 3 else f"{signs[:3]}-{signs[3:]}"


# -- store any text exactly, in databases that refuse some characters, with a checksum ------------

_UNSAFE = re.compile("[\\\\\0\ud800-\udfff]")
_ESCAPED = re.compile(r"\\([0-9a-f]{4})")


def escaped(text: str) -> str:
    r"""The text with NUL and half characters written as ``\0000`` and ``\d83d``.

    PostgreSQL has no NUL in a text and neither database takes half a character; both are kept all
    the same. The backslash is written the same way, so nothing else reads as one of these.
    """
    return _UNSAFE.sub(lambda match: f"\\{ord(match[0]):04x}", text)


def unescaped(text: str) -> str:
    """The text ``escaped`` was given; ValueError where it cannot have come from there."""
    if "\\" not in text:
        return text
    plain = _ESCAPED.sub("", text)
    if "\\" in plain:
        raise ValueError("a stray backslash")
    return _ESCAPED.sub(lambda match: chr(int(match[1], 16)), text)


def check_of(*values: object) -> str:
    """A checksum of sixteen characters that changes with any of the values.

    Databases notice a torn page, not a changed letter in it; a call must never be read wrong.
    """
    return blake2b(repr(values).encode("utf-8", "surrogatepass"), digest_size=8).hexdigest()
