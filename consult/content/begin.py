"""A maker's folder: settings, a library with a draft of the questions, a place for records."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from pathlib import Path

from consult.content.begin_fields import SETTING_FIELDS
from consult.content.library.library import SCHEMAS, Library, begin_draft
from consult.content.library.verify import begin_alone, note_shipped
from consult.durable import write_whole
from consult.paths import DRAFT, LIBRARY, RECORDS, shipped_trees
from consult.problems import Problem
from consult.tree.contacts import CONTACTS_FILE, Contacts, load_contacts
from consult.tree.folder import RANGE_FILE
from consult.tree.model import plain_name
from consult.tree.settings import SETTINGS_FILE, Settings, load_settings

_READABLE = 0o644
_SENDER = "# Who documents are from. logo: a PNG or SVG file here, and signature: may follow."
_COUNTRY = "delivery_country"
"""The questions of this name list the countries a chair goes to."""


_CURRENCIES = {"GB": "GBP", "US": "USD", "CH": "CHF", "SE": "SEK", "DK": "DKK", "NO": "NOK"} | (
    dict.fromkeys(("IE", "DE", "FR", "NL", "BE", "AT", "ES", "IT", "PT", "FI", "LU"), "EUR")
)
"""What most makers of a country write prices in; ISO 3166-1 and ISO 4217, from memory."""


def usual_setting(name: str, answers: Mapping[str, str]) -> str:
    """What stands in a field if nothing else is said; '' where nothing is usual."""
    country = answers.get("country", "").partition("-")[0]
    return {
        "currency": _CURRENCIES.get(country, ""),
        "units": "imperial" if country == "US" else "metric",
        "prices": "without tax" if country == "US" else "with tax",
        "greeting": f"Hello, {answers.get('maker', '')}.",
    }.get(name, "")


def settings_text(answers: Mapping[str, str]) -> str:
    """The settings file with these answers, as it is written for its first reader."""

    def line(name: str, indent: str = "") -> str:
        plain = name in ("country", "currency", "units", "prices")
        # A JSON string is a YAML string, whatever is in it.
        value = answers[name] if plain else json.dumps(answers[name], ensure_ascii=False)
        return f"{indent}{name}: {value}\n"

    own = "".join(
        line(field.name) for field in SETTING_FIELDS if not field.sender and answers.get(field.name)
    )
    sender = "".join(
        line(field.name, "  ")
        for field in SETTING_FIELDS
        if field.sender and answers.get(field.name)
    )
    return (
        f"# yaml-language-server: $schema={LIBRARY}/{DRAFT}/{SCHEMAS}/settings.schema.json\n"
        "# Whose consult this is. Every command reads it, and the questions name it by blanks:\n"
        "# <maker.name>, <maker.greeting>, <maker.money>. A change counts at the next command.\n"
        "# Your terms, a sentence each as an adviser says it, stand under terms:\n"
        "#   terms:\n"
        "#     trial: You can try it for 30 days.\n"
        "#     damage: If anything arrives damaged, tell us within three days.\n"
        "#     service: In the first five years, parts are free.\n"
        "settings: 1\n"
        f"{own}"
        f"{_SENDER if sender else ''}\n"
        f"{f'sender:{chr(10)}{sender}' if sender else ''}"
    )


def problem_of(name: str, value: str) -> Problem | None:
    """What is wrong with one answer, if anything is."""
    good = {"maker": "M", "country": "IE", "currency": "EUR", "greeting": "Hello."}
    path = Path(SETTINGS_FILE)
    text = settings_text({**good, name: value})
    problems = load_settings(path, {path: text})[1]
    return next((problem for problem in problems if problem.severity == "error"), None)


def begin_folder(
    folder: Path, answers: Mapping[str, str], another: tuple[str, str] | None = None
) -> list[str]:
    """Make the folder, which must be new or empty; what is left to do by hand, if anything.

    For ``another`` product than chairs the draft has this tree, the warning signs and contacts.
    OSError where the disk refuses, LibraryTrouble where the draft cannot be made.
    """
    folder.mkdir(parents=True, exist_ok=True)
    # Health answers lie in the records: nobody else of this machine reads them.
    (folder / RECORDS).mkdir(mode=0o700, exist_ok=True)
    (folder / LIBRARY).mkdir(exist_ok=True)
    library = Library(folder / LIBRARY)
    if another is not None:
        begin_alone(library, *another)
    else:
        note_shipped(library)
    draft = begin_draft(library)
    # The demonstration's chairs and its maker are nobody's.
    (draft / RANGE_FILE).unlink(missing_ok=True)
    (draft / SETTINGS_FILE).unlink(missing_ok=True)
    left = list(_at_home(draft, answers["country"]))
    # Last of all: a folder with settings is one that was begun.
    write_whole(folder / SETTINGS_FILE, settings_text(answers).encode(), mode=_READABLE)
    return left


def as_meant(name: str, value: str) -> str:
    """A country by its name, and a code in small letters, as the settings write them."""
    if name == "country":
        contacts = load_contacts(shipped_trees() / CONTACTS_FILE)[0]
        return (contacts.find(value) if contacts else None) or value
    return value.upper() if name == "currency" else value


def is_begun(folder: Path) -> bool:
    """Whether a folder is a maker's."""
    return (folder / SETTINGS_FILE).is_file()


