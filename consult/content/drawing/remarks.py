"""Cautions, advice, needs and promises of a tree in words, blanks and conditions too."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from consult.content.names_in_words import quantity_in_words, question_in_words, spaced
from consult.content.wording_of_conditions import in_words
from consult.tree.placeholders import NAME, fill, in_units, sum_of
from consult.tree.sources import citation

if TYPE_CHECKING:
    from consult.content.drawing.view import View
    from consult.tree.contacts import Contacts
    from consult.tree.model import Advice, Always, Caution, Need, Tree

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
    stops: bool = False
    never_with: str = ""
    """Advice that nobody may be given together with this."""


@dataclass(frozen=True, slots=True)
class Promise:
    """Something that must hold at the end of every call, in words."""

    name: str
    title: str
    when: str
    then: str
    because: str
    source: str


def remarks_of(view: View, contacts: Contacts | None) -> Iterator[tuple[Remark, frozenset[str]]]:
    """Everything that depends on answers, with the names it depends on."""
    for caution in view.tree.cautions:
        yield _caution(view, caution, contacts), caution.when.names
    for advice in view.tree.advice:
        yield _advice(view, advice), advice.when.names
    for need in view.tree.needs:
        yield _need(view, need), need.when.names


def _caution(view: View, one: Caution, contacts: Contacts | None) -> Remark:
    words = contacts.words(contacts.default, one.contact) if contacts and one.contact else ""
    return Remark(
        kind="caution",
        name=one.name,
        heading=f"{_LEVELS[one.level]}: {spaced(one.name)}",
        when=in_words(one.when, view.tree),
        say=filled(one.say, view.tree),
        because="",
        contact=one.contact or "",
        contact_words=words,
        source=citation(view.sources.of(one.source), brief=True),
        stops=one.level == "stop",
    )


def _advice(view: View, one: Advice) -> Remark:
    return Remark(
        kind="advice",
        name=one.name,
        heading=f"Advice on {spaced(one.topic)}: {spaced(one.name)}",
        when=in_words(one.when, view.tree),
        say=filled(one.say, view.tree),
        because=filled(one.because, view.tree),
        contact="",
        contact_words="",
        source=citation(view.sources.of(one.source), brief=True),
        never_with=", ".join(question_in_words(other) for other in one.contradicts),
    )


def _need(view: View, one: Need) -> Remark:
    strength = "must have" if one.strength == "must" else "should have if it can"
    return Remark(
        kind="need",
        name=one.name,
        heading=f"The chair {strength}: {spaced(one.feature)}",
        when=in_words(one.when, view.tree),
        say="",
        because=filled(one.because, view.tree),
        contact="",
        contact_words="",
        source=citation(view.sources.of(one.source), brief=True),
    )


def promise(view: View, one: Always) -> Promise:
    return Promise(
        name=one.name,
        title=spaced(one.name),
        when=in_words(one.when, view.tree),
        then=in_words(one.then, view.tree),
        because=filled(one.because, view.tree),
        source=citation(view.sources.of(one.source), brief=True),
    )


def filled(text: str, tree: Tree) -> str:
    """The text with its blanks said in words, in square brackets."""

    def said(blank: str) -> str:
        if blank == "contact":
            return "[whom to contact]"
        if sum_of(blank) is not None:
            return f"[{NAME.sub(lambda name: words(name.group()), blank)}]"
        return f"[{words(blank)}]" if "." in blank or blank in tree.questions else f"<{blank}>"

    def words(name: str) -> str:
        if "." in name:
            return quantity_in_words(name)
        return f"answer to {question_in_words(name)}" if name in tree.questions else name

    return fill(in_units(text, "both"), said)
