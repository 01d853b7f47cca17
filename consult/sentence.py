"""A sentence with lengths in it, so the core stays in mm and the reader gets their own units."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field

from consult.scale import System, format_length

CHAIR = "chair"
_CHAIR = re.compile(r"\b(c|C)hair(s?)\b")


def of_thing(text: str, thing: str) -> str:
    """The program's own words about a chair, said of another product."""
    if thing == CHAIR:
        return text
    capital = f"{thing[:1].upper()}{thing[1:]}"
    return _CHAIR.sub(lambda match: (capital if match[1] == "C" else thing) + match[2], text)


_LEAST = {"0 cm": "0.1 cm", "0 in": "¼ in"}
"""Nothing, as it is written -> the least that is not."""


@dataclass(frozen=True, slots=True)
class Sentence:
    """``Sentence("Raise the desk by <amount>.", {"amount": 40.0}).text("metric")``."""

    template: str
    lengths: Mapping[str, float] = field(default_factory=dict)
    """Name to mm; each ``<name>`` in the template is replaced once, literally."""

    def text(self, system: System) -> str:
        """The sentence with its lengths written in the reader's units."""
        said = self.template
        for name, mm in self.lengths.items():
            said = said.replace(f"<{name}>", amount_words(mm, system))
        return said


def amount_words(mm: float, system: System) -> str:
    """A length; one that is there never reads as nothing, however coarse the reader's ruler."""
    if system == "both":
        return f"{amount_words(mm, 'metric')} ({amount_words(mm, 'imperial')})"
    written = format_length(mm, system)
    if mm <= 0 or written not in _LEAST:
        return written
    return f"less than {_LEAST[written]}"
