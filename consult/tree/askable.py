"""Blanks that nobody can have filled yet: a text that names a question which comes later."""

from __future__ import annotations

from consult.tree.draft import Draft
from consult.tree.model import END
from consult.tree.placeholders import blanks
from consult.tree.routes import Graph, reached_from, roots_of


def check_askable(graph: Graph, draft: Draft) -> None:
    """Note each blank in ``ask`` or ``coach`` for a question that no way leads past before."""
    found = [
        (name, steps, blank, offset)
        for name, block in draft.questions.items()
        for steps in (("ask",), ("coach",))
        for blank, offset in blanks(block.text(*steps) or "")
        if blank in draft.questions
    ]
    if not found or not draft.whole:
        return
    before = _before(graph, roots_of(draft))
    if before is None:
        return
    order = {name: index for index, name in enumerate(graph)}
    for name, steps, blank, offset in found:
        if name not in before or before[name] >> order[blank] & 1:
            continue
        block = draft.questions[name]
        where = block.marked.inside((*block.steps, *steps), offset)
        said = f"<{blank}> cannot be filled in here: '{blank}' is never asked before '{name}'."
        fix = f"Ask '{blank}' first, or delete the blank."
        draft.says(where, "blank-too-early", said, fix, warning=True)


def _before(graph: Graph, roots: list[str]) -> dict[str, int] | None:
    """For each question that is reached, the set of those that can be asked before it.

    Bit *n* stands for the question in place *n* of the graph. None where calls can go round in a
    circle, which is told elsewhere.
    """
    order = {name: index for index, name in enumerate(graph)}
    ordered = _in_order(graph, roots)
    if ordered is None:
        return None
    before = dict.fromkeys(ordered, 0)
    for name in ordered:
        past = before[name] | 1 << order[name]
        for edge in graph[name]:
            if edge.to != END:
                before[edge.to] |= past
    # A stop can end product advice anywhere, and the call goes on at the second root.
    anything = sum(1 << order[each] for each in ordered)
    for name in reached_from(graph, roots[1:]):
        before[name] |= anything & ~(1 << order[name])
    return before


def _in_order(graph: Graph, roots: list[str]) -> list[str] | None:
    """Every question that is reached, each after all that lead to it."""
    met = reached_from(graph, roots)
    reached = [name for name in graph if name in met]
    waiting_for = dict.fromkeys(reached, 0)
    for name in reached:
        for edge in graph[name]:
            if edge.to != END:
                waiting_for[edge.to] += 1
    free = [name for name, count in waiting_for.items() if not count]
    ordered = []
    while free:
        name = free.pop()
        ordered.append(name)
        for edge in graph[name]:
            if edge.to != END:
                waiting_for[edge.to] -= 1
                if not waiting_for[edge.to]:
                    free.append(edge.to)
    return ordered if len(ordered) == len(reached) else None
