"""Conditions, and pieces of them, that evaluate to the same whatever callers answer."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache, reduce
from itertools import groupby
from typing import Literal

from consult.problems import Where, listed
from consult.tree.condition import Condition, ConditionError, parse_condition
from consult.tree.draft import Block, Draft
from consult.tree.evaluators import compiled_truth
from consult.tree.nodes import (
    And,
    Compare,
    Name,
    Node,
    Not,
    Or,
    Truth,
    Value,
    YesNo,
    conjunction,
    interpret,
    named,
    negation,
)
from consult.tree.truth_tables import SLACK, Possible, Tables, tables
from consult.tree.typecheck import ValueKind, condition_troubles


@dataclass(frozen=True, slots=True)
class Written:
    """A condition that makes sense, and where it is written."""

    block: Block
    steps: tuple[str | int, ...]
    """Inside the block."""
    condition: Condition
    owner: str = ""
    """The question whose routes or skip_when it belongs to."""
    answered: bool = False
    """Whether its owner has been answered wherever it is looked at."""

    @property
    def part(self) -> str:
        """What it decides: a route, skip_when, cautions, advice, needs ..."""
        first = self.block.steps[0] if self.steps[0] == "when" else self.steps[0]
        return "route" if first == "next" else str(first)

    @property
    def where(self) -> Where:
        """Its place in a file."""
        return self.block.place(*self.steps)

    def inside(self, offset: int) -> Where:
        """Where a character of it stands."""
        return self.block.inside(self.steps, offset)


def routes_of(conditions: Iterable[Written]) -> Iterator[list[Written]]:
    """The conditions of routes, those of a question together."""
    routes = (written for written in conditions if written.part == "route")
    return (list(group) for _, group in groupby(routes, key=lambda written: written.owner))


def sound_condition(
    block: Block,
    steps: tuple[str | int, ...],
    draft: Draft,
    kinds: Mapping[str, ValueKind],
    outcomes: Mapping[str, Collection[str]] | None = None,
) -> Condition | None:
    """The condition written in a block; None where there is none, or none that makes sense, which
    is noted. With ``outcomes`` it may name those, too."""
    text = block.text(*steps)
    if text is None or draft.crowded:
        return None
    try:
        condition = parse_condition(text, outcomes=outcomes is not None)
    except ConditionError as error:
        draft.says(block.inside(steps, error.offset), "condition", error.message, error.fix)
        return None
    read = tuple((name, kinds[name]) for name in condition.names if name in kinds)
    if outcomes is None and _makes_sense(text, read):
        return condition
    troubles = condition_troubles(condition, kinds, outcomes)
    for trouble in troubles:
        where = block.inside(steps, trouble.offset)
        draft.says(where, trouble.rule, trouble.message, trouble.fix)
    return None if troubles else condition


# The editor checks after every key; all conditions but one are as they were.
@lru_cache(maxsize=4096)
def _makes_sense(text: str, kinds: tuple[tuple[str, ValueKind], ...]) -> bool:
    """Whether nothing is wrong with a condition, going by the questions it names."""
    return not condition_troubles(parse_condition(text), dict(kinds))


# -- what a condition can evaluate to where some answers are fixed and all others left open -------

TruthOutcomes = frozenset[Truth]

OPEN: TruthOutcomes = frozenset((True, False, None))
"""Of a condition of which nothing is certain."""
TRUE: TruthOutcomes = frozenset((True,))
"""Of a condition that is true whatever else is answered."""


def outcomes(node: Node, fixed: Mapping[str, Value | None]) -> TruthOutcomes:
    """Every value the condition can have; never fewer than it has, and sometimes more.

    ``fixed`` maps a name to its answer, None for one that is surely not known. Whatever reads any
    other name may be true, false or unknown.
    """

    def leaf(piece: Node) -> TruthOutcomes:
        if all(part.name in fixed for part in named(piece) if isinstance(part, Name)):
            return frozenset((compiled_truth(piece)(fixed.get),))
        return OPEN

    return interpret(node, leaf, lambda of: frozenset(map(negation, of)), _joined)


def _joined(parts: Iterable[TruthOutcomes]) -> TruthOutcomes:
    return reduce(
        lambda left, right: frozenset(conjunction((one, other)) for one in left for other in right),
        parts,
    )


def possible(
    text: str | None, fixed: Mapping[str, Value | None], questions: Collection[str]
) -> TruthOutcomes:
    """The same of a condition as written; OPEN where it cannot be read, false where it is none."""
    if text is None:
        return frozenset((False,))
    try:
        condition = parse_condition(text)
    except ConditionError:
        return OPEN
    names = frozenset(name for name in condition.names if name in questions)
    read = tuple((name, fixed[name]) for name in sorted(names) if name in fixed)
    return _worked_out(text, names, read)


# A check runs after every key in an editor; all conditions but one are as they were.
@lru_cache(maxsize=4096)
def _worked_out(
    text: str, questions: frozenset[str], fixed: tuple[tuple[str, Value | None], ...]
) -> TruthOutcomes:
    return outcomes(parse_condition(text).resolve(questions).node, dict(fixed))


# -- conditions, and pieces of them, that evaluate to the same whatever callers answer ------------

Certainty = Literal["true", "never false", "never true"]


@dataclass(frozen=True, slots=True)
class _Verdict:
    offset: int
    worth: Certainty
    whole: bool
    text: str
    """As written, where it is a piece of the condition."""
    fix: str


KnownAnswers = tuple[tuple[str, Possible], ...]
"""What can be answered to each question a condition names, and be worked out for each quantity."""


def check_constant(
    conditions: Iterable[Written], possible: Mapping[str, Possible], draft: Draft
) -> None:
    """Note every condition that no answers make true, and every one that none make false."""
    for written in conditions:
        whole = written.condition.node
        if isinstance(whole, YesNo) and written.part in ("skip_when", "ask_when"):
            message = f"{written.part} is always {'yes' if whole.value else 'no'}."
            fix = "Write a condition, or delete it."
            draft.says(written.where, "always-true", message, fix, warning=True)
        for verdict in _verdicts(written.condition.text, known_to(written, possible)):
            where = written.inside(verdict.offset)
            rule = "always-false" if verdict.worth == "never true" else "always-true"
            # A caution that nobody hears is an error, everything else a warning.
            grave = written.part == "cautions" and verdict.whole and verdict.worth == "never true"
            draft.says(where, rule, _said(verdict, written), verdict.fix, warning=not grave)


def known_to(written: Written, possible: Mapping[str, Possible]) -> KnownAnswers:
    """The part of what is possible that a condition reads."""
    names = sorted(name for name in written.condition.names if name in possible)
    own = written.owner if written.answered else ""
    return tuple(
        (name, replace(possible[name], known=True) if name == own else possible[name])
        for name in names
    )


@lru_cache(maxsize=4096)
def _verdicts(text: str, known: KnownAnswers) -> tuple[_Verdict, ...]:
    """Cached, as the editor checks every condition again after each key."""
    possible = dict(known)
    node = parse_condition(text).resolve(possible.keys()).node
    worked_out = tables([node], possible)
    if worked_out is None:
        return ()
    verdicts = []
    for piece, worth in _constant(node, worked_out):
        excerpt = _excerpt(text, piece)
        fix = _fix(piece, worth, possible)
        verdicts.append(_Verdict(piece.offset, worth, piece is node, excerpt, fix))
    return tuple(verdicts)


def _constant(node: Node, worked_out: Tables) -> list[tuple[Node, Certainty]]:
    """The smallest pieces that are the same for every caller; a plain yes or no is left alone."""
    if isinstance(node, YesNo):
        return []
    inner: list[tuple[Node, Certainty]] = []
    if isinstance(node, (And, Or)):
        inner = [pair for part in node.parts for pair in _constant(part, worked_out)]
    elif isinstance(node, Not):
        inner = _constant(node.of, worked_out)
    if inner:
        return inner
    yes, no = worked_out.of(node)
    if not yes:
        return [(node, "never true")]
    if yes == worked_out.everything:
        return [(node, "true")]
    return [] if no else [(node, "never false")]


_BETWEEN = re.compile(r"[()]| (?:and|or) ")


def _excerpt(text: str, piece: Node) -> str:
    """A piece as written, to the bracket that closes around it or the and, or after it."""
    depth, end = 0, len(text)
    for match in _BETWEEN.finditer(text, piece.offset):
        sign = match.group()
        depth += (sign == "(") - (sign == ")")
        if depth < 0 or (depth == 0 and len(sign) > 1 and not isinstance(piece, (And, Or))):
            end = match.start()
            break
    rest = text[piece.offset : end].rstrip()
    return rest if len(rest) <= 50 else f"{rest[:47]}..."


_SO: dict[str, tuple[str, str]] = {
    "route": (
        "so this route is never used",
        "so this route is used for every call that reaches it",
    ),
    "skip_when": ("so the question is never skipped", "so the question is never asked"),
    "ask_when": ("so the question is never asked", "so the question is asked of everybody"),
    "open_when": ("so the topic never opens by itself", "so the topic is open to everybody"),
    "cautions": ("so the caution is never given", "so the caution is always given"),
    "advice": ("so the advice is never given", "so the advice is always given"),
    "needs": ("so the need never counts", "so the need always counts"),
}


def _said(verdict: _Verdict, written: Written) -> str:
    whole = verdict.whole
    what = "This" if whole else f"The piece '{verdict.text}'"
    never, always = _SO.get(written.part, ("", ""))
    if verdict.worth == "never true":
        tail = f", {never}" if whole and never else ""
        return f"{what} can never be true, whatever is answered{tail}."
    if verdict.worth == "true":
        tail = f", {always}" if whole and always else ""
        return f"{what} is true whatever is answered{tail}."
    return f"{what} is never false: it only asks whether there is an answer."


def _fix(node: Node, worth: Certainty, possible: Mapping[str, Possible]) -> str:
    if isinstance(node, Or) and worth != "never true":
        return "Write and if both must be true."
    if isinstance(node, And) and worth == "never true":
        return "Write or if one of them is enough."
    names = list(dict.fromkeys(part.name for part in named(node) if isinstance(part, Name)))
    if isinstance(node, Compare) and len(node.signs) == 1 and len(names) == 1:
        answer = possible[names[0]]
        if answer.sort == "number" and answer.most < float("inf"):
            least, most = round(answer.least * SLACK, 2), round(answer.most / SLACK, 2)
            ends = f"{least:g} and {most:.10g} {answer.unit}".strip()
            return f"An answer to '{names[0]}' is between {ends}."
    if worth == "never false":
        return f"Write {listed(f'known({name})' for name in names)} if that is meant."
    return "Correct or delete it."


# -- routes that are never taken: a route above them takes every call they are true for -----------


def check_winning(
    conditions: Sequence[Written], possible: Mapping[str, Possible], draft: Draft
) -> None:
    """Note every route whose condition can be true, but not when it is tried."""
    message = (
        "This route is never used, because the routes above it come first whenever it is true."
    )
    fix = "Move it further up, narrow the routes above it, or delete it."
    for whens in routes_of(conditions):
        known = tuple(
            dict(pair for written in whens for pair in known_to(written, possible)).items()
        )
        losing = _losing(tuple(written.condition.text for written in whens), known)
        for index in losing if len(whens) > 1 else ():
            draft.says(whens[index].where, "never-wins", message, fix, warning=True)


@lru_cache(maxsize=2048)
def _losing(texts: tuple[str, ...], known: KnownAnswers) -> tuple[int, ...]:
    possible = dict(known)
    nodes = [parse_condition(text).resolve(possible.keys()).node for text in texts]
    worked_out = tables(nodes, possible)
    if worked_out is None:
        return ()
    taken, losing = 0, []
    for index, node in enumerate(nodes):
        yes, no = worked_out.of(node)
        if yes and not yes & ~taken:
            losing.append(index)
        taken |= yes
        if not no and yes:
            # It takes everybody who has answered, which is told of this route itself.
            break
    return tuple(losing)
