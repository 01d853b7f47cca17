"""The safety floor as values: warning signs, how grave each is, and where its caller must be sent.

Read from ``floor.yaml``, which is part of the program: trees can add to it and not take away.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any, Literal

from consult.marked.marks import load_marked
from consult.problems import listed
from consult.tree.sources import Cited, as_cited

Gravity = Literal["clinician", "urgent", "emergency"]
GRAVITIES: tuple[Gravity, ...] = ("clinician", "urgent", "emergency")
"""The mildest first."""
_FILE = Path(__file__).with_name("floor.yaml")
_NUMBER = re.compile(r"\d{2,}")


@dataclass(frozen=True, slots=True)
class Sign:
    """One warning sign that every caller is asked about."""

    name: str
    description: str
    gravity: Gravity
    label: tuple[str, ...]
    """Words, one of which the label of its choice holds."""
    source: Cited


@dataclass(frozen=True, slots=True)
class FloorContact:
    """A contact that a warning sign may send callers to."""

    gravity: Gravity
    at_once: bool
    """Whether it can be reached at any hour, so that it serves somebody who is not sure."""
    number: bool
    """Whether its words have to give the country's emergency number."""


@dataclass(frozen=True, slots=True)
class Floor:
    signs: Mapping[str, Sign]
    contacts: Mapping[str, FloorContact]
    none: tuple[str, ...]
    doubt: tuple[str, ...]
    numbers: Mapping[str, tuple[str, ...]]
    """Country -> its emergency numbers."""
    elsewhere: str
    """What the words of any other country may say in place of a number."""
    heard: re.Pattern[str]
    """What a caller may say of a warning sign in passing."""

    def urgency(self, key: str | None) -> int:
        """How soon a contact has to be reached, from 1; 0 where there is none."""
        contact = self.contacts.get(key or "")
        if contact is None:
            return int(key is not None)
        # At any hour comes before today, and the emergency service before all.
        return 2 * GRAVITIES.index(contact.gravity) + contact.at_once + 1

    def lacks_number(self, country: str, key: str, words: str) -> str:
        """The number that the words of a contact have to give and do not; '' where all is well."""
        contact = self.contacts.get(key)
        if contact is None or not contact.number:
            return ""
        numbers = _NUMBER.findall(words)
        # A part of a country, such as GB-NIR, has its numbers.
        own = self.numbers.get(country.partition("-")[0])
        if own is not None:
            return "" if any(number in numbers for number in own) else listed(own)
        return "" if numbers or self.elsewhere in words.casefold() else self.elsewhere


@cache
def the_floor() -> Floor:
    """The floor of this version of the program."""
    marked, problems = load_marked(_FILE)
    assert marked is not None, problems
    data: dict[str, Any] = marked.data
    numbers: dict[str, tuple[str, ...]] = {}
    for key, value in data["numbers"].items():
        # A country with its numbers, or a number with the countries that share it.
        pairs = [(key, value)] if key.isalpha() else [(country, [key]) for country in value]
        numbers.update((country, tuple(own)) for country, own in pairs)
    return Floor(
        {
            name: Sign(
                *(name, sign["is"], sign["gravity"], tuple(sign["label"])),
                source=as_cited(sign["source"]),
            )
            for name, sign in data["signs"].items()
        },
        {
            name: FloorContact(row["gravity"], row["at_once"] == "yes", row["number"] == "yes")
            for name, row in data["contacts"].items()
        },
        tuple(data["none"]),
        tuple(data["doubt"]),
        numbers,
        data["elsewhere"],
        re.compile(rf"\b({'|'.join(map(re.escape, data['heard']))})\b", re.IGNORECASE),
    )


def holds_word(text: str, words: Iterable[str]) -> bool:
    """Whether one of the words stands in a text, whole or as the beginning of a word."""
    return any(re.search(rf"\b{re.escape(word)}", text, re.IGNORECASE) for word in words)


def begins_with(text: str, words: Sequence[str]) -> bool:
    """Whether a text begins with one of the words, whole."""
    either = "|".join(map(re.escape, words))
    return re.match(rf"\W*({either})\b", text, re.IGNORECASE) is not None
