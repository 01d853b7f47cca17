"""The reference of a call: short enough to say on the phone, never to be guessed from another."""

from __future__ import annotations

import re
import secrets

ALPHABET = "23456789CDFGHJKMNPQRTVWXY"
"""No 0 O 1 I L S Z B that look alike, and no vowels that would make words."""
_LENGTH = 6
_NOISE = re.compile(r"[\s\-–—.]+")


def new_reference() -> str:
    """A fresh one, such as 7K3-M2Q; two hundred million there are."""
    signs = "".join(secrets.choice(ALPHABET) for _ in range(_LENGTH))
    return f"{signs[:3]}-{signs[3:]}"


def as_reference(typed: str) -> str | None:
    """The reference, or the beginning of one, as kept; None where the text cannot be one."""
    signs = _NOISE.sub("", typed).upper()
    if not 0 < len(signs) <= _LENGTH or any(sign not in ALPHABET for sign in signs):
        return None
    return signs if len(signs) <= 3 else f"{signs[:3]}-{signs[3:]}"