def own_settings(folder: Path) -> tuple[Settings | None, list[Problem]]:
    """The settings of a maker's folder, and what is wrong with them."""
    return load_settings(folder / SETTINGS_FILE)


def _at_home(draft: Path, country: str) -> list[str]:
    """Put the maker's own country first where a chair goes; what has to be done by hand."""
    contacts = load_contacts(draft / CONTACTS_FILE)[0]
    assert contacts is not None, "the contacts that come with the program are sound"
    left = []
    if country not in contacts.countries:
        left.append(
            f"{draft / CONTACTS_FILE} has no words for {country}. Before you take a call, add whom "
            "callers there ring in an emergency, and who says so."
        )
    for path in sorted(draft.glob("*.yaml")):
        text = path.read_text("utf-8")
        moved = home_first(text, contacts, country)
        if moved is None:
            left.append(f"{path} does not list {country} among the countries a chair goes to.")
        elif moved != text:
            write_whole(path, moved.encode(), mode=_READABLE)
    return left


def home_first(text: str, contacts: Contacts, country: str) -> str | None:
    """A tree's text with the choice of a country first; None where the list does not have it."""
    block = re.search(
        rf"^  {_COUNTRY}:\n(?:    .*\n)*?    choices:\n((?:      .+\n)+)", text, re.MULTILINE
    )
    if block is None or "choices:" not in text:
        return text
    lines = block[1].splitlines(keepends=True)
    whole = country.partition("-")[0]
    for line in lines:
        name = plain_name(line.split(":")[0].strip())
        if contacts.find(name) in (country, whole):
            moved = [line, *(other for other in lines if other is not line)]
            return text[: block.start(1)] + "".join(moved) + text[block.end(1) :]
    return None


# -- what is to fit another product than chairs begins with: name, consent and warning signs ------

_THING = re.compile(r"[a-z][a-z0-9_]{0,29}")
_TREE = """\
# What every call begins with. Say that the tree works out a fitting, and add your questions: how
# that is done is told in GUIDE.md, "Another kind of product".
tree: {tree}
title: Choosing a {thing}
version: 1
first: caller_name
after_stop: call_back_number
works_out: nothing
questions:
  caller_name:
    ask: <maker.greeting> Who am I speaking to?
    called: name
    answer: text
    sets: caller_name
    private: personal
    next: consent

  consent:
    ask: >-
      May I ask about your health and note the answers, so I don't give you the wrong advice? You
      can say no, or change your mind later.
    coach: Wait for a clear yes. A maybe is a no. The answers are deleted after 90 days.
    called: permission
    answer: yes-no
    sets: consent
    unknown: refused
    next: the_safety

  the_safety:
    include: safety
    next: reason

  reason:
    ask: What made you ring?
    coach: Write down what matters for the {thing}, in the caller's words.
    answer: text
    next: call_back_number

  call_back_number:
    ask: What's the best number or e-mail address to reach you?
    coach: Read it back. If they would rather not say, answer not known.
    called: contact
    answer: text
    sets: caller_contact
    private: personal
    next: end
"""


def first_tree(thing: str) -> tuple[str, str] | None:
    """The name of the file and its text; None for what no tree can be called."""
    if not _THING.fullmatch(thing):
        return None
    tree = f"{thing}_fitting"
    return f"{tree}.yaml", _TREE.format(tree=tree, thing=thing.replace("_", " "))
