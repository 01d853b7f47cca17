"""Whom a caution tells the caller to contact, in the words of the caller's country."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from consult.marked.marks import Texts, load_marked
from consult.marked.schema import load_schema, schema_problems
from consult.problems import Problem, nearest

FILE = "contacts.yaml"
_SCHEMA = Path(__file__).with_name("contacts.schema.json")


@dataclass(frozen=True, slots=True)
class Contacts:
    """Words by country and key."""

    default: str
    countries: Mapping[str, Mapping[str, str]]
    """Country -> key -> words; ``name`` is the country's name."""

    def keys(self) -> frozenset[str]:
        """The keys a caution may name."""
        return frozenset(self.countries[self.default]) - {"name"}

    def words(self, country: str, key: str) -> str:
        """What to say: the country's own words, else those of ``other``, else of the default.

        Empty where nobody has words for the key.
        """
        for place in (country, "other", self.default):
            said = self.countries.get(place, {}).get(key)
            if said:
                return said
        return ""


def load_contacts(path: Path, texts: Texts | None = None) -> tuple[Contacts | None, list[Problem]]:
    """Read a contacts file; None where it has errors, which stand among the problems."""
    marked, problems = load_marked(path, texts)
    if marked is None:
        return None, problems
    problems = [*problems, *schema_problems(marked, load_schema(_SCHEMA))]
    if problems:
        return None, problems
    default = str(marked.data["default"])
    countries: dict[str, dict[str, str]] = marked.data["countries"]
    if default not in countries:
        said = f"There is no country '{default}' in this file."
        fix = nearest(default, countries) or "Name one of its countries."
        return None, [Problem(marked.value("default"), said, fix, "unknown-country")]
    for country, words in countries.items():
        for key in countries[default]:
            if key not in words:
                other = "other" if key in countries.get("other", {}) else default
                said = f"'{country}' has no words for '{key}'; those of '{other}' would be said."
                where = marked.key("countries", country)
                fix = f"Add {key}: with what to do in that country."
                problems.append(Problem(where, said, fix, "no-words", "warning"))
        for key in words:
            if key not in countries[default]:
                said = f"'{key}' is not among the contacts of the default, '{default}'."
                fix = nearest(key, countries[default]) or f"Add it to '{default}' too."
                where = marked.key("countries", country, key)
                problems.append(Problem(where, said, fix, "unknown-contact"))
    if any(problem.severity == "error" for problem in problems):
        return None, problems
    return Contacts(default, countries), problems
