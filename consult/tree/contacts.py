"""Whom a caution tells the caller to contact, in the words of the caller's country."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from consult.marked.marks import Marked, Texts
from consult.marked.schema import load_followed
from consult.problems import Problem, nearest
from consult.recall import recall
from consult.tree.floor import the_floor
from consult.tree.model import plain_name
from consult.tree.sources import FROM_MEMORY, Cited, Sources, as_cited, sources_beside, uncited

CONTACTS_FILE = "contacts.yaml"
_OTHER = "other"
"""The entry of every country that has none of its own."""
ABOUT = ("name", "called", "source", "from_memory")
"""What an entry says of itself; every other key is a contact."""
_SCHEMA = Path(__file__).with_name("contacts.schema.json")
_CODE = re.compile(r"[A-Z]{2}(-[A-Z]{3})?")


@dataclass(frozen=True, slots=True)
class Contacts:
    default: str
    countries: Mapping[str, Mapping[str, str]]
    """Country -> key -> words, and what the entry says of itself (``ABOUT``), as text."""
    sources: Mapping[str, Cited] = field(default_factory=dict)
    """Country -> what its entry cites."""
    elsewhere: Mapping[str, str] = field(default_factory=dict)
    """Key -> what a caller in another country than the one assumed has to know."""

    def keys(self) -> frozenset[str]:
        """The keys a caution may name."""
        return frozenset(self.countries[self.default]) - set(ABOUT)

    def words(self, country: str, key: str) -> str:
        """What to say: the country's own words, else those of ``other``, else of the default.

        Empty where nobody has words for the key.
        """
        place = self._place(country, key)
        return self.countries[place][key] if place else ""

    def source(self, country: str, key: str) -> Cited:
        """Where the words for a key come from; without a source they count as from memory."""
        place = self._place(country, key)
        named = self.sources.get(place, ())
        remembered = not named or self.countries[place].get("from_memory") == "yes"
        return (*named, FROM_MEMORY) if remembered else named

    def name(self, country: str) -> str:
        """The name of a country; that of ``other`` with the code where it has no entry."""
        if country in self.countries:
            return self.countries[country]["name"]
        other = self.countries.get(_OTHER, {}).get("name")
        return f"{other} ({country})" if other else country

    def find(self, typed: str) -> str | None:
        """The country meant by a code, its name or another it is called by; None where none is.

        A code of two letters without an entry is a country all the same: ``other`` speaks for it.
        """
        code, named = typed.strip().upper(), plain_name(typed)
        if code in self.countries:
            return code
        for country, entry in self.countries.items():
            called = (country, entry["name"], *entry.get("called", "").split(","))
            if named and named in map(plain_name, called):
                return country
        return code if _CODE.fullmatch(code) else None

    def _place(self, country: str, key: str) -> str:
        """Whose words are said for a key; '' where nobody has any."""
        places = (country, _OTHER, self.default)
        return next((place for place in places if self.countries.get(place, {}).get(key)), "")


def load_contacts(path: Path, texts: Texts | None = None) -> tuple[Contacts | None, list[Problem]]:
    """Read a contacts file; None where it has errors, which stand among the problems."""
    marked, problems = load_followed(path, _SCHEMA, texts)
    if marked is None or problems:
        return None, problems
    sources, _ = sources_beside(path.parent, texts)
    key = str(path), marked.digest, id(sources)
    _, contacts, kept = recall(_loaded, key, _MOST, lambda: (sources, *_load(marked, sources)))
    return contacts, list(kept)


_MOST = 8
_loaded: dict[tuple[str, str, int], tuple[Sources | None, Contacts | None, list[Problem]]] = {}
"""By file, text and sources, which stand beside so that no others can have their ``id``: every call
and every caller of a folder has the same. When there are ``_MOST``, all are forgotten."""


def _load(marked: Marked, sources: Sources | None) -> tuple[Contacts | None, list[Problem]]:
    problems: list[Problem] = []

    def stranger(key: str, *above: str) -> Problem:
        """A contact that the default has no words for."""
        message = f"'{key}' is not among the contacts of the default, '{default}'."
        fix = nearest(key, countries[default]) or f"Add it to '{default}' too."
        return Problem(marked.key(*above, key), message, fix, "unknown-contact")

    default = str(marked.data["default"])
    entries: dict[str, dict[str, Any]] = marked.data["countries"]
    countries = {name: _texts(entry) for name, entry in entries.items()}
    cited = {name: as_cited(entry.get("source")) for name, entry in entries.items()}
    if default not in countries:
        message = f"There is no country '{default}' in this file."
        fix = nearest(default, countries) or "Name one of its countries."
        return None, [Problem(marked.value("default"), message, fix, "unknown-country")]
    for country, words in countries.items():
        for key in countries[default]:
            if key not in words and key not in ABOUT:
                other = _OTHER if key in countries.get(_OTHER, {}) else default
                message = f"'{country}' has no words for '{key}', so callers would hear those of"
                where = marked.key("countries", country)
                fix = f"Add {key}: with the contact in that country."
                problems.append(Problem(where, f"{message} '{other}'.", fix, "no-words", "warning"))
        unknown = [key for key in words if key not in {*countries[default], *ABOUT}]
        problems += [stranger(key, "countries", country) for key in unknown]
        for key, words_said in words.items():
            number = the_floor().lacks_number(country, key, words_said)
            if number:
                message = (
                    f"The words of '{key}' for '{country}' do not contain the emergency number."
                )
                where = marked.value("countries", country, key)
                problems.append(Problem(where, message, f"Write {number} in them.", "no-number"))
    elsewhere: dict[str, str] = marked.data.get("elsewhere") or {}
    problems += [stranger(key, "elsewhere") for key in elsewhere if key not in countries[default]]
    problems += uncited(marked, sources) if sources is not None else ()
    if any(problem.severity == "error" for problem in problems):
        return None, problems
    return Contacts(default, countries, cited, elsewhere), problems


def _texts(entry: Mapping[str, Any]) -> dict[str, str]:
    """An entry with every value as text: a list with commas, yes and no as words."""

    def text(value: Any) -> str:
        if isinstance(value, bool):
            return "yes" if value else "no"
        return ", ".join(map(str, value)) if isinstance(value, list) else str(value)

    return {key: text(value) for key, value in entry.items()}
