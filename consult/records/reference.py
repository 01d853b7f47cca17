"""The reference of a call: short enough for the phone, and random."""

from __future__ import annotations

import re
import secrets

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
