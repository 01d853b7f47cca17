"""Conditions read as formulas are worth what they are worth when they are evaluated."""

from __future__ import annotations

import pytest

pytest.importorskip("z3", reason="the solver is not installed, so nothing can be proven")

from typing import Any

import z3
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from consult.call.basis import Basis
from consult.call.call import Answer, Call
from consult.call.facts import Facts
from consult.call.route import walk
from consult.call.state import state_so_far
from consult.content.prove.solving import Solving
from consult.content.prove.symbols import FormulaReader
from consult.content.prove.trying import DAY, said_as
from consult.content.prove.walk import Walked
from consult.tree.condition import Condition
from consult.tree.model import Tree
from consult.tree.nodes import Value
from tests.content.prove.drawn import KINDS, bases, conditions, plain_question, values
from tests.long import examples

TREE = Tree("t", "T", "1", "p", {n: plain_question(n) for n in KINDS}, (), (), ())


SOLVING = Solving(Walked(TREE, False))


@given(conditions(), values())
@settings(max_examples=examples(200), deadline=None)
def test_worth(condition: Condition, said: dict[str, Value | None]) -> None:
    """For any condition and any answers, known or not, formula and evaluation agree."""
    walked = SOLVING.walked
    found = FormulaReader(walked.logic).truth(
        condition.node, lambda name: walked.answers.seen(name, walked.logic.true)
    )
    facts = [SOLVING.saying(name, value) for name, value in said.items()]
    worth = SOLVING.can_be(*facts, found.yes), SOLVING.can_be(*facts, found.no)
    expected = {True: ("yes", "no"), False: ("no", "yes"), None: ("no", "no")}
    assert worth == expected[condition.evaluate(said.get)]


@given(bases(), values(), st.sets(st.sampled_from(sorted(KINDS))))
@settings(max_examples=examples(30), deadline=None)
def test_calls(basis: Basis, said: dict[str, Value | None], quiet: set[str]) -> None:
    """For any little tree and any answers, the formula goes the way the call goes.

    Of what belongs to a topic, some callers tell nothing out of turn.
    """
    tree = basis.tree
    untold = {name for name in quiet if tree.questions[name].gate is not None}
    said = {
        name: value if value is not None or tree.questions[name].unknown_allowed else _any(name)
        for name, value in said.items()
    }
    answers = tuple(
        Answer(n, said_as(tree.questions[n], value)) for n, value in said.items() if n not in untold
    )
    call = Call(DAY, answers=answers)
    now = state_so_far(basis, call)
    # One of an open topic would be asked, and so answered; a stop told out of turn hides that.
    steps, _ = walk(tree, call.latest(), Facts(basis, call.system), DAY, lambda *_: False)
    assume(now.finished and all(step.status != "open" for step in steps))
    walked = Walked(tree, False)
    solving = Solving(walked)
    facts = [solving.saying(name, value) for name, value in said.items() if name not in untold]
    for name in tree.questions:
        for when in ("", " after a stop"):
            told = walked.logic.truth(f"{name} is told out of turn{when}")
            facts.append(z3.Not(told) if name in untold else told)
    asked = {step.question.name for step in now.steps}
    raised = {each.caution.name for each in now.cautions}
    comes_up = walked.comes_up
    truths: list[tuple[Any, bool]] = [(comes_up["question"][n], n in asked) for n in tree.questions]
    truths += [(comes_up["caution"][c.name], c.name in raised) for c in tree.cautions]
    truths += [(walked.stopped, now.stopped is not None)]
    truths += [(comes_up["advice"]["advice"], bool(now.advice))]
    same = [holds if real else z3.Not(holds) for holds, real in truths]
    assert solving.can_be(*facts, walked.none_lifted, *same) == "yes"
    assert solving.can_be(*facts, walked.none_lifted, z3.Not(z3.And(*same))) == "no"


def _any(name: str) -> Value:
    question = plain_question(name)
    match question.answer:
        case "yes-no":
            return True
        case "choice":
            return next(iter(question.choices))
        case "choices":
            return frozenset({next(iter(question.choices))})
        case "date":
            return DAY
        case "text":
            return "something"
        case _:
            return 20.0
