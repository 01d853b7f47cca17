"""Through what a condition is true."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from consult.tree.condition import parse_condition
from consult.tree.grounds import grounds, items
from consult.tree.nodes import Value

KNOWN: dict[str, Value | None] = {
    "signs": frozenset({"legs", "saddle"}),
    "place": "office",
    "home": True,
    "pain": 8.0,
    "body.weight": 120.0,
    "away": None,
}
NAMES = set(KNOWN)


def through(text: str, **others: Value | None) -> set[tuple[str, object]]:
    """The grounds of a condition as things are known."""
    known = KNOWN | others
    return set(grounds(parse_condition(text).resolve(NAMES).node, known.get))


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("legs in signs", {("signs", "legs")}),
        ("swollen in signs", set()),
        ("legs in signs or swollen in signs", {("signs", "legs")}),
        ("legs in signs or saddle in signs", {("signs", "legs"), ("signs", "saddle")}),
        ("legs in signs and home", {("signs", "legs"), ("home", True)}),
        ("legs in signs and not home", set()),
        ("signs != none", {("signs", "legs"), ("signs", "saddle")}),
        ("swollen not in signs", {("signs", "legs"), ("signs", "saddle")}),
        ("not (swollen in signs)", {("signs", "legs"), ("signs", "saddle")}),
        ("not (swollen in signs or home == no)", {*through("signs != none"), ("home", True)}),
        ("not (legs in signs and home == no)", {("home", True)}),
        ("place == office", {("place", "office")}),
        ("place != here", {("place", "office")}),
        ("home", {("home", True)}),
        ("pain >= 7", {("pain", None)}),
        ("7 <= pain < 9", {("pain", None)}),
        ("pain >= 9", set()),
        ("known(pain)", {("pain", None)}),
        ("body.weight > 100", {("body.weight", None)}),
        ("away == office", set()),
        ("not known(away)", set()),
        ("home or away == office", {("home", True)}),
        ("yes", set()),
    ],
)
def test_grounds(text: str, expected: set[tuple[str, object]]) -> None:
    """Parts that are true count, with the choices they are true through."""
    assert through(text) == expected


def test_items() -> None:
    """Choices are told apart; of a number there is only that it was said."""
    assert items(None) == frozenset()
    assert items(frozenset({"a", "b"})) == {"a", "b"}
    assert items("a") == {"a"}
    assert items(False) == {False}
    assert items(7.5) == items(8.0) == {None}


@given(
    st.frozensets(st.sampled_from(["legs", "saddle", "swollen"])),
    st.sampled_from([True, False, None]),
    st.sampled_from(
        [
            "legs in signs or saddle in signs and home",
            "not (legs in signs or home)",
            "signs != legs and (home or swollen in signs)",
        ]
    ),
)
def test_only_what_is_true_has_grounds(signs: frozenset[str], home: bool | None, text: str) -> None:
    """A condition that is false or not known is true through nothing; grounds are known things."""
    condition = parse_condition(text).resolve(NAMES)
    known: dict[str, Value | None] = {"signs": signs, "home": home}
    found = grounds(condition.node, known.get)
    if condition.evaluate(known.get) is not True:
        assert not found
    assert all(item in items(known[name]) for name, item in found)
