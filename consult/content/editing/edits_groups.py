"""Edits of pools and topics: a question into a pool and out of it, a topic in a file of its own."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from consult.content.editing.edits import add_item, delete, set_value
from consult.content.editing.edits_questions import add_choice, add_question
from consult.content.editing.patching import spans_of
from consult.content.editing.refused import Refused
from consult.marked.marks import Steps
from consult.tree.model import END, TOPICS
from consult.tree.topics import reads_itself

ADVISER = "topics_opened"
"""The adviser's question, where a tree has none yet."""


def add_pool(text: str, name: str, question: str) -> str:
    """A pool in the place of a question, which is then asked in it."""
    at = [*_questions(text)].index(question) if question in _questions(text) else None
    onward = _only_way(text, question)
    new = delete(_led(text, question, name), ("questions", question, "next"))
    fields = {"best_of": [question], "next": onward}
    return add_item(new, ("questions",), name, fields, at)


def into_pool(text: str, pool: str, question: str) -> str:
    """A question asked last in a pool; whatever led to it leads to where it led."""
    held = next((name for name, one in _pools(text).items() if question in one), None)
    if held is not None:
        raise Refused(f"'{question}' is already asked in the pool '{held}'.")
    onward = _only_way(text, question)
    new = delete(_led(text, question, onward), ("questions", question, "next"))
    return add_item(new, ("questions", pool, "best_of"), None, question)


def out_of_pool(text: str, pool: str, question: str) -> str:
    """A question taken out of a pool, and asked right after it."""
    new = gone_from_pool(text, pool, question)
    onward = str(_questions(text)[pool].get("next", END))
    new = set_value(new, ("questions", question, "next"), onward)
    return set_value(new, ("questions", pool, "next"), question)


def gone_from_pool(text: str, pool: str, question: str) -> str:
    """A pool without one of its questions."""
    members = _pools(text).get(pool, [])
    if question not in members:
        raise Refused(f"'{question}' is not in the pool '{pool}'.")
    if len(members) == 1:
        raise Refused("A pool needs at least one question. Add another one first.")
    return delete(text, ("questions", pool, "best_of", members.index(question)))


def add_topic(text: str, topic: str, title: str, changes: str, after: str) -> str:
    """A topic that is gone through after a step; the adviser can open it.

    A tree without the adviser's question gets one before it.
    """
    asking = next((name for name, one in _questions(text).items() if _is_adviser(name, one)), None)
    new = text
    if asking is None:
        fields = {
            "ask": "Which topics should be opened?",
            "answer": "choices",
            "sets": TOPICS,
            "ask_when": f"known({ADVISER})",
            "choices": {topic: title},
        }
        new = add_question(new, ADVISER, after, fields)
        after = ADVISER
    else:
        new = add_choice(new, asking, topic, title)
    return add_question(
        new, f"the_{topic}", after, {"topic": topic, "title": title, "changes": changes}
    )


def new_tree(name: str, title: str, version: str, question: str, ask: str) -> str:
    """The text of a new sub-tree with one question."""
    head = f"tree: {name}\ntitle: x\nversion: {version}\nfirst: {question}\nquestions:\n"
    text = add_question(head, question, None, {"ask": ask, "answer": "yes-no", "next": "end"})
    return set_value(text, ("title",), title)


def _questions(text: str) -> Mapping[str, Any]:
    found = spans_of(text).at(("questions",))
    return found if isinstance(found, dict) else {}


def _pools(text: str) -> dict[str, list[str]]:
    return {
        name: [str(each) for each in one["best_of"]]
        for name, one in _questions(text).items()
        if isinstance(one, dict) and isinstance(one.get("best_of"), list)
    }


def _is_adviser(name: str, block: Any) -> bool:
    if not isinstance(block, dict) or block.get("sets") != TOPICS:
        return False
    return reads_itself(name, str(block.get("ask_when", "")))


def _only_way(text: str, question: str) -> str:
    block = _questions(text).get(question)
    if not isinstance(block, dict) or "ask" not in block:
        raise Refused(f"There is no question '{question}' in this file.")
    following = block.get("next")
    if not isinstance(following, str):
        raise Refused(f"'{question}' has several routes, so it cannot be put in a pool.")
    return following


def _led(text: str, old: str, new: str) -> str:
    """What leads to one step leads to another."""
    for steps in list(_leading(spans_of(text).data, old)):
        text = set_value(text, steps, new)
    return text


def _leading(data: Any, name: str) -> Iterator[Steps]:
    for key in ("first", "after_stop"):
        if data.get(key) == name:
            yield (key,)
    for step, block in data["questions"].items():
        following = block.get("next") if isinstance(block, dict) else None
        if following == name:
            yield ("questions", step, "next")
        for index, way in enumerate(following if isinstance(following, list) else ()):
            for key in ("go", "otherwise"):
                if isinstance(way, dict) and way.get(key) == name:
                    yield ("questions", step, "next", index, key)
