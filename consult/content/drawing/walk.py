"""A tree written out for reviewers who read no YAML: everything about each question, in order."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import groupby
from textwrap import shorten

from consult.content.drawing.boxes import asking, kind_in_words, topic_opening
from consult.content.drawing.view import TreeView
from consult.content.names_in_words import quantity_in_words, quote, spaced
from consult.content.wording_of_conditions import in_words
from consult.tree.contacts import Contacts
from consult.tree.model import END, Advice, Always, Caution, Need, Question, Tree
from consult.tree.placeholders import BLANK_NAME, fill, in_units, sum_of
from consult.tree.sources import citation

_SENTENCE = re.compile(r"(?<=[.?!:]) ")
_MOST = 110
"""Letters of a heading."""
_ALONE = "cannot be combined with others"
_PRIVATE = {
    None: "",
    "personal": "Personal: about the caller.",
    "health": "About health: stored only with consent, and left out of the employer's document.",
}


@dataclass(frozen=True, slots=True)
class WayOn:
    """Where a question leads."""

    when: str
    """In words; empty where there is one way only."""
    name: str
    """The question it leads to; empty for the end."""
    said: str
    """ "7 Where does it hurt?", or what ends."""


@dataclass(frozen=True, slots=True)
class WalkEntry:
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
    ways: tuple[WayOn, ...]
    from_: tuple[WayOn, ...]
    """Where the way comes from."""
    remarks: tuple[Remark, ...]
    """What depends on this question and no later one."""
    also: tuple[Remark, ...]
    """What depends on this and on a later one, where it stands in full."""


@dataclass(frozen=True, slots=True)
class Section:
    """Questions of one file that follow each other."""

    title: str
    entries: tuple[WalkEntry, ...]
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
    always: tuple[PromiseWords, ...]
    """What must hold in every call."""
    contacts: tuple[tuple[str, tuple[tuple[str, str], ...]], ...]
    """Name of a contact, and country with its words."""


def walk_of(view: TreeView, contacts: Contacts | None = None) -> Walk:
    """Everything of a view in words; without ``contacts`` a contact is only named."""
    remarks = list(remarks_of(view, contacts))
    last = {remark.name: _last(view, names) for remark, names in remarks}
    entries = [_entry(view, name, remarks, last) for name in view.questions]
    sections = groupby(entries, key=lambda walk_entry: view.group(walk_entry.name))
    used = {
        remark.contact
        for remark, names in remarks
        if remark.contact and last[remark.name] is not None
    }
    return Walk(
        title=view.title,
        version=view.tree.version,
        part_of="" if view.whole else view.tree.title,
        count=len(view.questions),
        sections=tuple(_section(view, title, tuple(some)) for title, some in sections),
        anywhere=tuple(
            remark for remark, names in remarks if view.whole and last[remark.name] is None
        ),
        always=tuple(promise_words(view, always) for always in view.tree.always)
        if view.whole
        else (),
        contacts=tuple((key, tuple(_by_country(key, contacts))) for key in sorted(used)),
    )


def _section(view: TreeView, title: str, entries: tuple[WalkEntry, ...]) -> Section:
    here = {entry.name for entry in entries}
    begun = (view.tree.topics[topic] for first, topic in view.topics() if first in here)
    openings = (
        ". ".join(
            (
                f"Topic: {topic.title}",
                f"Could change: {topic.changes}",
                *topic_opening(view, topic.name),
            )
        )
        for topic in begun
    )
    return Section(title, entries, tuple(f"{words}." for words in openings))


def _last(view: TreeView, names: Iterable[str]) -> str | None:
    """The last question shown that something depends on."""
    return max(
        (name for name in names if name in view.numbers), key=view.numbers.__getitem__, default=None
    )


def _entry(
    view: TreeView,
    name: str,
    remarks: list[tuple[Remark, frozenset[str]]],
    last: dict[str, str | None],
) -> WalkEntry:
    question = view.questions[name]
    mine = [remark for remark, names in remarks if name in names]
    return WalkEntry(
        name=name,
        number=view.numbers[name],
        title=in_short(filled(question.ask, view.tree)),
        ask=filled(question.ask, view.tree),
        coach=filled(question.coach, view.tree),
        called=", ".join(question.called),
        kind=kind_in_words(question),
        choices=tuple(
            (filled(label, view.tree), _ALONE if key == question.exclusive else "")
            for key, label in question.choices.items()
        ),
        private=_PRIVATE[question.private],
        asked=tuple(asking(view, question)),
        ways=tuple(_ways(view, question)),
        from_=tuple(_comes_from(view, name)),
        remarks=tuple(remark for remark in mine if last[remark.name] == name),
        also=tuple(remark for remark in mine if last[remark.name] != name),
    )


def in_short(ask: str) -> str:
    """The sentence of a question that asks; its first where none does."""
    sentences = _SENTENCE.split(" ".join(ask.split()))
    return shorten(
        next((sentence for sentence in sentences if sentence.endswith("?")), sentences[0]),
        _MOST,
        placeholder=" ...",
    )


def _ways(view: TreeView, question: Question) -> Iterator[WayOn]:
    alone = len(question.routes) == 1
    for route in question.routes:
        if route.when is not None:
            when = f"When {in_words(route.when, view.tree, asked=question.name)}"
        else:
            when = "" if alone else "Otherwise"
        yield _way(view, when, route.go)
    stops = [spaced(caution.name) for caution in view.stops_after(question.name)]
    if stops:
        yield _way(view, f"When a STOP comes up ({', '.join(stops)})", view.tree.after_stop or END)


def _way(view: TreeView, when: str, go: str) -> WayOn:
    if go in view.numbers:
        asked = in_short(filled(view.questions[go].ask, view.tree))
        return WayOn(when, go, f"{view.numbers[go]} {asked}")
    return WayOn(when, "", "the end" if go == END else f"{quote(go)}, in another part")


def _comes_from(view: TreeView, name: str) -> Iterator[WayOn]:
    if name == view.first:
        yield WayOn("", "", "the start")
    for other, question in view.questions.items():
        if any(route.go == name for route in question.routes):
            yield _way(view, "", other)
    if name == view.tree.after_stop:
        yield WayOn("", "", "any STOP")


def _by_country(key: str, contacts: Contacts | None) -> Iterator[tuple[str, str]]:
    for country, words in contacts.countries.items() if contacts else ():
        if words.get(key):
            yield words.get("name", country), words[key]


# -- cautions, advice, needs and promises of a tree in words, blanks and conditions too -----------

_LEVELS = {
    "note": "Note",
    "refer": "Refer to a clinician",
    "stop": "STOP: advice on chairs ends",
}


@dataclass(frozen=True, slots=True)
class Remark:
    """A caution, a piece of advice or a need, in words."""

    kind: str
    """caution, advice or need."""
    name: str
    heading: str
    when: str
    say: str
    """The words for the caller, blanks in square brackets."""
    because: str
    contact: str
    """Whom to contact, by the name of the contact; empty for nobody."""
    contact_words: str
    source: str
    stops: bool
    never_with: str
    """Advice that nobody may be given together with this."""


@dataclass(frozen=True, slots=True)
class PromiseWords:
    """Something that must hold at the end of every call, in words."""

    name: str
    title: str
    when: str
    then: str
    because: str
    source: str


def remarks_of(
    view: TreeView, contacts: Contacts | None
) -> Iterator[tuple[Remark, frozenset[str]]]:
    """Everything that depends on answers, with the names it depends on."""
    tree = view.tree
    rules: tuple[Caution | Advice | Need, ...] = (*tree.cautions, *tree.advice, *tree.needs)
    for rule in rules:
        yield _remark(view, rule, contacts), rule.when.names


def _remark(view: TreeView, rule: Caution | Advice | Need, contacts: Contacts | None) -> Remark:
    contact = (rule.contact or "") if isinstance(rule, Caution) else ""
    others = rule.contradicts if isinstance(rule, Advice) else ()
    return Remark(
        kind=type(rule).__name__.lower(),
        name=rule.name,
        heading=_heading(rule, view.tree),
        when=in_words(rule.when, view.tree),
        say="" if isinstance(rule, Need) else filled(rule.say, view.tree),
        because="" if isinstance(rule, Caution) else filled(rule.because, view.tree),
        contact=contact,
        contact_words=contacts.words(contacts.default, contact) if contacts and contact else "",
        source=citation(view.sources.of(rule.source), brief=True),
        stops=isinstance(rule, Caution) and rule.level == "stop",
        never_with=", ".join(map(quote, others)),
    )


def _heading(rule: Caution | Advice | Need, tree: Tree) -> str:
    if isinstance(rule, Advice):
        return f"Advice on {spaced(rule.topic)}: {spaced(rule.name)}"
    if isinstance(rule, Caution):
        level = _LEVELS[rule.level]
        if tree.declared:
            level = level.replace("advice on chairs", "product advice")
        return f"{level}: {spaced(rule.name)}"
    what = "What is fitted" if tree.declared else "The chair"
    strength = "must have" if rule.strength == "must" else "should have if it can"
    return f"{what} {strength}: {spaced(rule.feature)}"


def promise_words(view: TreeView, always: Always) -> PromiseWords:
    return PromiseWords(
        name=always.name,
        title=spaced(always.name),
        when=in_words(always.when, view.tree),
        then=in_words(always.then, view.tree),
        because=filled(always.because, view.tree),
        source=citation(view.sources.of(always.source), brief=True),
    )


def filled(text: str, tree: Tree) -> str:
    """The text with its blanks said in words, in square brackets."""

    def said(blank: str) -> str:
        if blank == "contact":
            return "[whom to contact]"
        if sum_of(blank) is not None:
            return f"[{BLANK_NAME.sub(lambda name: words(name.group()), blank)}]"
        return f"[{words(blank)}]" if "." in blank or blank in tree.questions else f"<{blank}>"

    def words(name: str) -> str:
        if "." in name:
            return quantity_in_words(name)
        return f"answer to {quote(name)}" if name in tree.questions else name

    return fill(in_units(text, "both"), said)
