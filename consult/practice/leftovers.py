"""Whether anything that was said in a real call is left in a practice caller made from it.

Names, choices and figures of the tree stand in such a file, and the sentences of ``FIXED``; a
caller may be called like one of them, and nobody could tell. All other text, remarks after # and
what a person wrote into the file later, is held against every word of the call.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any, get_args

from consult.call.basis import Basis
from consult.call.call import CAME, ODDS, Answer, Call
from consult.call.state import state_so_far
from consult.call.understand import understand
from consult.marked.marks import Marked, parse_marked
from consult.marked.schema import load_schema
from consult.practice import caller_file
from consult.practice.model import Kind
from consult.tree.model import Question, Tree
from consult.units import Unclear

MENDED = "The first figure was wrong. A good adviser asks for an odd figure to be measured again."
FIXED = frozenset([MENDED])
"""Sentences of the program itself in a file made from a call."""
SMALL = 10.0
"""Numbers below it tell of nobody: hours a day, how many share a chair."""
_MOST = 40
"""Left-overs told at once."""

_WORD = re.compile(r"[^\W_]+")
_NUMBER = re.compile(r"\d+(?:[.,]\d+)?")
_FIGURE = re.compile(r"-?\d{1,3}(\.\d)?( (cm|kg))?")
_OWN_WORDS = frozenset(["caller_name", "caller_contact", "first_reference"])


@dataclass(slots=True)
class SaidInCall:
    """Everything said in a call that no practice caller may repeat."""

    personal: dict[str, str] = field(default_factory=dict)
    """Word -> where it was said; of names, contacts and references."""
    other: dict[str, str] = field(default_factory=dict)
    foreign: str = ""
    """All of it, to look for writing without blanks between its words."""
    signs: set[str] = field(default_factory=set)
    """Pictures among the text."""
    numbers: set[float] = field(default_factory=set)
    """Every number said, and every figure in cm, mm and kg."""

    def add(self, text: str, where: str, *, personal: bool, known: frozenset[str]) -> None:
        """Take in what was said somewhere; words ``known`` from the tree's own answers aside."""
        plain = _plain(text)
        into = self.personal if personal else self.other
        for word in _words(plain):
            if word not in known:
                into.setdefault(word, where)
        self.foreign += f" {plain}" if not plain.isascii() else ""
        self.signs.update(one for one in text if unicodedata.category(one) == "So")
        self.numbers.update(numbers_in(text))


def leftovers(text: str, call: Call, basis: Basis) -> list[str]:
    """What of the call is still in the text of a practice caller, a sentence each; none: clean."""
    told = told_in(call, basis.tree)
    marked, _ = parse_marked(text, "")
    closed, free = _taken_apart(marked, basis.tree)
    shown = {word for word in _words(_plain(text)) if word not in closed} | free
    usual = _words_of(basis.tree)
    found: dict[str, None] = dict.fromkeys(_answers_left(marked, call, basis))
    for word in sorted(shown):
        where = told.personal.get(word) or ("" if word in usual else told.other.get(word, ""))
        if not where and not word.isascii() and word not in usual and word in told.foreign:
            where = "what was said"
        if where:
            found[f"“{_short(word)}” is left, of {where}."] = None
    for sign in sorted(told.signs.intersection(text)):
        found[f"“{sign}” is left, of what was said."] = None
    for number in sorted(told.numbers.intersection(numbers_in(text))):
        found[f"The number {number:g} is left, as it was said."] = None
    return list(found)[:_MOST]


def told_in(call: Call, tree: Tree) -> SaidInCall:
    """Everything said in a call, answers that were amended later too."""
    told = SaidInCall()
    for answer in call.answers:
        if answer.question in (ODDS, CAME):
            # Our own words; of their figures only body measures tell of anybody.
            told.numbers.update(numbers_in(answer.said) if answer.question == CAME else ())
            continue
        question = tree.questions.get(answer.question)
        personal = question is None or (question.answer == "text" and _is_personal(question))
        where = f"the answer to {answer.question}"
        told.add(answer.said, where, personal=personal, known=_own_words(question))
        told.add(answer.note, f"the note on {answer.question}", personal=False, known=frozenset())
        told.numbers.update(_values(question, answer, call))
    for one in call.handled:
        told.add(one.lifted, f"why {one.caution} was lifted", personal=False, known=frozenset())
    return told


def numbers_in(text: str) -> set[float]:
    """The numbers of a text that are not ``SMALL``."""
    found = (float(one.replace(",", ".")) for one in _NUMBER.findall(_plain(text)))
    return {round(one, 1) for one in found if SMALL <= one < 1e15}


