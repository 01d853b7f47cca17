"""Whether the tree asks a caller about every warning sign that is true of them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from consult.call.call import Answer
from consult.call.facts import Facts
from consult.call.route import walk
from consult.practice import caller_file
from consult.practice.marking.evidence import facts_of, learn
from consult.practice.truth import SOME_DAY
from consult.problems import Problem

if TYPE_CHECKING:
    from consult.call.basis import Basis
    from consult.marked.marks import Marked
    from consult.practice.model import Persona


def sign_problems(marked: Marked, persona: Persona, basis: Basis) -> Iterator[Problem]:
    """A warning for each stop or referral that is true of a caller and that no question finds.

    Stops are ignored on the way, so that each of several signs is looked for. A sign may be found
    by a remark where the caller also hears the list: then the adviser knows that it is one.
    """
    true, found = facts_of(basis, persona.truth), Facts(basis, "metric")
    answers = {name: Answer(name, said) for name, said in persona.truth.items()}
    steps, _ = walk(basis.tree, answers, found, SOME_DAY, lambda *_: False)
    asked = {step.question.name for step in steps}
    if any(step.question.signs for step in steps):
        for one in persona.behaviours:
            if one.kind == "sign_in_passing":
                learn(found, one.about, one.answer)
    for caution in basis.tree.cautions:
        names = caution.when.names
        if caution.level == "note" or any("." in name for name in names):
            continue
        if caution.when.evaluate(true.lookup) is not True or caution.when.evaluate(found.lookup):
            continue
        listed = caller_file.listed_truth(marked)
        stated = [name for name in listed if name in names and name not in asked]
        where = marked.value("truth", stated[0]) if stated else marked.key(caller_file.KEY)
        calls_for = caution.name.replace("_", " ")
        said = f"The tree never asks this caller about the sign for '{calls_for}'."
        fix = "Change an answer that leads past that question, or delete the sign."
        yield Problem(where, said, fix, "sign-never-asked", "warning")
