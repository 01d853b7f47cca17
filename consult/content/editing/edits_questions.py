"""Edits as the content lead thinks of them: a question, a choice, a route, a caution."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any

from consult.content.editing.edits import add_item, delete, set_data, set_value
from consult.content.editing.patching import Refused, spans_of
from consult.marked.marks import Steps
from consult.marked.plain import block_at, list_at
from consult.tree.model import END, TOPICS

_SCHEMA_LINE = re.compile(r"# yaml-language-server: \$schema=\S*tree\.schema\.json")


def add_question(text: str, name: str, after: str | None, fields: Mapping[str, object]) -> str:
    """A new question below another; at the end where ``after`` is None.

    Where ``fields`` says no ``next``, the question takes its place in the call too: it leads where
    ``after`` led, and ``after`` leads to it. A question with routes is not touched that way.
    """
    new = dict(fields)
    if "next" in new:
        return add_item(text, ("questions",), name, new, _below(text, after))
    if after is None:
        raise Refused("Choose the next question.")
    _question(text, after)
    following = spans_of(text).at(("questions", after, "next"))
    if not isinstance(following, str):
        raise Refused(f"'{after}' has several routes. Choose the next question.")
    new["next"] = following
    added = add_item(text, ("questions",), name, new, _below(text, after))
    return set_value(added, ("questions", after, "next"), name)


def question_after(text: str, after: str | None, name: str, ask: str) -> str:
    """A question put in behind another: that one leads to it, and it leads on as that one did.

    Of several ways it takes the one without a condition. Where ``after`` is None, it is the last.
    """
    way = _plain_way(text, after) if after else None
    onward = str(spans_of(text).at(way)) if way else END
    new = add_question(text, name, after, {"ask": ask, "answer": "yes-no", "next": onward})
    return set_value(new, way, name) if way else new


def _plain_way(text: str, question: str) -> Steps | None:
    """The way on that has no condition."""
    steps: Steps = ("questions", question, "next")
    following = spans_of(text).at(steps)
    if isinstance(following, str):
        return steps
    for index, way in enumerate(list_at(following)):
        if "otherwise" in block_at(way):
            return (*steps, index, "otherwise")
    return None


def add_include(text: str, name: str, tree: str, after: str | None) -> str:
    """A step that runs another tree, below a question; it takes its place as ``add_question``
    says."""
    return add_question(text, name, after, {"include": tree})


def add_choice(text: str, question: str, name: str, label: str) -> str:
    """A new thing that may be answered, the last."""
    _question(text, question)
    return add_item(text, ("questions", question, "choices"), name, label)


def add_share(text: str, question: str, choice: str) -> str:
    """A new choice among the simulated callers, given as often as any other.

    The others give way in proportion. A question without shares is left alone: it has even ones.
    """
    block = spans_of(text).at(("questions", question))
    for key in ("shares", "chances") if isinstance(block, dict) else ():
        known = block.get(key)
        if not isinstance(known, dict) or choice in known:
            continue
        if not all(isinstance(number, (int, float)) for number in known.values()):
            continue
        own = round(100 / (len(known) + 1))
        steps: Steps = ("questions", question, key)
        if key == "shares" and sum(known.values()):
            left = (100 - own) / sum(known.values())
            shares = {name: round(share * left) for name, share in known.items()}
            # What rounding took or gave goes to the commonest.
            shares[max(shares, key=lambda name: shares[name])] += 100 - own - sum(shares.values())
            for name, share in shares.items():
                text = set_value(text, (*steps, name), str(share))
        text = set_data(text, (*steps, choice), own)
    return text


def add_route(text: str, question: str, when: str, go: str) -> str:
    """Add a route with a condition, before the ``otherwise``.

    A question with one way on gets routes, and the one way becomes the ``otherwise``.
    """
    way = {"when": when, "go": go}
    steps: Steps = ("questions", question, "next")
    _question(text, question)
    following = spans_of(text).at(steps)
    if not isinstance(following, list):
        routes = [way] if following is None else [way, {"otherwise": str(following)}]
        return set_data(text, steps, routes)
    last = len(following)
    if "otherwise" in block_at(following, last - 1):
        last -= 1
    return add_item(text, steps, None, way, last)


def without_route(text: str, question: str, index: int) -> str:
    """A route taken out; where only the one without a condition is left, it is written plainly."""
    steps: Steps = ("questions", question, "next")
    following = spans_of(text).at(steps)
    left = [way for at, way in enumerate(following) if at != index]
    if len(left) == 1 and "otherwise" in block_at(left, 0):
        return set_value(text, steps, str(left[0]["otherwise"]))
    return delete(text, (*steps, index))


def _question(text: str, name: str) -> None:
    if not isinstance(spans_of(text).at(("questions", name)), dict):
        raise Refused(f"There is no question '{name}' in this file.")


def _below(text: str, after: str | None) -> int | None:
    if after is None:
        return None
    _question(text, after)
    return [*spans_of(text).at(("questions",))].index(after) + 1


# -- edits groups ---------------------------------------------------------------------------------
# Edits of pools and topics: a question into a pool and out of it, a topic in a file of its own.

ADVISER = "topics_opened"
"""The adviser's question, where a tree has none yet."""


