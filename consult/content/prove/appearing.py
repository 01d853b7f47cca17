"""For everything a tree can ask, say or call for: a caller who gets it, or that there is none."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from consult.content.prove.model import Part, Witness
from consult.content.prove.trying import Held
from consult.problems import Problem
from consult.tree.model import END
from consult.tree.nodes import YesNo

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from consult.content.prove.seeking import Seeking
    from consult.content.prove.symbols import Formula
    from consult.content.prove.walk import Walked
    from consult.problems import Severity, Where
    from consult.tree.condition import Condition
    from consult.tree.model import Tree

_SEVERITY: Mapping[Part, Severity] = {
    "question": "error",
    "caution": "error",
    "advice": "warning",
    "need": "warning",
}
"""A caution that nobody hears can hurt somebody; dead advice is only clutter."""


@dataclass(frozen=True, slots=True, eq=False)
class Item:
    """One thing that can appear in a call."""

    part: Part
    name: str
    where: Where
    when: Condition | None
    appears: Callable[[Held, str], bool]


def items(tree: Tree) -> Iterator[Item]:
    """Everything that can appear, in the order of the tree; not a question that is switched off,
    as that for a fabric is where the range lists none."""
    for question in tree.questions.values():
        never = question.skip_when.node if question.skip_when is not None else None
        if isinstance(never, YesNo) and never.value:
            continue
        yield Item("question", question.name, question.where, None, Held.asked)
    for caution in tree.cautions:
        yield Item("caution", caution.name, caution.where, caution.when, Held.cautioned)
    for advice in tree.advice:
        yield Item("advice", advice.name, advice.where, advice.when, Held.advised)
    for need in tree.needs:
        yield Item("need", need.name, need.where, need.when, Held.needs)


def witness(item: Item, seeking: Seeking) -> Witness:
    """Somebody who gets it."""
    walked = seeking.solving.walked if seeking.solving else None
    formula = formulas(walked)[item.part][item.name] if walked else None
    names = item.when.names if item.when else frozenset[str]()
    found, caller = seeking.find(formula, lambda held: item.appears(held, item.name), names)
    return Witness(item.part, item.name, item.where, found, caller)


def possible(item: Item, seeking: Seeking) -> Witness:
    """Whether nobody can get it; who does is not looked for."""
    solving = seeking.solving
    formula = formulas(solving.walked)[item.part][item.name] if solving else None
    nobody = solving is not None and solving.can_be(formula) == "no"
    return Witness(item.part, item.name, item.where, "impossible" if nobody else "not found", None)


def formulas(walked: Walked) -> Mapping[Part, Mapping[str, Formula]]:
    """That something appears, for each part and name."""
    return {
        "question": walked.asked,
        "caution": walked.cautions,
        "advice": walked.advice,
        "need": walked.needs,
    }


def appearing_problems(tree: Tree, found: list[Witness], seeking: Seeking) -> Iterator[Problem]:
    """What nobody can get, and what everybody gets although a condition stands before it."""
    impossible = {each.name for each in found if each.found == "impossible"}
    lost = {each.name for each in found if each.part == "question" and each.name in impossible}
    for each, item in zip(found, items(tree), strict=True):
        if each.found == "impossible" and not _behind(tree, item, lost):
            said = _never(item)
            yield Problem(item.where, said, _fix(item), "never-reached", _SEVERITY[item.part])
        if item.when is not None and _everybody(item, seeking):
            said = (
                f"Everybody gets the {item.part} '{item.name}': '{item.when.text}' is always true."
            )
            fix = "Write when: yes if that is meant, or correct the condition."
            yield Problem(item.where, said, fix, "always-true", "warning")


def _behind(tree: Tree, item: Item, lost: set[str]) -> bool:
    """Whether it stands behind a question nobody reaches, which is told in its stead."""
    if item.part != "question":
        return False
    coming = [
        name
        for name, question in tree.questions.items()
        if any(route.go == item.name for route in question.routes if route.go != END)
    ]
    return bool(coming) and all(name in lost for name in coming)


def _never(item: Item) -> str:
    if item.part == "question":
        return f"No caller can ever be asked '{item.name}', whatever is answered before it."
    when = item.when.text if item.when else ""
    return f"No caller can ever get the {item.part} '{item.name}': '{when}' is never true."


def _fix(item: Item) -> str:
    if item.part == "question":
        return "Look at the conditions of the routes that lead to it, and at its skip_when."
    return "Correct the condition: one of its answers rules out another, or is never asked for."


def _everybody(item: Item, seeking: Seeking) -> bool:
    solving = seeking.solving
    if solving is None or item.when is None or isinstance(item.when.node, YesNo):
        return False
    logic, walked = solving.walked.logic, solving.walked
    not_given = [logic.no(formulas(walked)[item.part][item.name])]
    if item.part != "caution":
        not_given.append(logic.no(walked.stopped))
    return solving.can_be(*not_given) == "no" and solving.can_be(logic.no(walked.stopped)) == "yes"
