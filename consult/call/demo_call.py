"""A demo call made from a stored one: what a caller chose and measured, and what came of it.

No name, contact, address, free text, note, time or answer about health is in it: a demo call is
kept for as long as its maker wants, and a caller's health is not. It reads as the call of somebody
who did not consent.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from consult.call.call import COUNTRY, THOROUGH, Answer, Call
from consult.call.chosen import parts_named
from consult.call.state import state
from consult.call.transcript import write_transcript

if TYPE_CHECKING:
    from collections.abc import Iterator

    from consult.call.basis import Basis
    from consult.call.state import State
    from consult.tree.model import Question

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
    for one in call.answers:
        question = basis.tree.questions.get(one.question)
        if one.question in (COUNTRY, THOROUGH):
            yield Answer(one.question, one.said)
        elif question is not None:
            yield Answer(one.question, _said(basis, question, one.said), one.confirmed)


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
