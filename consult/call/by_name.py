"""An answer given early: which question "lower leg 41" answers, and what was said to it.

A typed line is ``[/] [the | my | ...] name [: | = | , | is | are] said``. Nothing is guessed
between two questions: where a line could mean either, it is asked back.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from difflib import SequenceMatcher
from functools import partial

from consult.call.call import IN_NO_TREE, Call
from consult.problems import listed, nearest
from consult.tree.model import NAME_WORD, Question, Tree, plain_name
from consult.units import Unclear

BY_NAME = "/"
"""Before a name, it marks an early answer: "/desk 73". Twice, it starts a plain text."""
MOST_SHOWN = 8
"""Most names offered at once; nobody reads a longer list during a call."""

_LEAD = re.compile(r"\s*/?\s*")
_FILLER = re.compile(r"(?:the|my|his|her|their|our|your)\s+", re.I)
_GAP = re.compile(r"[\s_'’-]*")
"""What may stand between the words of a name."""
_BETWEEN = re.compile(r"\s*(?:[:=,]|(?:is|are|['’]s)(?!\S))?\s*", re.I)
"""What may stand between a name and the answer."""


@dataclass(frozen=True, slots=True)
class Named:
    """A question meant by its name, and what was said to it."""

    question: Question
    said: str
    """The end of the line exactly as typed; empty where only the name was."""


@dataclass(frozen=True, slots=True)
class _Run:
    """The first words of a line, as a name would have them."""

    name: str
    end: int
    """Where in the line they end."""


def begins_by_name(said: str) -> bool:
    """Whether a typed line names what it answers."""
    return said.startswith(BY_NAME) and not said.startswith(2 * BY_NAME)


def meant(tree: Tree, asking: Question | None, said: str) -> tuple[Question | None, str]:
    """The question that a typed line answers, and the answer in it; raises Unclear."""
    if begins_by_name(said):
        named = fact_named(tree, said.removeprefix(BY_NAME))
        return named.question, named.said
    return asking, said.removeprefix(BY_NAME)


def read_with(tree: Tree, call: Call) -> Call:
    """The call as this tree reads it: a question renamed since is found by its other names."""
    others = {answer.question for answer in call.answers} - tree.questions.keys() - IN_NO_TREE
    if not others:
        return call
    known = tree.question_named
    renamed = {name: known[plain_name(name)] for name in others if plain_name(name) in known}
    return replace(call, names=renamed) if renamed else call


def completions(tree: Tree, typed: str) -> tuple[str, ...]:
    """Names that begin with what is typed, with or without its slash; at most ``MOST_SHOWN``.

    A question asked of everybody comes before one asked of some, and a second name of one question
    after the first of every other.
    """
    begun = plain_name(typed)
    matches = {name: asked for name, asked in tree.question_named.items() if name.startswith(begun)}
    first: dict[str, str] = {}
    for name, asked in matches.items():
        first.setdefault(asked, name)
    likely = sorted(first, key=lambda asked: bool(tree.questions[asked].asked_if))
    return tuple(dict.fromkeys([*(first[asked] for asked in likely), *matches]))[:MOST_SHOWN]


def fact_named(tree: Tree, typed: str) -> Named:
    """The question a line begins with, and the rest of the line.

    The longest known name at the start counts. Without one, the beginning of a name will do if
    only one question has a name that begins so.

    Raises:
        Unclear: no question, or more than one, can be meant; the text is for the adviser.
    """
    known = tree.question_named
    whole, bare = _beginnings(tree, typed)
    run = _whole(known, whole) or _whole(known, bare) or _begun(known, bare)
    if run is None:
        raise _unknown(tree, typed[_after(_LEAD, typed, 0) :], bare)
    said = typed[_after(_BETWEEN, typed, run.end) :]
    return Named(tree.questions[known[run.name]], said)


def begins_with_name(tree: Tree, typed: str) -> bool:
    """Whether a text begins with a name in full."""
    known = tree.question_named
    return any(run.name in known for runs in _beginnings(tree, typed) for run in runs)


def _beginnings(tree: Tree, typed: str) -> tuple[list[_Run], list[_Run]]:
    """The first words of a text, with and without "the" or "my" before them."""
    start, most = _after(_LEAD, typed, 0), tree.longest_name
    return _runs(typed, start, most), _runs(typed, _after(_FILLER, typed, start), most)


def _after(pattern: re.Pattern[str], typed: str, at: int) -> int:
    match = pattern.match(typed, at)
    return match.end() if match else at


def _runs(typed: str, start: int, most: int) -> list[_Run]:
    """The first word, the first two, and so on, up to ``most`` or the first sign between them."""
    runs: list[_Run] = []
    words: list[str] = []
    at = start
    while len(words) < most:
        word = NAME_WORD.match(typed, _after(_GAP, typed, at))
        if word is None:
            break
        words.append(word.group().casefold())
        at = word.end()
        runs.append(_Run(" ".join(words), at))
    return runs


def _whole(known: Mapping[str, str], runs: Sequence[_Run]) -> _Run | None:
    """The longest run that is a name, unless the words after it may belong to another's."""
    at = next((at for at in reversed(range(len(runs))) if runs[at].name in known), None)
    if at is None:
        return None
    name = runs[at].name
    for longer in reversed(runs[at + 1 :]):
        meant = _meant(known, longer)
        meant.pop(known[name], None)
        if meant:
            raise Unclear(
                f"“{longer.name}” could be the start of {_some(meant.values())}. Type that name "
                f"in full, or “{name}:” before the answer."
            )
    return runs[at]


def _begun(known: Mapping[str, str], runs: Sequence[_Run]) -> _Run | None:
    """The longest run that one question's names begin with, as that name."""
    for run in reversed(runs):
        meant = _meant(known, run)
        if len(meant) > 1:
            raise Unclear(f"“{run.name}” could be {_some(meant.values())}. Type more of the name.")
        if meant:
            return _Run(next(iter(meant.values())), run.end)
    return None


def _meant(known: Mapping[str, str], run: _Run) -> dict[str, str]:
    """Questions with a name that begins with the run -> the first such name."""
    meant: dict[str, str] = {}
    # A figure at the end is the answer, or the beginning of one.
    if not run.name[-1].isdecimal():
        for name, question in known.items():
            if name.startswith(run.name):
                meant.setdefault(question, name)
    return meant


def _some(found: Iterable[str]) -> str:
    offered = list(found)
    rest = len(offered) > MOST_SHOWN
    return listed([*offered[: MOST_SHOWN - 1], "another"] if rest else offered)


def _unknown(tree: Tree, typed: str, runs: Sequence[_Run]) -> Unclear:
    known = tree.question_named
    likest = max((run.name[:60] for run in runs), key=partial(_likeness, known), default="")
    measures = [asked.names[0] for asked in tree.questions.values() if asked.measures]
    hint = (
        nearest(likest, known)
        or f"Start with a name, such as {listed((measures or list(known))[:3])}."
    )
    shown = " ".join(typed[:200].split())[:40]
    if not shown:
        return Unclear(f"You gave no name. {hint}")
    return Unclear(f"“{shown}” does not start with the name of a question. {hint}")


def _likeness(known: Iterable[str], word: str) -> float:
    """How like some name it is, 0 to 1."""
    return max(SequenceMatcher(None, name, word).ratio() for name in known)
