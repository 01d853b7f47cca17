"""Topics: parts of a tree that somebody opens, and what opens each."""

from __future__ import annotations

import re
from collections.abc import Sequence

from consult.problems import nearest
from consult.tree.condition import Condition, parse_condition
from consult.tree.constant import Written
from consult.tree.draft import Block, Draft
from consult.tree.model import TOPICS
from consult.tree.nodes import ChoiceName, Compare, Name, Node, Or
from consult.tree.questions import choices_of
from consult.tree.routes import Graph, landing, reached_from, roots_of


def openers(draft: Draft) -> dict[str, Block]:
    """The questions whose answers open topics."""
    return {name: one for name, one in draft.questions.items() if one.data.get("sets") == TOPICS}


def offered(block: Block) -> list[str]:
    """The topics that a question offers to open, as written."""
    return [choice for choice in choices_of(block) if choice != block.text("exclusive")]


def gate_of(topic: str, draft: Draft) -> Condition:
    """When a topic is open, as one condition."""
    nodes: list[Node] = []
    texts: list[str] = []
    names: set[str] = set()
    if "open_when" in draft.topics[topic].data:
        written = parse_condition(draft.topics[topic].text("open_when") or "")
        nodes.append(written.resolve(draft.questions.keys()).node)
        texts.append(f"({written.text})")
        names |= written.names
    for name, block in openers(draft).items():
        if topic in offered(block):
            nodes.append(Compare((ChoiceName(topic, 0), Name(name, 0)), ("in",), 0))
            texts.append(f"{topic} in {name}")
            names.add(name)
    node = nodes[0] if len(nodes) == 1 else Or(tuple(nodes), 0)
    return Condition(" or ".join(texts), node, frozenset(names))


def check_topics(conditions: Sequence[Written], graph: Graph, draft: Draft) -> None:
    """Note topics that cannot be opened, or too late, and what must not stand in one."""
    asking = openers(draft)
    for name, block in asking.items():
        for choice in offered(block):
            if choice not in draft.topics:
                said = f"'{name}' opens topics, but there is no topic '{choice}'."
                fix = nearest(choice, draft.topics) or "Add a step with topic:, or delete it here."
                draft.says(block.key("choices", choice), "unknown-topic", said, fix)
    if not draft.topics:
        return
    advisers = [name for name, one in asking.items() if reads_itself(name, one.text("ask_when"))]
    if not advisers:
        said = "This tree has topics, but no question that the adviser opens them by."
        fix = "Add answer: choices with sets: topics and ask_when: known(its own name)."
        draft.says(next(iter(draft.topics.values())).key(), "no-adviser", said, fix)
    for topic, block in draft.topics.items():
        opening = [name for name, one in asking.items() if topic in offered(one)]
        if not opening and "open_when" not in block.data:
            said = f"The topic '{topic}' can never be opened."
            fix = "Make it a choice of the questions with sets: topics, or give it an open_when."
            draft.says(block.key(), "never-opened", said, fix)
        elif advisers and not set(advisers) & set(opening):
            said = f"The adviser cannot open the topic '{topic}'."
            draft.says(block.key(), "never-opened", said, f"Make it a choice of '{advisers[0]}'.")
    _check_safety(draft)
    if draft.whole:
        _check_order(graph, asking, advisers, draft)
        _check_open_when(conditions, graph, draft)


def reads_itself(name: str, ask_when: str | None) -> bool:
    """Whether a question reads its own answer, as written: once told it is on the way."""
    return re.search(rf"\b{re.escape(name)}\b", ask_when or "") is not None


def _first(topic: str, draft: Draft) -> str | None:
    """The question a topic begins with."""
    return landing(draft.included_by[topic], next(iter(draft.tops)), draft)


def _check_order(graph: Graph, asking: dict[str, Block], advisers: list[str], draft: Draft) -> None:
    roots = roots_of(draft)[:1]
    for topic, step in draft.topics.items():
        first = _first(topic, draft)
        if first is None:
            continue
        for name, block in asking.items():
            if topic not in offered(block):
                continue
            place = block.key("choices", topic)
            if first not in reached_from(graph, [edge.to for edge in graph[name]]):
                said = (
                    f"'{name}' opens the topic '{topic}' too late: no route leads from it to the "
                    "topic."
                )
                draft.says(place, "opened-too-late", said, f"Ask '{name}' before the topic.")
            elif name in advisers and first in reached_from(graph, roots, without=[name]):
                said = f"A call can come to the topic '{topic}' past '{name}', by which the adviser"
                fix = f"Make every route to '{step.steps[-1]}' pass '{name}'."
                draft.says(place, "opened-too-late", f"{said} opens it.", fix)


def _check_open_when(conditions: Sequence[Written], graph: Graph, draft: Draft) -> None:
    """Note what an ``open_when`` reads that is never asked before its topic."""
    for each in conditions:
        if each.part != "open_when":
            continue
        topic = each.block.text("topic") or ""
        first = _first(topic, draft)
        for name in sorted(each.condition.names & graph.keys()):
            if first not in (None, *reached_from(graph, [edge.to for edge in graph[name]])):
                said = f"The topic '{topic}' opens too late: '{name}' is not asked before it."
                fix = f"Ask '{name}' first, or open the topic with another answer."
                draft.says(each.block.place("open_when"), "opened-too-late", said, fix)


def _check_safety(draft: Draft) -> None:
    """What everybody hears cannot wait until somebody opens a topic."""
    for name, block in draft.questions.items():
        topic = draft.topic_of(name)
        if topic is None:
            continue
        what = "asks about warning signs" if "signs" in block.data else ""
        if block.data.get("sets") == "consent":
            what = "asks for consent"
        if what:
            said = f"'{name}' {what}, so it cannot be in the topic '{topic}'."
            fix = "Ask it of everybody, in the main tree or an ordinary sub-tree."
            draft.says(block.key(), "floor-topic", said, fix)
