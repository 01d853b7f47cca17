"""Call files: what each expects compared with what came out, and what all come to of a tree."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal, get_args

from consult.call.call import COUNTRY, THOROUGH, Answer, Call
from consult.call.chosen import parts_named
from consult.call.state import State, state
from consult.call.transcript import Transcript, write_transcript
from consult.problems import Problem, Where, nearest
from consult.tree.quantities import BODY_DIMENSIONS, FIT_QUANTITIES

if TYPE_CHECKING:
    from consult.call.basis import Basis
    from consult.tree.model import Question, Tree

_NUMBER = r"(-?\d+(?:\.\d+)?)"
_SPAN = re.compile(rf"{_NUMBER}(?:\s+to\s+{_NUMBER})?")
_ROUNDING = 0.05
"""cm or kg: a single expected number is met by whatever is written the same to one decimal."""


def disappointments(transcript: Transcript, state: State) -> list[Problem]:
    """Every expectation of the file that is not met, and every answer that cannot be used."""
    problems = [
        Problem(
            transcript.answers_at[step.answer.question],
            f"'{step.answer.question}' was not understood: {step.trouble}",
            rule="not-understood",
        )
        for step in state.steps
        if step.status == "unclear" and step.answer is not None
    ]
    for name, wanted in transcript.expect.items():
        message = _compare(name, wanted, state)
        if message:
            where = transcript.expect_at.get(name, Where(str(transcript.path), 1, 1))
            problems.append(Problem(where, message, rule="expectation"))
    return problems


def _compare(name: str, wanted: object, state: State) -> str:
    if name in ("finished", "stopped"):
        came = state.finished if name == "finished" else state.stopped is not None
        return "" if _yes(wanted) == came else f"{name}: {_word(came)} came out."
    if "." in name:
        return _quantity(name, str(wanted), state)
    names = set(map(str, wanted)) if isinstance(wanted, list) else set()
    came_out = _lists(state)[name]
    exact = name in ("cautions", "plausibility", "missing")
    if name == "not_asked":
        wrong = names & came_out
        return f"not_asked: {_named(wrong)} was asked." if wrong else ""
    lacking, extra = names - came_out, (came_out - names if exact else set())
    parts = [f"{_named(lacking)} did not come out"] if lacking else []
    parts += [f"{_named(extra)} came out besides"] if extra else []
    return f"{name}: {' and '.join(parts)}." if parts else ""


def _lists(state: State) -> Mapping[str, set[str]]:
    asked = {step.question.name for step in state.steps}
    return {
        "cautions": {raised.caution.name for raised in state.cautions},
        "advice": {given.advice.topic for given in state.advice},
        "asked": asked,
        "not_asked": asked,
        "plausibility": {doubt.dimension for doubt in state.doubts if not doubt.confirmed},
        "missing": set(state.missing),
        "parts": {part.code for part in state.picked.parts.values()} if state.picked else set(),
    }


def _quantity(name: str, wanted: str, state: State) -> str:
    kind, _, rest = name.partition(".")
    known: Collection[str] = FIT_QUANTITIES if kind == "fit" else BODY_DIMENSIONS
    if kind == "fit" and state.fit is not None and state.fit.labels:
        known = state.fit.labels
    if rest not in known:
        return f"There is no {name}. {nearest(rest, known)}".rstrip()
    if kind == "body":
        mean = state.estimate.dimensions[rest].mean
        came: float | bool | None = mean if BODY_DIMENSIONS[rest] == "kg" else mean / 10
    elif state.fit is None:
        came = None
    else:
        quantity = state.fit.quantities.get(rest)
        in_mm = isinstance(quantity, float) and not isinstance(quantity, bool)
        came = quantity / 10 if in_mm and quantity is not None else quantity
    if came is None:
        return "" if wanted == "absent" else f"{name} could not be worked out."
    if wanted == "absent":
        what = _word(came) if isinstance(came, bool) else f"{came:.1f}"
        return f"{name}: {what} came out, not absent."
    if isinstance(came, bool):
        if wanted.lower() not in ("yes", "no", "true", "false"):
            return f"{name}: '{wanted}' is neither yes nor no."
        return "" if _yes(wanted) == came else f"{name}: {_word(came)} came out."
    match = _SPAN.fullmatch(wanted.strip())
    if match is None:
        return f"{name}: '{wanted}' is not a number or a span such as 52 to 54."
    low = float(match[1])
    low, high = (low, float(match[2])) if match[2] else (low - _ROUNDING, low + _ROUNDING)
    return "" if low <= came <= high else f"{name}: {came:.1f} came out, not {wanted}."


def _yes(wanted: object) -> bool:
    return wanted is True or str(wanted).lower() in ("yes", "true")


def _word(value: bool) -> str:
    return "yes" if value else "no"


def _named(names: set[str]) -> str:
    return ", ".join(sorted(names))


# -- demo call ------------------------------------------------------------------------------------
# A demo call made from a stored one: what a caller chose and measured, and what came of it.
#
# No name, contact, address, free text, note, time or answer about health is in it: a demo call
# is kept for as long as its maker wants, and a caller's health is not. It reads as the call of
# somebody who did not consent.

NOT_TOLD = "left out"
_PARTS = ("request", "agreed_parts")
_FIGURES = ("seat_height", "seat_depth", "armrest_height", "footrest_height", "desk_height")


def demo_call(basis: Basis, call: Call, title: str) -> tuple[str, State]:
    """The text of a demo call, and what it comes to with the trees of today.

    ``call`` is one without its health answers (``read_without_health``).
    """
    bare = replace(call, answers=tuple(_bare(basis, call)), handled=())
    end = state(basis, bare)
    return write_transcript(bare, basis.tree.name, title, _expected(end)), end


def _bare(basis: Basis, call: Call) -> Iterator[Answer]:
    for answer in call.answers:
        question = basis.tree.questions.get(answer.question)
        if answer.question in (COUNTRY, THOROUGH):
            yield Answer(answer.question, answer.said)
        elif question is not None:
            yield Answer(answer.question, _said(basis, question, answer.said), answer.confirmed)


def _said(basis: Basis, question: Question, said: str) -> str:
    if question.sets == "consent":
        return "no"
    if question.sets in _PARTS and basis.range is not None:
        return ", ".join(parts_named(basis.range, said)) or NOT_TOLD
    if question.answer == "text":
        return NOT_TOLD
    return said


def _expected(end: State) -> dict[str, object]:
    """What must come out again: the end, the cautions, the advice, the chair and its figures."""
    expect: dict[str, object] = {
        "finished": "yes" if end.finished else "no",
        "stopped": "yes" if end.stopped else "no",
        "cautions": sorted({raised.caution.name for raised in end.cautions}),
        "advice": sorted({given.advice.topic for given in end.advice}),
        "plausibility": sorted(doubt.dimension for doubt in end.doubts if not doubt.confirmed),
    }
    if end.picked is not None:
        expect["parts"] = [part.code for part in end.picked.parts.values()]
    figures = end.fit.requirements if end.fit else {}
    return expect | {
        f"fit.{name}": f"{figures[name].target / 10:.1f}" for name in _FIGURES if name in figures
    }


# -- which pieces of a tree calls reached: questions, cautions, advice and needs ------------------

TreePart = Literal["question", "caution", "advice", "need"]

TREE_PARTS: tuple[TreePart, ...] = get_args(TreePart)
"""The parts of a tree that a call can come to, in the order they are told in."""

PLURAL: Mapping[TreePart, str] = {
    "question": "questions",
    "caution": "cautions",
    "advice": "advice",
    "need": "needs",
}


@dataclass(frozen=True, slots=True)
class TreePiece:
    """One question, caution, piece of advice or need. A sub-tree's are the same in every tree."""

    part: TreePart
    name: str
    where: Where


