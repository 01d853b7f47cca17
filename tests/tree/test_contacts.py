"""Contacts by country: found by name, with their source, and told where words are missing."""

from __future__ import annotations

from pathlib import Path

import pytest

from consult.paths import trees_folder
from consult.problems import Problem
from consult.tree.contacts import ABOUT, Contacts, load_contacts
from consult.tree.sources import FROM_MEMORY

TEXT = """\
contacts: contacts
default: GB
elsewhere: {emergency: Elsewhere call 112.}
countries:
  GB: {name: Great Britain, called: [United Kingdom,UK], source: nhs_dvt, emergency: on 999, now: b}
  GB-NIR: {name: Northern Ireland, source: nhs_dvt, from_memory: yes, emergency: on 999, now: ring}
  'NO': {name: Norway, called: [Norge], from_memory: yes, emergency: ring 113, now: ring 116117}
  other: {name: Another country, emergency: the emergency number, now: ring a doctor}
"""


def load(folder: Path, text: str) -> tuple[Contacts | None, list[Problem]]:
    path = folder / "contacts.yaml"
    path.write_text(text)
    return load_contacts(path)


@pytest.fixture
def contacts(tmp_path: Path) -> Contacts:
    """The file above."""
    found, problems = load(tmp_path, TEXT)
    assert problems == []
    assert found is not None
    return found


@pytest.mark.parametrize(
    ("typed", "code"),
    [
        ("GB", "GB"),
        ("gb", "GB"),
        (" gb-nir ", "GB-NIR"),
        ("Northern   ireland", "GB-NIR"),
        ("united_kingdom", "GB"),
        ("uk", "GB"),
        ("NO", "NO"),
        ("norge", "NO"),
        ("other", "other"),
        ("another country", "other"),
        ("fr", "FR"),
        ("ireland", None),
        ("France", None),
        ("F", None),
        ("", None),
        ("--", None),
        ("12", None),
        ("[b]", None),
    ],
)
def test_find(contacts: Contacts, typed: str, code: str | None) -> None:
    """By code, by name, by what else it is called; two letters are a country in any case."""
    assert contacts.find(typed) == code


def test_words_and_names(contacts: Contacts) -> None:
    """A country without an entry has the words, and the name, of another country."""
    assert contacts.words("GB-NIR", "now") == "ring"
    assert contacts.words("FR", "now") == "ring a doctor"
    assert contacts.name("GB-NIR") == "Northern Ireland"
    assert contacts.name("FR") == "Another country (FR)"
    assert Contacts("GB", {"GB": {"name": "Great Britain"}}).name("FR") == "FR"
    assert contacts.keys() == {"emergency", "now"}
    assert contacts.elsewhere == {"emergency": "Elsewhere call 112."}


def test_sources(contacts: Contacts) -> None:
    """Without a source the words count as from memory; a source may be named beside that."""
    assert contacts.source("GB", "now") == ("nhs_dvt",)
    assert contacts.source("GB-NIR", "now") == ("nhs_dvt", FROM_MEMORY)
    assert contacts.source("NO", "now") == (FROM_MEMORY,)
    assert contacts.source("FR", "now") == (FROM_MEMORY,)
    assert contacts.source("GB", "nobody") == (FROM_MEMORY,)


@pytest.mark.parametrize(
    ("old", "new", "rule", "line"),
    [
        ("emergency: ring 113, ", "", "no-words", 7),
        ("elsewhere: {emergency:", "elsewhere: {emergenci:", "unknown-contact", 3),
        ("called: [Norge]", "called: Norge", "shape", 7),
        ("called: [Norge]", "called: ['Norge, Noreg']", "shape", 7),
        (
            "from_memory: yes, emergency: ring 113",
            "from_memory: no idea, emergency: ring 113",
            "shape",
            7,
        ),
        ("GB-NIR:", "GB-Ulster:", "shape", 6),
        ("name: Norway, ", "", "shape", 7),
        ("source: nhs_dvt, from_memory", "sources: A page, from_memory", "unknown-contact", 6),
        ("source: nhs_dvt, from_memory", "source: nhs_dtv, from_memory", "unknown-source", 6),
        ("source: nhs_dvt, from_memory", "source: [nhs_dvt, we], from_memory", "unknown-source", 6),
    ],
)
def test_problems(tmp_path: Path, old: str, new: str, rule: str, line: int) -> None:
    """Each is told at its place; a missing contact is a warning, because other words are said."""
    assert old in TEXT
    found, problems = load(tmp_path, TEXT.replace(old, new, 1))
    assert [(one.where.line) for one in problems] == [line]
    if rule != "shape":
        assert [one.rule for one in problems] == [rule]
    assert (found is None) == (rule != "no-words")


def test_missing_words_are_those_that_would_be_said(tmp_path: Path) -> None:
    """Of another country, or of the default where that has none either."""
    _, (problem,) = load(tmp_path, TEXT.replace("now: ring 116117", ""))
    assert "callers would hear those of 'other'" in problem.message
    text = "\n".join(TEXT.replace(", now: ring 116117", "").splitlines()[:-1])
    _, (problem,) = load(tmp_path, text)
    assert "callers would hear those of 'GB'" in problem.message


def test_the_shipped_file_is_whole() -> None:
    """Every country has words for every contact, and says where they come from.

    111 is no general service in Northern Ireland (hscni.net pages); in the United States a doubt
    about a warning sign is for 911 (the project's own rule).
    """
    found, problems = load_contacts(trees_folder() / "contacts.yaml")
    assert problems == []
    assert found is not None
    for country, entry in found.countries.items():
        assert set(entry) - set(ABOUT) == found.keys()
        assert entry.get("source") or entry.get("from_memory") == "yes", country
    spoken = " ".join(text for key, text in found.countries["GB-NIR"].items() if key not in ABOUT)
    assert "111" not in spoken
    assert "911" in found.words("US", "doubt")
    for country in ("IE", "DE", "US", "other"):
        assert FROM_MEMORY in found.source(country, "emergency")


def test_a_change_beside_the_file_is_noticed(tmp_path: Path) -> None:
    """The same contacts are looked at again where what they cite has changed, and where they
    have."""
    for name in ("contacts.yaml", "sources.yaml"):
        (tmp_path / name).write_text((trees_folder() / name).read_text("utf-8"), "utf-8")
    path, sources = tmp_path / "contacts.yaml", tmp_path / "sources.yaml"
    before, problems = load_contacts(path)
    assert before is not None
    assert problems == load_contacts(path)[1] == []
    whole = sources.read_text("utf-8")
    sources.write_text(whole.replace("\n  nhs_dvt:", "\n  nhs_veins:"), "utf-8")
    # The entry that ships stands behind the folder's own, so the name is one that it lacks.
    text = path.read_text("utf-8")
    path.write_text(text.replace("nhs_dvt", "nhs_veins"), "utf-8")
    assert load_contacts(path)[1] == []
    sources.write_text(whole, "utf-8")
    assert {one.rule for one in load_contacts(path)[1]} == {"unknown-source"}
    path.write_text(text.replace("999", "999 or 112"), "utf-8")
    after = load_contacts(path)[0]
    assert after is not None
    assert after.countries != before.countries
