"""Conditions, answers and little trees drawn at random, to be read in two ways and compared."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any, Literal

from hypothesis import strategies as st

from consult.call.basis import Basis
from consult.problems import Where
from consult.tree.condition import Condition
from consult.tree.model import Advice, Caution, Question, Route, Tree
from consult.tree.nodes import (
    And,
    ChoiceName,
    Compare,
    Known,
    Minus,
    Name,
    Node,
    Not,
    Number,
    Or,
    Sum,
    Value,
    YesNo,
    named,
)
from tests.call.calls import seating

HERE = Where("drawn.yaml", 1, 1)
DAY = date(2026, 1, 5)
CHOICES = ("alpha", "beta", "gamma")
KINDS: dict[str, dict[str, Any]] = {
    "p": {"answer": "yes-no"},
    "q": {"answer": "yes-no"},
    "x": {"answer": "count"},
    "y": {"answer": "length", "unit": "in", "expect": (500.0, 900.0)},
    "kind": {"answer": "choice", "choices": dict.fromkeys(CHOICES, "One")},
    "sort": {"answer": "choice", "choices": dict.fromkeys((*CHOICES, "delta"), "One")},
    "sites": {"answer": "choices", "choices": dict.fromkeys(CHOICES, "Some")},
    "signs": {
        "answer": "choices",
        "choices": dict.fromkeys((*CHOICES, "omega"), "Some"),
        "exclusive": "omega",
    },
    "day": {"answer": "date"},
    "other_day": {"answer": "date"},
    "word": {"answer": "text"},
}
Sort = Literal["truth", "number", "choice", "choices", "day"]
_NAMES: dict[Sort, tuple[str, ...]] = {
    "truth": ("p", "q"),
    "number": ("x", "y"),
    "choice": ("kind", "sort"),
    "choices": ("sites", "signs"),
    "day": ("day", "other_day"),
}


def plain_question(name: str, *routes: Route, **more: Any) -> Question:
    """The question of that name in KINDS."""
    return Question(name, HERE, "Well?", routes=routes, **{**KINDS[name], **more})


def values() -> st.SearchStrategy[dict[str, Value | None]]:
    """An answer, in its own unit, or None for each question of KINDS."""
    known: dict[str, st.SearchStrategy[Any]] = {
        "p": st.booleans(),
        "q": st.booleans(),
        "x": st.integers(0, 40).map(lambda quarters: quarters / 4),
        "y": st.integers(40, 300).map(lambda quarters: quarters / 4),
        "kind": st.sampled_from(CHOICES),
        "sort": st.sampled_from((*CHOICES, "delta")),
        "sites": st.frozensets(st.sampled_from(CHOICES), min_size=1),
        "signs": st.frozensets(st.sampled_from(CHOICES), min_size=1)
        | st.just(frozenset({"omega"})),
        "day": st.integers(0, 9).map(lambda days: DAY + timedelta(days)),
        "other_day": st.integers(0, 9).map(lambda days: DAY + timedelta(days)),
        "word": st.just("something"),
    }
    return st.fixed_dictionaries({name: st.none() | one for name, one in known.items()})


def conditions(depth: int = 3) -> st.SearchStrategy[Condition]:
    """Conditions over KINDS, now and then of things that do not go together."""
    return _truths(depth).map(condition)


def condition(node: Node) -> Condition:
    """A condition as the loader makes one; its text is only shown."""
    return Condition("drawn", node, frozenset(each.name for each in named(node)))


def _name(sort: Sort) -> st.SearchStrategy[Node]:
    return st.sampled_from(_NAMES[sort]).map(lambda name: Name(name, 0))


def _things(sort: Sort) -> st.SearchStrategy[Node]:
    match sort:
        case "truth":
            return _name("truth") | st.booleans().map(lambda yes: YesNo(yes, 0))
        case "choice":
            return _name("choice") | st.sampled_from((*CHOICES, "omega")).map(
                lambda name: ChoiceName(name, 0)
            )
        case "number":
            return _numbers(2)
        case _:
            return _name(sort)


def _numbers(depth: int) -> st.SearchStrategy[Node]:
    plain = _name("number") | st.integers(-8, 40).map(lambda n: Number(n / 2, 0))
    if depth == 0:
        return plain
    inner = _numbers(depth - 1)
    reckoned = st.builds(Sum, st.sampled_from(("+", "-", "*", "/")), inner, inner, st.just(0))
    return plain | reckoned | st.builds(Minus, inner, st.just(0))


def _compared() -> st.SearchStrategy[Node]:
    order = st.sampled_from(("==", "!=", "<", "<=", ">", ">="))
    same = st.sampled_from(("==", "!="))
    number, day, truth = _things("number"), _things("day"), _things("truth")
    choice, choices = _things("choice"), _name("choices")
    anything = st.one_of(number, day, truth, choice, choices)
    any_sign = st.sampled_from(("==", "!=", "<", ">=", "in", "not in"))

    def pair(left: Any, sign: Any, right: Any) -> st.SearchStrategy[Node]:
        return st.builds(lambda a, s, b: Compare((a, b), (s,), 0), left, sign, right)

    chain = st.builds(
        lambda a, b, c, s, t: Compare((a, b, c), (s, t), 0), number, number, number, order, order
    )
    return st.one_of(
        pair(number, order, number),
        pair(day, order, day),
        pair(choice, same, choice),
        pair(choices, same, choice | choices),
        pair(choice, st.sampled_from(("in", "not in")), choices),
        pair(truth, same, truth),
        pair(anything, any_sign, anything),
        chain,
    )


def _truths(depth: int) -> st.SearchStrategy[Node]:
    known = st.sampled_from(sorted(KINDS)).map(lambda name: Known(Name(name, 0), 0))
    plain = st.one_of(_things("truth"), known, _compared(), _compared())
    if depth == 0:
        return plain
    inner = _truths(depth - 1)
    several = st.lists(inner, min_size=2, max_size=3).map(tuple)
    return st.one_of(
        plain,
        st.builds(Not, inner, st.just(0)),
        st.builds(And, several, st.just(0)),
        st.builds(Or, several, st.just(0)),
    )


@st.composite
def bases(draw: st.DrawFn) -> Basis:
    """A little tree of a few questions in a line, with routes, skips, gates, stops and advice."""
    names = draw(st.lists(st.sampled_from(sorted(KINDS)), min_size=3, max_size=6, unique=True))
    few = conditions(1)
    questions = {}
    for at, name in enumerate(names):
        later = st.sampled_from((*names[at + 1 :], "end"))
        routes = [Route(draw(few), draw(later), HERE) for _ in range(draw(st.integers(0, 2)))]
        following = names[at + 1] if at + 1 < len(names) else "end"
        if draw(st.booleans()):
            following = draw(later)
        skip = draw(st.none() | few)
        gate = draw(st.none() | few)
        if gate is not None and name in gate.names:
            # What opens a topic stands before it.
            gate = None
        allowed = draw(st.booleans())
        questions[name] = plain_question(
            name,
            *routes,
            Route(None, following, HERE),
            skip_when=skip,
            gate=gate,
            unknown_allowed=allowed,
        )
    unseen = {name: plain_question(name) for name in KINDS if name not in questions}
    cautions = tuple(
        Caution(f"caution_{at}", HERE, draw(st.sampled_from(("stop", "note"))), draw(few), "Well.")
        for at in range(draw(st.integers(0, 3)))
    )
    advice = (Advice("advice", HERE, draw(few), "topic", "Well."),)
    after = draw(st.none() | st.sampled_from(names))
    every = {**questions, **unseen}
    tree = Tree("drawn", "Drawn", "1", names[0], every, cautions, advice, (), after_stop=after)
    return Basis(tree, seating().contacts, seating().population, None)
