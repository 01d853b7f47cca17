"""A name as trees write it, made of the words a person typed."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Collection

MOST = 40
_SMALL = {
    *("a", "an", "and", "are", "at", "do", "does", "for", "how", "i", "in", "is", "it", "of"),
    *("on", "or", "please", "the", "to", "what", "which", "you", "your", "that", "this", "much"),
}
NAME = re.compile(r"[a-z][a-z0-9_]{0,59}")


def name_from(words: str, taken: Collection[str], otherwise: str) -> str:
    """A short name nobody has yet; ``otherwise`` where the words hold no letter to make one of."""
    plain = unicodedata.normalize("NFKD", words).encode("ascii", "ignore").decode().casefold()
    found = re.findall(r"[a-z0-9]+", plain)
    telling = [word for word in found if word not in _SMALL] or found
    name = ""
    for word in telling[:3]:
        longer = f"{name}_{word}" if name else word
        if len(longer) <= MOST:
            name = longer
    if not NAME.fullmatch(name):
        name = f"{otherwise}_{name}"[:MOST].rstrip("_") if name else otherwise
    unique, count = name, 2
    while unique in taken:
        unique, count = f"{name}_{count}", count + 1
    return unique
