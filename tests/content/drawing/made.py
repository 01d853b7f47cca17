"""Trees made up for tests, without a file."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from random import Random
from typing import Any

from consult.problems import Where
from consult.tree.condition import Condition, parse_condition
from consult.tree.model import Caution, Question, Route, Tree

FILE = "trees/made_up.yaml"


def question(name: str, answer: Any = "yes-no", *, line: int = 1, **more: Any) -> Question:
    """A question; ``next`` is where it goes on, ``routes`` pairs of condition and place."""
    goes = more.pop("next", None)
    pairs: Iterable[tuple[str | None, str]] = more.pop("routes", [(None, goes or "end")])
    file = more.pop("file", FILE)
    skip = more.pop("skip_when", None)
    return Question(
        name=name,
        where=Where(file, line, 1),
        ask=more.pop("ask", f"What about {name}?"),
        answer=answer,
        routes=tuple(
            Route(parse_condition(when) if when else None, go, Where(file, line, 5))
            for when, go in pairs
        ),
        skip_when=parse_condition(skip) if skip else None,
        **more,
    )


def stop(name: str, when: str, say: str = "Stop.", level: Any = "stop", **more: Any) -> Caution:
    return Caution(name, Where(FILE, 1, 1), level, parse_condition(when), say, **more)


def tree(questions: Iterable[Question], **more: Any) -> Tree:
    """A tree of these questions; conditions are resolved as the loader does it."""
    found = {one.name: one for one in questions}
    return Tree(
        name=more.pop("name", "made_up"),
        title=more.pop("title", "Made up"),
        version=more.pop("version", "1"),
        first=more.pop("first", next(iter(found))),
        questions=found,
        cautions=tuple(more.pop("cautions", ())),
        advice=tuple(more.pop("advice", ())),
        needs=tuple(more.pop("needs", ())),
        files=more.pop("files", (FILE,)),
        **more,
    )


def condition(text: str, of: Tree) -> Condition:
    """A condition as the loader hands it out."""
    return parse_condition(text).resolve(of.questions.keys())


SITES: Mapping[str, str] = {
    "none": "Nowhere",
    "neck": "Neck",
    "lower_back": "Lower back",
    "hips": "Hips or seat bones",
}


def small() -> Tree:
    """One question of each kind."""
    return tree(
        [
            question("consent"),
            question("pain_sites", "choices", choices=SITES, exclusive="none"),
            question("tasks", "choices", choices={"phone": "Telephone", "paper": "Paper"}),
            question("desk_kind", "choice", choices={"fixed": "Fixed height", "moves": "It moves"}),
            question("desk_height", "length", unit="cm"),
            question("chair_height", "length", unit="cm"),
            question("weight", "mass", unit="kg"),
            question("hours", "count"),
            question("day", "date"),
            question("other_day", "date"),
            question("words", "text"),
        ]
    )


def big(count: int, seed: int = 4) -> Tree:
    """A tree of many questions with routes that jump, sub-trees, and stops."""
    dice = Random(seed)
    found = []
    for at in range(count):
        ahead = f"q{at + 1}" if at + 1 < count else "end"
        far = f"q{min(count - 1, at + dice.randint(2, 9))}" if at + 1 < count else "end"
        file = f"trees/sub_{at // 12}.yaml" if at > 3 else FILE
        ask = "What about this, and how is it " * dice.randint(1, 8)
        kind = dice.random()
        if kind < 0.3:
            routes = [(f"q{at}", far), (None, ahead)]
            found.append(question(f"q{at}", ask=ask, file=file, routes=routes))
        elif kind < 0.4:
            choices = {"a": "One of them " * dice.randint(1, 20), "b": "Two"}
            routes = [(f"q{at} == a", far), (f"q{at} == b", ahead), (None, far)]
            found.append(
                question(f"q{at}", "choice", choices=choices, ask=ask, file=file, routes=routes)
            )
        else:
            skip = f"known(q{at - 3})" if at > 3 else None
            private = "health" if kind > 0.9 else None
            more: dict[str, Any] = {
                "unit": "cm",
                "expect": (300.0, 520.0),
                "skip_when": skip,
                "private": private,
            }
            found.append(question(f"q{at}", "length", ask=ask, file=file, next=ahead, **more))
    stops = [stop("one", "q2"), stop("two", f"known(q{count // 2})")]
    return tree(found, cautions=stops, after_stop=f"q{count - 3}", title="Made up, and large")
