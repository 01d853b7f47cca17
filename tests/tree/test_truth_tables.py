"""Conditions worked out for all calls at once, held against trying every call."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator, Mapping

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from consult.tree.condition import Condition, parse_condition
from consult.tree.nodes import Value
from consult.tree.truth_tables import Possible, possible_answers, regions, tables
from consult.units import Unclear, parse_count, parse_length, parse_mass
from tests.long import examples

SITES = ("none", "neck", "hips", "knees")
POSSIBLE = {
    "p": Possible("yes-no"),
    "x": Possible("number", least=0.0),
    "y": Possible("number"),
    "kind": Possible("choice", ("fixed", "moving", "gone")),
    "sites": Possible("choices", SITES, "none"),
    "word": Possible("text"),
}
TICKED = [
    frozenset(some)
    for count in range(1, 4)
    for some in itertools.combinations(("neck", "hips", "knees"), count)
]
ALL: dict[str, list[Value | None]] = {
    "p": [True, False, None],
    "x": [0.0, 0.5, 1.0, 1.5, 2.0, 7.0, None],
    "y": [-5.0, -1.0, 0.0, 0.25, 1.0, 1.75, 2.0, 3.0, None],
    "kind": ["fixed", "moving", "gone", None],
    "sites": [*TICKED, frozenset({"none"}), None],
    "word": ["well", None],
}
"""Answers enough for every condition below, chosen without a look at how it is worked out."""

_followed = st.one_of(
    st.sampled_from(["p", "p == no", "known(p)", "known(word)", "known(x)", "known(sites)"]),
    st.builds(
        "{} {} {}".format,
        st.sampled_from(["x", "y"]),
        st.sampled_from(["==", "!=", "<", "<=", ">", ">="]),
        st.sampled_from(["0", "1", "2", "-1", "3 - 1"]),
    ),
    st.sampled_from(["0 <= x < 2", "1 < y <= 2", "1 > y > 2", "2 >= x"]),
    st.builds(
        "kind {} {}".format, st.sampled_from(["==", "!="]), st.sampled_from(["fixed", "gone"])
    ),
    st.builds("{} in sites".format, st.sampled_from(SITES)),
    st.builds("sites {} {}".format, st.sampled_from(["==", "!="]), st.sampled_from(SITES)),
)
_involved = st.sampled_from(["x > y", "x + 1 > 2", "x * y < 2", "x / y == 1", "not x > y"])


def _grown(leaf: st.SearchStrategy[str]) -> st.SearchStrategy[str]:
    return st.recursive(
        leaf,
        lambda inner: st.one_of(
            inner.map("not ({})".format),
            st.builds("({}) and ({})".format, inner, inner),
            st.builds("({}) or ({})".format, inner, inner),
        ),
        max_leaves=5,
    )


def _read(text: str) -> Condition:
    return parse_condition(text).resolve(POSSIBLE.keys())


def _calls(conditions: list[Condition]) -> Iterator[Mapping[str, Value | None]]:
    names = sorted({name for one in conditions for name in one.names if name in ALL})
    for values in itertools.product(*(ALL[name] for name in names)):
        yield dict(zip(names, values, strict=True))


@given(_grown(_followed))
@settings(max_examples=examples(200), deadline=None)
def test_agrees_with_every_call(text: str) -> None:
    """True for some call, false for some, for all, for none: just as trying each of them says."""
    condition = _read(text)
    worked_out = tables([condition.node], POSSIBLE)
    assert worked_out is not None
    yes, no = worked_out.of(condition.node)
    tried = {condition.evaluate(call.get) for call in _calls([condition])}
    assert bool(yes) == (True in tried)
    assert bool(no) == (False in tried)
    assert (yes == worked_out.everything) == (tried == {True})
    assert not yes & no


@given(_grown(st.one_of(_followed, _involved)))
@settings(max_examples=examples(150), deadline=None)
def test_never_says_too_much(text: str) -> None:
    """Of what cannot be followed, nothing is said never to happen that a call shows to happen."""
    condition = _read(text)
    worked_out = tables([condition.node], POSSIBLE)
    assert worked_out is not None
    yes, no = worked_out.of(condition.node)
    for call in _calls([condition]):
        worth = condition.evaluate(call.get)
        assert worth is not True or yes
        assert worth is not False or no
        assert worth is True or yes != worked_out.everything


@given(st.lists(_grown(_followed), min_size=2, max_size=3))
@settings(max_examples=examples(100), deadline=None)
def test_routes_agree_with_every_call(texts: list[str]) -> None:
    """A route wins for some call just where one that takes the first true route takes it."""
    conditions = [_read(text) for text in texts]
    nodes = [one.node for one in conditions]
    worked_out = tables(nodes, POSSIBLE)
    assert worked_out is not None
    winning, taken = set(), 0
    for index, node in enumerate(nodes):
        yes, _ = worked_out.of(node)
        winning |= {index} if yes & ~taken else set()
        taken |= yes
    tried = set()
    for call in _calls(conditions):
        tried.add(next((i for i, one in enumerate(conditions) if one.evaluate(call.get)), None))
    assert winning == tried - {None}


@pytest.mark.parametrize(
    ("text", "never"),
    [
        ("x > y and not x > y", True),
        ("x > y and not y > x", False),
        ("x + 1 > 2 and x + 1 < 2", False),
        ("x < 0", True),
        ("y < 0", False),
        ("neck in sites and none in sites", True),
        ("neck in sites and sites != neck", False),
    ],
)
def test_never_true(text: str, never: bool) -> None:
    """What is written alike is worth alike; sums are not looked into."""
    condition = _read(text)
    worked_out = tables([condition.node], POSSIBLE)
    assert worked_out is not None
    assert (worked_out.of(condition.node)[0] == 0) is never


def test_too_many_cases() -> None:
    """Above some thousands of combinations nothing is said."""
    many = {f"p{number}": Possible("yes-no") for number in range(12)}
    node = parse_condition(" or ".join(many)).node
    assert tables([node], many) is None
    choices = tuple(f"c{number}" for number in range(30))
    wide = {"s": Possible("choices", choices)}
    text = " or ".join(f"{choice} in s" for choice in choices)
    assert tables([parse_condition(text).resolve({"s"}).node], wide) is None


def test_known() -> None:
    """An answer that is there wherever it is looked at is never not known."""
    node = parse_condition("known(p)").node
    worked_out = tables([node], {"p": Possible("yes-no", known=True)})
    assert worked_out is not None
    assert worked_out.of(node) == (worked_out.everything, 0)


def test_regions() -> None:
    """Numbers are cut at the points, within what there can be; points that nearly touch are not."""
    cut = regions([70.0, 76.0, 300.0], Possible("number", least=15.0, most=285.0))
    assert cut is not None
    assert [(one.low, one.high) for one in cut] == [
        (15.0, 70.0),
        (70.0, 70.0),
        (70.0, 76.0),
        (76.0, 76.0),
        (76.0, 285.0),
    ]
    assert all(one.low <= one.stands_for_it <= one.high for one in cut)
    assert regions([70.0, 70.0000000001], Possible("number")) is None


def test_no_choices() -> None:
    """A question without choices has no answers to look at."""
    assert not possible_answers(Possible("choice", known=True), (), ())
    assert tables([parse_condition("known(s)").node], {"s": Possible("choice", known=True)}) is None


@pytest.mark.parametrize("usual", [(60.0, 95.0), (1.0, 12.0), (0.0, 8.0)])
@pytest.mark.parametrize("share", [0.24, 3.01])
def test_limits_are_those_of_hearing(usual: tuple[float, float], share: float) -> None:
    """Outside the limits taken for granted here, no answer is heard."""
    said = f"{(usual[0] if share < 1 else usual[1]) * share:.4f}"
    if usual[0] == 0 and share < 1:
        said = "-1"
    expect_mm = (usual[0] * 10, usual[1] * 10)
    hearing: list[Callable[[], object]] = [
        lambda: parse_length(f"{said} cm", "cm", expect_mm),
        lambda: parse_mass(f"{said} kg", "kg", usual),
        lambda: parse_count(said, usual),
    ]
    for hear in hearing:
        with pytest.raises(Unclear):
            hear()
