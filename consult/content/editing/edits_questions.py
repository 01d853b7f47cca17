"""Edits as the content lead thinks of them: a question, a choice, a route, a caution."""

from __future__ import annotations

from collections.abc import Mapping

from consult.content.editing.edits import add_item, set_data, set_value
from consult.content.editing.patching import spans_of
from consult.content.editing.refused import Refused
from consult.marked.marks import Steps


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


def add_include(text: str, name: str, tree: str, after: str | None, then: str | None = None) -> str:
    """A step that runs another tree, below a question; ``then`` is where the call goes on.

    Where ``then`` is None, the step takes its place in the call as ``add_question`` says.
    """
    fields = {"include": tree} if then is None else {"include": tree, "next": then}
    return add_question(text, name, after, fields)


def add_choice(text: str, question: str, name: str, label: str, at: int | None = None) -> str:
    """A new thing that may be answered, at a position or last."""
    _question(text, question)
    return add_item(text, ("questions", question, "choices"), name, label, at)


def add_share(text: str, question: str, choice: str) -> str:
    """A new choice among the simulated callers, given as often as any other.

    The others give way in proportion. A question without shares is left alone: it has even ones.
    """
    block = spans_of(text).at(("questions", question))
    for key in ("shares", "chances") if isinstance(block, dict) else ():
        known = block.get(key)
        if not isinstance(known, dict) or choice in known:
            continue
        if not all(isinstance(one, (int, float)) for one in known.values()):
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


def add_caution(text: str, fields: Mapping[str, object], at: int | None = None) -> str:
    """A new caution, at a position or last."""
    return _add_named(text, "cautions", fields, at)


def add_advice(text: str, fields: Mapping[str, object], at: int | None = None) -> str:
    """New advice, at a position or last."""
    return _add_named(text, "advice", fields, at)


def add_need(text: str, fields: Mapping[str, object], at: int | None = None) -> str:
    """A new need, at a position or last."""
    return _add_named(text, "needs", fields, at)


def add_route(text: str, question: str, when: str, go: str, at: int | None = None) -> str:
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
    if last and isinstance(following[-1], dict) and "otherwise" in following[-1]:
        last -= 1
    return add_item(text, steps, None, way, last if at is None else min(at, last))


def set_route(
    text: str, question: str, index: int, *, when: str | None = None, go: str | None = None
) -> str:
    """Another condition or another place to go for one of the routes; 0 is the first."""
    steps: Steps = ("questions", question, "next", index)
    route = spans_of(text).at(steps)
    if not isinstance(route, dict):
        raise Refused(f"'{question}' has no route {index + 1}.")
    if when is not None:
        if "otherwise" in route:
            raise Refused("The otherwise has no condition. Add a route above it.")
        text = set_value(text, (*steps, "when"), when)
    if go is not None:
        text = set_value(text, (*steps, "otherwise" if "otherwise" in route else "go"), go)
    return text


def single_next(text: str, question: str, go: str | None = None) -> str:
    """One next question instead of routes; that of the ``otherwise``, unless given."""
    steps: Steps = ("questions", question, "next")
    _question(text, question)
    following = spans_of(text).at(steps)
    if go is None and isinstance(following, list):
        last = following[-1]
        go = last.get("otherwise", last.get("go")) if isinstance(last, dict) else None
    if go is None:
        raise Refused("Choose where the call goes next.")
    return set_value(text, steps, go)


def _add_named(text: str, part: str, fields: Mapping[str, object], at: int | None) -> str:
    name = fields.get("name")
    others = spans_of(text).at((part,))
    for other in others if isinstance(others, list) else ():
        if isinstance(other, dict) and name is not None and other.get("name") == name:
            raise Refused(f"One of the {part} is already called '{name}'. Choose another name.")
    return add_item(text, (part,), None, fields, at)


def _question(text: str, name: str) -> None:
    if not isinstance(spans_of(text).at(("questions", name)), dict):
        raise Refused(f"There is no question '{name}' in this file.")


def _below(text: str, after: str | None) -> int | None:
    if after is None:
        return None
    _question(text, after)
    return [*spans_of(text).at(("questions",))].index(after) + 1
