"""A caller's name as it is searched: its words, whatever their case and accents."""

from __future__ import annotations

import re
import unicodedata

_WORD = re.compile(r"[^\W_]+")
_APOSTROPHES = re.compile("['’ʼ`]")
_LONGEST, _MOST = 60, 20
_CONSIDERED = 2_000
"""Characters of a name that are looked at: what is longer is no name."""


def name_words(name: str) -> tuple[str, ...]:
    """The words of a name, folded, each once: "Zoë O'Neill-Ash" gives zoe, oneill, ash."""
    folded = unicodedata.normalize("NFKD", name[:_CONSIDERED]).casefold()
    plain = "".join(sign for sign in folded if not unicodedata.combining(sign))
    whole = _APOSTROPHES.sub("", plain).encode("utf-8", "ignore").decode("utf-8")
    found = dict.fromkeys(word[:_LONGEST] for word in _WORD.findall(whole))
    return tuple(found)[:_MOST]
