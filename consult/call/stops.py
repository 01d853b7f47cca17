"""Stops in force: once raised a stop holds until it is lifted with a reason, whatever is amended.

A slip of the finger is lifted like any other stop, so that nobody is fitted a chair unaware. What
was lifted is raised anew by a later answer to a question it reads.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from consult.problems import Where
from consult.tree.condition import parse_condition
from consult.tree.model import Caution

if TYPE_CHECKING:
    from collections.abc import Iterable

    from consult.call.call import Call, Handled
    from consult.tree.model import Question, Tree

WITHHELD = Caution(
    name="",
    where=Where("", 1, 1),
    level="stop",
    when=parse_condition("yes"),
    say="This call was stopped for safety; why was not kept. Ask again before any chair advice.",
)
"""A stop of an earlier part of the call whose reason may not be kept."""


def stops_of(tree: Tree, call: Call) -> list[Caution]:
    """Every stop that could hold in this call."""
    own = [caution for caution in tree.cautions if caution.level == "stop"]
    known = any(one.caution == WITHHELD.name for one in call.handled)
    return [*own, WITHHELD] if known else own


def latched(call: Call, caution: Caution) -> bool:
    """Whether a stop was told to the caller and not lifted since."""
    last = _last(call, caution)
    return last is not None and not last.lifted


def said_to_caller(call: Call, caution: Caution) -> Handled | None:
    """When a caution was last said to the caller."""
    last = _last(call, caution)
    return last if last is not None and not last.lifted else None


def lifted(call: Call, caution: Caution) -> Handled | None:
    """How a stop was lifted; None where it was not, or where a later answer bears on it again."""
    last = _last(call, caution)
    if last is None or not last.lifted:
        return None
    since = {answer.question for answer in call.answers[last.after :]}
    return None if since & caution.when.names else last


def warning_questions(tree: Tree) -> tuple[Question, ...]:
    """The questions about warning signs: those about health that a stop reads, in tree order.

    What is asked only after another answer, such as how a knee hurts, is no list to read out.
    """
    read: set[str] = set()
    for caution in tree.cautions:
        if caution.level == "stop":
            read |= caution.when.names
    return tuple(
        one
        for name, one in tree.questions.items()
        if name in read and one.private == "health" and not one.asked_if
    )


def health_off_the_way(tree: Tree, call: Call, on_the_way: Iterable[str]) -> tuple[str, ...]:
    """Answered questions about health that the way does not lead past.

    A caller may mention a sign before consent was asked, or after it was refused: that is no
    ground to fit a chair as if it had not been said.
    """
    passed = set(on_the_way)
    return tuple(
        name
        for name in call.latest()
        if name not in passed
        and name in tree.questions
        and tree.questions[name].private == "health"
    )


def _last(call: Call, caution: Caution) -> Handled | None:
    return next((one for one in reversed(call.handled) if one.caution == caution.name), None)
