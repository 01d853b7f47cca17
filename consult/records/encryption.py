"""Encryption of health answers: the key, and each answer as the bytes that are stored of it.

A body begins with ``p`` (plain) or ``s`` (encrypted with Fernet: AES-128-CBC with HMAC-SHA256).
Nothing here loads the database.
"""

from __future__ import annotations

import json
import os
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, cast

from consult.durable import UnreadableError, read_file, write_whole
from consult.records.errors import Damaged, NoKey
from consult.records.kept import escaped, unescaped

if TYPE_CHECKING:
    from cryptography.fernet import Fernet

PLAIN, SEALED = b"p", b"s"
MISSING = (
    "Health answers are encrypted and the key is missing, so they are neither shown nor stored; "
    "everything else works. Set CONSULT_KEY or CONSULT_KEY_FILE."
)
WRONG_KEY = (
    "The health answers were encrypted with a different key, so they are neither shown nor "
    "stored in the records; everything else works. Set the right key."
)
_BAD = (
    "The key for the health answers is not valid, so they are neither shown nor stored; "
    "everything else works. A key has 44 letters and digits."
)
_ABSENT = (
    "A key is set but encryption is not installed, so health answers are neither shown nor "
    "stored. Install it: pip install 'consult[crypt]'"
)
_KNOWN = b"these records"


@dataclass(frozen=True)
class Seal:
    """Encrypts and decrypts health answers; does neither without a key."""

    key: str | None = None
    trouble: str = ""
    """Why the given key cannot be used; '' if it can."""

    @cached_property
    def _lock(self) -> Fernet | None:
        return None if self.key is None else _fernet(self.key)

    @cached_property
    def _proven(self) -> dict[str, bool]:
        return {}

    def close(self, body: bytes) -> bytes:
        """Encrypt: the bytes to store. NoKey if the given key cannot be used."""
        if self.trouble:
            raise NoKey(self.trouble)
        return PLAIN + body if self._lock is None else SEALED + self._lock.encrypt(body)

    def open(self, kept: bytes) -> bytes:
        """Decrypt. NoKey if the key is missing or different, Damaged if the bytes are."""
        if kept[:1] == PLAIN:
            return kept[1:]
        if kept[:1] != SEALED:
            raise Damaged("A stored health answer is damaged. Restore a backup.")
        if self._lock is None:
            raise NoKey(self.trouble or MISSING)
        from cryptography.fernet import InvalidToken

        try:
            return self._lock.decrypt(kept[1:])
        except InvalidToken as error:
            raise NoKey(WRONG_KEY) from error

    def proof(self) -> str:
        """A known text encrypted with this key, so that the key is known again."""
        return self.close(_KNOWN).decode("ascii")

    def proves(self, proof: str) -> bool:
        """Whether a proof was made with this key."""
        if proof not in self._proven:
            try:
                self._proven[proof] = self.open(proof.encode("ascii")) == _KNOWN
            except NoKey:
                self._proven[proof] = False
        return self._proven[proof]


def _fernet(key: str) -> Fernet:
    try:
        from cryptography.fernet import Fernet
    except ImportError as error:
        raise NoKey(_ABSENT) from error
    try:
        return Fernet(key.encode())
    except ValueError as error:
        raise NoKey(_BAD) from error


def seal_of(key: str | None) -> Seal:
    """A seal with this key; one without, and its trouble, where the key is none."""
    if key is not None:
        try:
            _fernet(key)
        except NoKey as trouble:
            return Seal(None, str(trouble))
    return Seal(key)


def read_key(file: str | Path) -> str:
    """The key in a file; NoKey where it cannot be read."""
    try:
        return read_file(Path(file), 10_000).decode("ascii").strip()
    except (UnreadableError, ValueError) as error:
        message = f"The file of the key, {file}, cannot be read. Health answers are neither shown "
        raise NoKey(f"{message}nor stored until it can; everything else works.") from error


def make_key(file: Path) -> bool:
    """Put a new key in a file for this user alone; False where the file is there already.

    ``NoKey`` where encryption is not installed or the file cannot be written.
    """
    try:
        from cryptography.fernet import Fernet
    except ImportError as error:
        raise NoKey(_ABSENT) from error
    if file.exists():
        return False
    try:
        write_whole(file, Fernet.generate_key() + b"\n")
    except OSError as error:
        message = f"The key cannot be written to {file} ({error.strerror or error})."
        raise NoKey(message) from error
    return True


def find_seal() -> Seal:
    """With the key from CONSULT_KEY, else from the file CONSULT_KEY_FILE names, else without."""
    key = os.environ.get("CONSULT_KEY")
    if not key and (file := os.environ.get("CONSULT_KEY_FILE")):
        try:
            key = read_key(file)
        except NoKey as trouble:
            return Seal(None, str(trouble))
    return seal_of(key.strip() if key else None)


def body_of(values: tuple[object, ...]) -> bytes:
    """Values as the bytes to close; half characters and all come back to the character."""
    return json.dumps([escaped(v) if isinstance(v, str) else v for v in values]).encode("ascii")


def values_in(body: bytes) -> tuple[object, ...]:
    """The values again; ValueError where they cannot be."""
    read: object = json.loads(body.decode("ascii"))
    if not isinstance(read, list):
        raise ValueError("no list")
    values = cast("list[object]", read)
    return tuple(unescaped(v) if isinstance(v, str) else v for v in values)
