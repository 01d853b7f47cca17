"""The usual order of the names in each kind of block, as the trees have it."""

from __future__ import annotations

from collections.abc import Mapping

from consult.marked.marks import Steps

_TREE = (
    *("tree", "title", "version", "first", "after_stop", "works_out"),
    *("questions", "cautions", "advice", "needs", "always"),
)
_QUESTION = (
    *(
        "include",
        "topic",
        "title",
        "changes",
        "open_when",
        "ask",
        "coach",
        "called",
        "answer",
        "unknown",
        "choices",
        "exclusive",
        "unit",
    ),
    *(
        "expect",
        "measures",
        "sets",
        "card",
        "read_by",
        "private",
        "skip_when",
        "ask_when",
        "best_of",
        "next",
    ),
)
_ITEMS = {
    "next": ("when", "go", "otherwise"),
    "cautions": ("name", "level", "when", "say", "contact", "source"),
    "advice": (
        *("name", "topic", "moves", "may_move", "when", "say", "because", "source"),
        *("contradicts", "employer"),
    ),
    "needs": ("name", "when", "feature", "strength", "because", "source"),
    "always": ("name", "when", "then", "because", "source"),
}
SECTIONS = ("cautions", "advice", "needs", "always")
"""The lists of a tree, each with an empty line before it."""


def usual_order(steps: Steps) -> tuple[str, ...]:
    """The names of the block at ``steps``, in order; empty where any order will do."""
    if not steps:
        return _TREE
    if len(steps) == 2 and steps[0] == "questions":
        return _QUESTION
    if isinstance(steps[-1], int) and len(steps) >= 2:
        return _ITEMS.get(str(steps[-2]), ())
    return ()


def in_usual_order(steps: Steps, fields: Mapping[str, object]) -> dict[str, object]:
    """The fields of a new block as the trees have them, names not known to it last."""
    order = usual_order(steps)
    known = [name for name in order if name in fields]
    return {name: fields[name] for name in (*known, *(n for n in fields if n not in order))}


def usual_place(steps: Steps, names: list[str], name: str) -> int:
    """At which of the names of a block a new one goes in."""
    order = usual_order(steps)
    if name not in order:
        return len(names)
    before = order[: order.index(name)]
    return max((index + 1 for index, each in enumerate(names) if each in before), default=0)
