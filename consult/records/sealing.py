"""Health answers as bytes, encrypted where the installation has a key."""

from __future__ import annotations

import os
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from consult.records.trouble import CannotKeep, Damaged, NoKey

if TYPE_CHECKING:
    from cryptography.fernet import Fernet

PLAIN, SEALED = b"p", b"s"
MISSING = (
    "Health answers here are encrypted and the key is missing (CONSULT_KEY or CONSULT_KEY_FILE); "
    "everything else can be read."
)
WRONG = "The key given for the health answers is not the one they were encrypted with."
_BAD = "The key for the health answers is no key: it must be 44 letters and digits."
_ABSENT = (
    "A key for the health answers is set, but encryption is not installed: "
    "install consult with its 'crypt' extra."
)


def find_key() -> str | None:
    """The key from CONSULT_KEY, else from the file CONSULT_KEY_FILE names; None where not set."""
    if key := os.environ.get("CONSULT_KEY"):
        return key.strip()
    if not (file := os.environ.get("CONSULT_KEY_FILE")):
        return None
    try:
        return Path(file).read_text("ascii").strip()
    except (OSError, ValueError) as error:
        raise CannotKeep(f"The file of the key, {file}, cannot be read.") from error


@dataclass(frozen=True)
class Seal:
    """Closes and opens health answers."""

    key: str | None = None

    @cached_property
    def _lock(self) -> Fernet | None:
        if self.key is None:
            return None
        try:
            from cryptography.fernet import Fernet
        except ImportError as error:
            raise NoKey(_ABSENT) from error
        try:
            return Fernet(self.key.encode())
        except ValueError as error:
            raise NoKey(_BAD) from error

    def close(self, body: bytes) -> bytes:
        """The bytes to keep."""
        return PLAIN + body if self._lock is None else SEALED + self._lock.encrypt(body)

    def open(self, kept: bytes) -> bytes:
        """What was closed. NoKey where the key is missing or another one, Damaged where torn."""
        if kept[:1] == PLAIN:
            return kept[1:]
        if kept[:1] != SEALED:
            raise Damaged("A kept health answer is damaged.")
        if self._lock is None:
            raise NoKey(MISSING)
        from cryptography.fernet import InvalidToken

        try:
            return self._lock.decrypt(kept[1:])
        except InvalidToken as error:
            raise NoKey(WRONG) from error
