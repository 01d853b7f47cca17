"""A tree written out for reviewers who read no YAML: everything about each question, in order."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import groupby
from textwrap import shorten
from typing import TYPE_CHECKING

from consult.content.drawing.boxes import asking, kind_in_words, opening
from consult.content.drawing.remarks import Promise, Remark, filled, promise, remarks_of
from consult.content.names_in_words import question_in_words, spaced
from consult.content.wording_of_conditions import in_words
from consult.tree.model import END

if TYPE_CHECKING:
    from consult.content.drawing.view import View
    from consult.tree.contacts import Contacts
    from consult.tree.model import Question

_SENTENCE = re.compile(r"(?<=[.?!:]) ")
_MOST = 110
"""Letters of a heading."""
_PRIVATE = {
    None: "",
    "personal": "Personal: about the caller.",
    "health": "About health: stored only with consent, and left out of the employer's document.",
}


@dataclass(frozen=True, slots=True)
class Way:
    """Where a question leads."""

    when: str
    """In words; empty where there is one way only."""
    name: str
    """The question it leads to; empty for the end."""
    said: str
    """ "7 Where does it hurt?", or what ends."""


@dataclass(frozen=True, slots=True)
class Entry:
    """One question."""

    name: str
    number: int
    title: str
    """What is asked, in one sentence."""
    ask: str
    coach: str
    called: str
    kind: str
    choices: tuple[tuple[str, str], ...]
    """Label and what is special about it."""
    private: str
    asked: tuple[str, ...]
    """When it is asked or not, where the way leads past it."""
    ways: tuple[Way, ...]
    from_: tuple[Way, ...]
    """Where the way comes from."""
    remarks: tuple[Remark, ...]
    """What depends on this question and no later one."""
    also: tuple[Remark, ...]
    """What depends on this and on a later one, where it stands in full."""


@dataclass(frozen=True, slots=True)
class Section:
    """Questions of one file that follow each other."""

    title: str
    entries: tuple[Entry, ...]
    topics: tuple[str, ...]
    """Of each topic that begins in it: what it could change, and what opens it."""


@dataclass(frozen=True, slots=True)
class Walk:
    """The page, before it is laid out."""

    title: str
    version: str
    part_of: str
    """The tree that this is a part of; empty where it is all of it."""
    count: int
    sections: tuple[Section, ...]
    anywhere: tuple[Remark, ...]
    """What depends on no question shown, but on what is worked out."""
    always: tuple[Promise, ...]
    """What must hold in every call."""
    contacts: tuple[tuple[str, tuple[tuple[str, str], ...]], ...]
    """Name of a contact, and country with its words."""


def walk_of(view: View, contacts: Contacts | None = None) -> Walk:
    """Everything of a view in words; without ``contacts`` a contact is only named."""
    remarks = list(remarks_of(view, contacts))
    last = {one.name: _last(view, names) for one, names in remarks}
    entries = [_entry(view, name, remarks, last) for name in view.questions]
    sections = groupby(entries, key=lambda one: view.group(one.name))
    used = {one.contact for one, names in remarks if one.contact and last[one.name] is not None}
    return Walk(
        title=view.title,
        version=view.tree.version,
        part_of="" if view.whole else view.tree.title,
        count=len(view.questions),
        sections=tuple(_section(view, title, tuple(some)) for title, some in sections),
        anywhere=tuple(one for one, names in remarks if view.whole and last[one.name] is None),
        always=tuple(promise(view, one) for one in view.tree.always) if view.whole else (),
        contacts=tuple((key, tuple(_by_country(key, contacts))) for key in sorted(used)),
    )


def _section(view: View, title: str, entries: tuple[Entry, ...]) -> Section:
    here = {one.name for one in entries}
    begun = (view.tree.topics[topic] for first, topic in view.topics() if first in here)
    told = (
        ". ".join((f"Topic: {one.title}", f"Could change: {one.changes}", *opening(view, one.name)))
        for one in begun
    )
    return Section(title, entries, tuple(f"{one}." for one in told))


def _last(view: View, names: Iterable[str]) -> str | None:
    """The last question shown that something depends on."""
    return max(
        (one for one in names if one in view.numbers), key=view.numbers.__getitem__, default=None
    )


def _entry(
    view: View,
    name: str,
    remarks: list[tuple[Remark, frozenset[str]]],
    last: dict[str, str | None],
) -> Entry:
    one = view.questions[name]
    mine = [remark for remark, names in remarks if name in names]
    return Entry(
        name=name,
        number=view.numbers[name],
        title=in_short(filled(one.ask, view.tree)),
        ask=filled(one.ask, view.tree),
        coach=filled(one.coach, view.tree),
        called=", ".join(one.called),
        kind=kind_in_words(one),
        choices=tuple(
            (filled(label, view.tree), _special(one, key)) for key, label in one.choices.items()
        ),
        private=_PRIVATE[one.private],
        asked=tuple(asking(view, one)),
        ways=tuple(_ways(view, one)),
        from_=tuple(_comes_from(view, name)),
        remarks=tuple(remark for remark in mine if last[remark.name] == name),
        also=tuple(remark for remark in mine if last[remark.name] != name),
    )


def in_short(ask: str) -> str:
    """The sentence of a question that asks; its first where none does."""
    said = _SENTENCE.split(" ".join(ask.split()))
    return shorten(
        next((one for one in said if one.endswith("?")), said[0]), _MOST, placeholder=" ..."
    )


def _special(question: Question, choice: str) -> str:
    return "cannot be combined with others" if choice == question.exclusive else ""


def _ways(view: View, question: Question) -> Iterator[Way]:
    alone = len(question.routes) == 1
    for route in question.routes:
        if route.when is not None:
            when = f"When {in_words(route.when, view.tree, asked=question.name)}"
        else:
            when = "" if alone else "Otherwise"
        yield _way(view, when, route.go)
    stops = [spaced(one.name) for one in view.stops_after(question.name)]
    if stops:
        yield _way(view, f"When a STOP comes up ({', '.join(stops)})", view.tree.after_stop or END)


def _way(view: View, when: str, go: str) -> Way:
    if go in view.numbers:
        asked = in_short(filled(view.questions[go].ask, view.tree))
        return Way(when, go, f"{view.numbers[go]} {asked}")
    return Way(when, "", "the end" if go == END else f"{question_in_words(go)}, in another part")


def _comes_from(view: View, name: str) -> Iterator[Way]:
    if name == view.first:
        yield Way("", "", "the start")
    for other, one in view.questions.items():
        if any(route.go == name for route in one.routes):
            yield _way(view, "", other)
    if name == view.tree.after_stop:
        yield Way("", "", "any STOP")


def _by_country(key: str, contacts: Contacts | None) -> Iterator[tuple[str, str]]:
    for country, words in contacts.countries.items() if contacts else ():
        if words.get(key):
            yield words.get("name", country), words[key]