def add_pool(text: str, name: str, question: str) -> str:
    """A pool in the place of a question, which is then asked in it."""
    at = [*_questions(text)].index(question) if question in _questions(text) else None
    onward = _only_way(text, question)
    new = delete(led(text, question, name), ("questions", question, "next"))
    fields = {"best_of": [question], "next": onward}
    return add_item(new, ("questions",), name, fields, at)


def into_pool(text: str, pool: str, question: str) -> str:
    """A question asked last in a pool; whatever led to it leads to where it led."""
    held = next((name for name, questions in _pools(text).items() if question in questions), None)
    if held is not None:
        raise Refused(f"'{question}' is already asked in the pool '{held}'.")
    onward = _only_way(text, question)
    new = delete(led(text, question, onward), ("questions", question, "next"))
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
    asking = next(
        (name for name, question in _questions(text).items() if _is_adviser(name, question)), None
    )
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


def with_schema_line(text: str, beside: str) -> str:
    """A new tree with the line that tells text editors its shape, where the tree beside has it."""
    line = beside.partition("\n")[0]
    return f"{line}\n{text}" if _SCHEMA_LINE.fullmatch(line.rstrip()) else text


def _questions(text: str) -> Mapping[str, Any]:
    return block_at(spans_of(text).data, "questions")


def _pools(text: str) -> dict[str, list[str]]:
    return {
        name: [str(member) for member in question["best_of"]]
        for name, question in _questions(text).items()
        if isinstance(block_at(question).get("best_of"), list)
    }


def _is_adviser(name: str, block: Any) -> bool:
    if block_at(block).get("sets") != TOPICS:
        return False
    # All that conditions need is not wanted before somebody adds a topic.
    from consult.tree.routes import reads_itself

    return reads_itself(name, str(block.get("ask_when", "")))


def _only_way(text: str, question: str) -> str:
    block = block_at(_questions(text), question)
    if "ask" not in block:
        raise Refused(f"There is no question '{question}' in this file.")
    following = block.get("next")
    if not isinstance(following, str):
        raise Refused(f"'{question}' has several routes, so it cannot be put in a pool.")
    return following


def led(text: str, old: str, new: str, *, after_stop: bool = True) -> str:
    """What leads to one step leads to another; ``after_stop``: what a stop leads to as well."""
    for steps in list(_leading(spans_of(text).data, old)):
        if after_stop or steps != ("after_stop",):
            text = set_value(text, steps, new)
    return text


def _leading(data: Any, name: str) -> Iterator[Steps]:
    for key in ("first", "after_stop"):
        if data.get(key) == name:
            yield (key,)
    for step, block in data["questions"].items():
        following = block_at(block).get("next")
        if following == name:
            yield ("questions", step, "next")
        for index, way in enumerate(list_at(following)):
            for key in ("go", "otherwise"):
                if block_at(way).get(key) == name:
                    yield ("questions", step, "next", index, key)
