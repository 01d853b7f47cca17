"""Differences in the routes of questions."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from consult.content.changes.conditions import said
from consult.content.changes.words import Change, Weight, moved, named, only_in
from consult.tree.model import END

if TYPE_CHECKING:
    from consult.tree.model import Question, Route, Tree


def route_changes(old: Question, new: Question, trees: tuple[Tree, Tree]) -> Iterator[Change]:
    """Routes that were added, removed, changed or reordered."""
    before, after = (_by_condition(question.routes) for question in (old, new))
    at = f"After {named(old.name)}"
    is_grave = old.sets == "consent" or bool(old.signs)

    def when(route: Route, asked: Question) -> str:
        if route.when is None:
            return "otherwise" if len(asked.routes) > 1 else "always"
        return f"when {said(route.when, trees[1] if asked is new else trees[0])}"

    def change(text: str, *routes: Route) -> Change:
        if not is_grave and not any(_is_grave(route, tree) for route in routes for tree in trees):
            return Change(Weight.WAY, text)
        return Change(Weight.SAFETY, text, f"question.{old.name}", weaker=True)

    for key in only_in(before, after):
        route = before[key]
        text = f"{at}, the route to {_to(route)} {when(route, old)} was removed."
        yield change(text, route)
    for key in only_in(after, before):
        route = after[key]
        text = f"{at}, a route to {_to(route)} {when(route, new)} is new."
        yield change(text, route)
    for key, route in before.items():
        other = after.get(key)
        if other is not None and other.go != route.go:
            how = when(other, new)
            text = f"{at}, the call {how} goes to {_to(other)} now; before, to {_to(route)}."
            yield change(text, route, other)
    for key, behind in moved(list(before), list(after)):
        place = f"after the one to {_to(after[behind])}" if behind else "first"
        route = after[key]
        text = f"{at}, the route to {_to(route)} {when(route, new)} is now tried {place}."
        yield change(text, route)


def _is_grave(route: Route, tree: Tree) -> bool:
    """Whether a route leads to warning signs, or reads what was said to consent."""
    to = tree.questions.get(route.go)
    if to is not None and to.signs:
        return True
    read = () if route.when is None else route.when.names
    return any(name in tree.questions and tree.questions[name].sets == "consent" for name in read)


def _by_condition(routes: tuple[Route, ...]) -> dict[tuple[str, int], Route]:
    """Routes by what they ask; two that ask the same are told apart by their order."""
    found: dict[tuple[str, int], Route] = {}
    for route in routes:
        text = "" if route.when is None else " ".join(route.when.text.split())
        twin = sum(1 for known, _ in found if known == text)
        found[text, twin] = route
    return found


def _to(route: Route) -> str:
    return "the end of the call" if route.go == END else named(route.go)