@dataclass(frozen=True, slots=True)
class Coverage:
    """The pieces of one main tree that calls reached."""

    tree: str
    version: str
    calls: tuple[str, ...]
    """Names of the calls led with this tree, in the order given."""
    reached: Mapping[TreePiece, tuple[str, ...]]
    """Every piece of the tree -> the calls that came to it, other trees' calls among them."""

    @property
    def missed(self) -> tuple[TreePiece, ...]:
        """The pieces that no call reached, in the order of the tree."""
        return tuple(piece for piece, calls in self.reached.items() if not calls)

    @property
    def elsewhere(self) -> tuple[TreePiece, ...]:
        """The pieces reached only by calls of other trees, through a shared sub-tree."""
        own = set(self.calls)
        return tuple(p for p, calls in self.reached.items() if calls and own.isdisjoint(calls))


def pieces_of(tree: Tree) -> tuple[TreePiece, ...]:
    """Everything of a tree that a call can come to; no needs where no chair is worked out."""
    return (
        *(
            TreePiece("question", question.name, question.where)
            for question in tree.questions.values()
        ),
        *(TreePiece("caution", caution.name, caution.where) for caution in tree.cautions),
        *(TreePiece("advice", advice.name, advice.where) for advice in tree.advice),
        *(TreePiece("need", need.name, need.where) for need in tree.needs if tree.fits),
    )


def come_to(now: State) -> Iterator[tuple[TreePart, str]]:
    """What one call came to: questions that were answered, and what was called for at its end."""
    for step in now.steps:
        if step.status in ("answered", "unknown"):
            yield "question", step.question.name
    yield from (("caution", raised.caution.name) for raised in now.cautions)
    yield from (("advice", given.advice.name) for given in now.advice)
    yield from (("need", need.name) for need in now.needs)


def coverage(calls: Sequence[tuple[str, Tree, State]]) -> tuple[Coverage, ...]:
    """What calls, each with its name and the main tree it was led with, came to between them.

    A piece of a sub-tree that several main trees take in is reached in all of them as soon as one
    call of any of them comes to it. Trees come in the order of their first call.
    """
    trees = {tree.name: tree for _, tree, _ in calls}
    places = {
        name: {(piece.part, piece.name): piece for piece in pieces_of(tree)}
        for name, tree in trees.items()
    }
    by_piece: dict[TreePiece, list[str]] = {}
    for call, tree, now in calls:
        for pair in come_to(now):
            # A stop whose reason was not kept is no piece of any tree.
            if pair in places[tree.name]:
                by_piece.setdefault(places[tree.name][pair], []).append(call)
    return tuple(
        Coverage(
            tree=name,
            version=tree.version,
            calls=tuple(call for call, led_with, _ in calls if led_with.name == name),
            reached={piece: tuple(by_piece.get(piece, ())) for piece in places[name].values()},
        )
        for name, tree in trees.items()
    )
