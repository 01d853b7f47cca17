"""What is certain of the ways through a tree: gaps, routes nobody takes, questions nobody skips."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from consult.problems import Problem

if TYPE_CHECKING:
    from consult.content.prove.seeking import Seeking
    from consult.content.prove.solving import Solving
    from consult.content.prove.symbols import Formula
    from consult.content.prove.trying import Held
    from consult.tree.model import Question, Route


def way_problems(solving: Solving, seeking: Seeking) -> Iterator[Problem]:
    """Everything about each question that some call comes to."""
    walked = solving.walked
    yield from _topics(solving)
    for name, passed in walked.passed.items():
        question = walked.tree.questions[name]
        if solving.can_be(passed) != "yes":
            continue
        if question.skip_when is not None and solving.can_be(walked.skipped[name]) == "no":
            said = (
                f"No caller ever skips '{name}': '{question.skip_when.text}' is never true there."
            )
            fix = "Delete or correct the skip_when."
            yield Problem(question.where, said, fix, "always-false", "warning")
        # Where everybody is stopped, no route is looked at, and the stop is what there is to see.
        if solving.can_be(walked.tried[name, 0]) == "yes":
            yield from _routes(question, solving)
            yield from _gap(question, solving, seeking)


def _topics(solving: Solving) -> Iterator[Problem]:
    """Topics that no caller's call can open."""
    walked = solving.walked
    for topic in walked.tree.topics.values():
        opened = [
            solving.can_be(walked.passed[name], walked.open[name])
            for name in topic.questions
            if name in walked.open
        ]
        if opened and all(each == "no" for each in opened):
            said = f"The topic '{topic.name}' never opens, whatever is answered."
            fix = "Look at its open_when, and at the questions with sets: topics that name it."
            yield Problem(topic.where, said, fix, "never-opened", "warning")


def _routes(question: Question, solving: Solving) -> Iterator[Problem]:
    walked, name = solving.walked, question.name
    here = walked.tried[name, 0]
    for index, route in enumerate(question.routes):
        tried, true = walked.tried[name, index], walked.true[name, index]
        if route.when is None:
            continue
        if solving.can_be(tried) == "no":
            said = (
                f"This route of '{name}' is never used, because the routes above it cover every "
                "caller."
            )
            yield _never_wins(route, said)
        elif solving.can_be(tried, true) == "no":
            past = " and past the routes above" if _true_somewhere(solving, here, true) else ""
            said = f"This route of '{name}' never wins: '{route.when.text}' is true for no caller "
            yield _never_wins(route, f"{said}who comes here{past}.")
        elif (
            index + 1 < len(question.routes) and solving.can_be(here, walked.logic.no(true)) == "no"
        ):
            said = f"'{route.when.text}' is true for every caller who comes here, so the "
            said += f"routes of '{name}' below this one never win."
            fix = f"Use a plain next: {route.go}, or correct the condition."
            yield Problem(route.where, said, fix, "always-true", "warning")
            return


def _true_somewhere(solving: Solving, here: Formula, true: Formula) -> bool:
    return solving.can_be(here, true) == "yes"


def _never_wins(route: Route, said: str) -> Problem:
    fix = "Correct the condition, or delete the route."
    return Problem(route.where, said, fix, "never-wins", "warning")


def _gap(question: Question, solving: Solving, seeking: Seeking) -> Iterator[Problem]:
    """Callers of whom no route is true; only a draft that lacks an otherwise can have them."""
    conditions = [route.when for route in question.routes if route.when is not None]
    if len(conditions) < len(question.routes):
        return

    def falls_off(held: Held) -> bool:
        # The way ends there, so what is known at the end is what was known there.
        ends = held.now.stopped is None and held.asked(question.name)
        return ends and not any(held.true(condition) for condition in conditions)

    names = frozenset[str]().union(*(condition.names for condition in conditions))
    found, caller = seeking.find(solving.walked.lost[question.name], falls_off, names)
    if found == "impossible":
        return
    said = f"For some caller no route of '{question.name}' may be true."
    if caller is not None:
        said = f"No route of '{question.name}' is true for a caller who says: {caller.says}."
    yield Problem(question.where, said, "Add - otherwise: as the last line.", "gap")
