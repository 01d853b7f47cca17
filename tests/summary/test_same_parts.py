"""Nothing of a body or an illness can be read from the employer's or the order team's document.

As a property: two callers who differ in health and body alone, and get the same parts, have the
same documents, byte for byte, in every form. Confidentiality of a worker's health towards the
employer: GDPR, articles 9 and 5(1)(c), data minimisation.
"""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from functools import cache
from itertools import pairwise
from random import Random

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from consult.call.call import Answer, Call
from consult.call.state import State, state
from consult.summary import Form
from consult.summary.readers import HEALTHLESS, Reader
from consult.summary.render import Writer
from consult.tree.model import Question
from tests.long import LONG, examples
from tests.ui.desk import demo, demo_basis

FORMS: tuple[Form, ...] = ("text", "md", "html", "json", *(("eml",) if LONG else ()))
"""An e-mail takes as long as all others: in a short run the property alone asks for it."""
BASES = ("01", "03", "13", "14", "16", "20")
OF_THE_CALLER = ("caller_name", "caller_contact", "delivery_address")
"""Facts that are personal and stand in a document all the same."""


@cache
def private_questions() -> tuple[Question, ...]:
    """Every question whose answer tells of health or body, and the consent to be asked."""
    return tuple(
        one
        for one in demo_basis().tree.questions.values()
        if (one.private is not None and one.sets not in OF_THE_CALLER) or one.sets == "consent"
    )


Pick = Callable[[Sequence[str]], str]


def told(question: Question, pick: Pick) -> str:
    """Something somebody may answer."""
    if question.answer in ("choice", "choices"):
        names = list(question.choices)
        if question.answer == "choice":
            return pick(names)
        return pick([*names, *(f"{a}, {b}" for a, b in pairwise(names))])
    if question.answer == "yes-no":
        return pick(["yes", "no"])
    if question.expect is None:
        return "?"
    low, high = question.expect
    unit = "kg" if question.answer == "mass" else "mm"
    steps = [f"{low + (high - low) * at / 8:.0f} {unit}" for at in range(9)]
    return pick([*steps, "?"] if question.unknown_allowed else steps)


def otherwise(number: str, pick: Pick) -> Call:
    """The demo call with another body and other health: some answers drawn, some left unsaid."""
    call = demo(number).call
    private = {one.name: one for one in private_questions()}
    said = [one for one in call.answers if one.question not in private]
    answers = [
        Answer(name, told(question, pick))
        for name, question in private.items()
        if pick(["said", "said", "unsaid"]) == "said"
    ]
    return replace(call, answers=(*said[:1], *answers, *said[1:]), handled=())


def documents(now: State, reader: Reader, *more: Form) -> dict[Form, bytes]:
    """The document of a reader in every form."""
    writer = Writer(demo_basis(), now, None, "7K3-M2Q", "Ann")
    return {form: writer.write(form, reader) for form in (*FORMS, *more)}


def codes(now: State) -> tuple[str, ...]:
    return tuple(part.code for part in now.picked.parts.values()) if now.picked else ()


def held(now: State) -> bool:
    made = Writer(demo_basis(), now).write("json", "order")
    return bool(json.loads(made)["hold"])


@given(st.sampled_from(BASES), st.data())
@settings(
    deadline=None, max_examples=examples(25), phases=[Phase.generate]
)  # smaller is no clearer
def test_same_parts_same_document(number: str, data: st.DataObject) -> None:
    """The chair of one caller, given to another of another body: their documents are the same."""

    def pick(of: Sequence[str]) -> str:
        return data.draw(st.sampled_from(of))

    one = state(demo_basis(), demo(number).call)
    other = state(demo_basis(), otherwise(number, pick))
    if one.chosen is None or other.chosen is None:
        return
    keys = ("parts", "price", "lead_days")
    same = replace(other.chosen.picked, **{key: getattr(one.chosen.picked, key) for key in keys})
    other = replace(other, chosen=replace(other.chosen, picked=same))
    readers: list[Reader] = ["employer"]
    if held(one) == held(other):
        readers.append("order")
    for reader in readers:
        assert documents(one, reader, "eml") == documents(other, reader, "eml")


@pytest.mark.parametrize("number", BASES[:3])
def test_the_same_where_parts_came_out_the_same(number: str) -> None:
    """Nothing is put in their place: of many bodies, those with the same chair are compared."""
    chance, found = Random(7), defaultdict(list)
    for _ in range(40):
        now = state(demo_basis(), otherwise(number, chance.choice))
        found[codes(now), held(now), now.agreed].append(now)
    compared = 0
    for (_, _, _), alike in found.items():
        first = {reader: documents(alike[0], reader) for reader in HEALTHLESS}
        for one in alike[1:4]:
            compared += 1
            assert {reader: documents(one, reader) for reader in HEALTHLESS} == first
    assert compared >= 3, "too few callers share a chair for this to show anything"


@pytest.mark.parametrize("reader", sorted(HEALTHLESS))
@pytest.mark.parametrize("number", BASES[:4])
def test_a_stopped_call_differs_in_the_parts_alone(number: str, reader: Reader) -> None:
    """Nobody can tell from the export that there was a stop, only that there is no chair.

    Two that were stopped for different signs have the same documents altogether.
    """
    whole, first, *others = after_signs(number)
    assert whole.stopped is None
    told_of = [json.loads(documents(one, reader)["json"]) for one in (whole, first)]
    chair, none = (one.pop("specification") for one in told_of)
    assert chair["parts"]
    assert none is None
    for one in told_of:
        # Nothing to send is nothing to hold.
        del one["hold"]
    assert told_of[0] == told_of[1]
    for other in others:
        if other.stopped is not None:
            assert documents(other, reader) == documents(first, reader)


@cache
def after_signs(number: str) -> tuple[State, ...]:
    return tuple(state(demo_basis(), one) for one in signs_said(demo(number).call))


def signs_said(call: Call) -> Iterator[Call]:
    """The call with none of the warning signs, then with each in turn."""
    (asked,) = (
        one for one in demo_basis().tree.questions.values() if one.signs and not one.skip_when
    )
    said = [one for one in call.answers if one.question != asked.name]
    for choice in sorted(asked.choices, key=lambda one: one != asked.exclusive):
        yield replace(call, answers=(*said, Answer(asked.name, choice)), handled=())