def _values(question: Question | None, answer: Answer, call: Call) -> Iterator[float]:
    """A figure as it was understood, in every unit that a file could have it in."""
    if question is None or question.answer not in ("length", "mass", "count"):
        return
    try:
        value = understand(question, answer.said, call.today).value
    except Unclear:
        return
    if isinstance(value, float):
        yield from (round(each, 1) for each in (value, value / 10) if each >= SMALL)


def _is_personal(question: Question) -> bool:
    return question.private is not None or question.sets in _OWN_WORDS


def _own_words(question: Question | None) -> frozenset[str]:
    """The words of a question's own answers, which say nothing of the caller."""
    if question is None or not question.choices:
        return frozenset()
    texts = (*question.choices, *question.choices.values())
    return frozenset(word for text in texts for word in _words(_plain(text)))


def _answers_left(marked: Marked | None, call: Call, basis: Basis) -> Iterator[str]:
    """Answers that may not be in the file, however they are put."""
    truth = marked.data.get("truth") if marked and isinstance(marked.data, dict) else None
    consent = state_so_far(basis, call).consent is True
    for name in truth if isinstance(truth, dict) else ():
        question = basis.tree.questions.get(name)
        if question is None or name not in call.latest():
            continue
        if not may_stay(question, health=consent):
            yield f"The answer to {name} is left, which may not be stored."


def may_stay(question: Question, *, health: bool) -> bool:
    """Whether answers to a question may be in a practice caller; ``health``: those about it too."""
    if question.answer in ("text", "date"):
        return False
    if question.private == "health":
        return health
    # A measure stands with the body, moved like the rest of it, and sex says whose body.
    return question.private is None or question.measures is not None or question.sets == "sex"


def _taken_apart(marked: Marked | None, tree: Tree) -> tuple[set[str], set[str]]:
    """The words of the texts a file is made of, and those of what anybody may have written."""
    closed: set[str] = set()
    free: set[str] = set()
    if marked is None:
        return closed, free
    names = _names(tree)
    keys = [str(steps[-1]) for steps in marked.keys]
    raws = [(steps, marked.raw(*steps)) for steps in marked.values]
    for steps, raw in [*(((), key) for key in keys), *raws]:
        if raw is None:
            continue
        made = steps != (caller_file.KEY,) and _is_closed(raw, names, tree)
        (closed if made else free).update(_words(_plain(raw)))
    return closed, free


def _is_closed(raw: str, names: frozenset[str], tree: Tree) -> bool:
    parts = raw.split(", ")
    return (
        all(part in names for part in parts)
        or raw in FIXED
        or raw == title_of(tree)
        or _FIGURE.fullmatch(raw) is not None
    )


def title_of(tree: Tree) -> str:
    """The title of every caller made from a call of a tree."""
    return f"As a call went: {tree.title}"[:120]


def _names(tree: Tree) -> frozenset[str]:
    """Every name that a file may hold: of the tree, of bodies, of the file itself."""
    return _names_of(tree.name, tuple(tree.questions.values()))


@lru_cache(maxsize=8)
def _schema_names() -> frozenset[str]:
    return frozenset(_strings(load_schema(caller_file.SCHEMA))) | frozenset(get_args(Kind))


def _names_of(tree: str, questions: tuple[Question, ...]) -> frozenset[str]:
    found = {tree, "?", "yes", "no", "female", "male"}
    for one in questions:
        found |= {one.name, f"first_{one.name}", *one.choices}
        found |= {one.measures} if one.measures else set()
    return frozenset(found) | _schema_names()


def _strings(schema: Any) -> Iterator[str]:
    """The names that the schema of a caller's file gives to its pieces."""
    if isinstance(schema, Mapping):
        yield from (str(name) for name in schema.get("properties", {}))
        yield from (str(one) for one in schema.get("enum", ()))
        for each in schema.values():
            yield from _strings(each)


def _words_of(tree: Tree) -> frozenset[str]:
    """Every word that the tree itself says."""
    found: set[str] = set()
    for one in tree.questions.values():
        for text in (one.name, one.ask, one.coach, *one.called, *one.choices):
            found.update(_words(_plain(text)))
        for label in one.choices.values():
            found.update(_words(_plain(label)))
    return frozenset(found)


def _words(plain: str) -> Iterator[str]:
    """Words that could tell of somebody: three letters or digits, or two of another alphabet."""
    for word in _WORD.findall(plain):
        if len(word) >= 3 or (len(word) == 2 and not word.isascii()):
            yield word


def _plain(text: str) -> str:
    """Small letters, however they were typed."""
    return unicodedata.normalize("NFKC", text).casefold()


def _short(word: str) -> str:
    return word if len(word) <= 40 else f"{word[:37]}..."
