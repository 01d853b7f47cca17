"""Conditions: three-valued worth, what is refused, and what makes no sense."""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping
from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from consult.tree.condition import ConditionError, parse_condition
from consult.tree.nodes import Value
from consult.tree.typecheck import ValueKind, condition_troubles
from tests.long import every_case, examples

QUESTIONS = frozenset({"p", "q", "x", "y", "kind", "sites", "day", "other_day", "word"})


def worth(text: str, **known: Value) -> bool | None:
    return parse_condition(text).resolve(QUESTIONS).evaluate(known.get)


@every_case(
    [
        ("p", {"p": True}, True),
        ("not p", {}, None),
        ("p and q", {"p": False}, False),
        ("p and q", {"p": True}, None),
        ("p or q", {"p": True}, True),
        ("p == no", {"p": False}, True),
        ("known(x)", {}, False),
        ("not known(x) or x > 3", {}, True),
        ("70 <= x < 76", {"x": 76.0}, False),
        ("70 <= x < 76", {"x": 70.0}, True),
        ("x < 3 < y", {"x": 5.0}, False),
        ("x / y > 1", {"x": 1.0, "y": 0.0}, None),
        ("x * 1e", None, None),
        ("-x + 2 * y == 3 - 1", {"x": 4.0, "y": 3.0}, True),
        ("kind == fixed", {"kind": "fixed"}, True),
        ("kind != fixed", {}, None),
        ("kind == 3", {"kind": "fixed"}, None),
        ("neck in sites", {"sites": frozenset({"neck", "hips"})}, True),
        ("not neck in sites", {"sites": frozenset({"hips"})}, True),
        ("sites == neck", {"sites": frozenset({"neck", "hips"})}, False),
        ("sites != none", {"sites": frozenset({"none"})}, False),
        ("sites has any of (neck, hips)", {"sites": frozenset({"hips"})}, True),
        ("sites has any of (neck, hips)", {"sites": frozenset({"knees"})}, False),
        ("sites has any of ( neck )", {"sites": frozenset({"neck"})}, True),
        (
            "not sites has any of (neck, hips) and p",
            {"sites": frozenset({"knees"}), "p": True},
            True,
        ),
        ("sites has any of (neck, hips)", {}, None),
        ("x in sites", {"x": 3.0, "sites": frozenset({"neck"})}, None),
        ("day < other_day", {"day": date(2026, 1, 2), "other_day": date(2026, 1, 3)}, True),
        ("x", {"x": 1.0}, None),
        ("p > q", {"p": True, "q": False}, None),
        # 28.5 in kept as 723.9 mm and read back.
        ("x >= 28.5", {"x": 723.9 / 25.4}, True),
        ("x == 28.5", {"x": 28.499999999999996}, True),
        ("x < 28.5", {"x": 28.499999999999996}, False),
        ("x > 28.5", {"x": 28.500000000000004}, False),
        ("x <= 72", {"x": 72.0 * (1 + 5e-10)}, True),
        ("x <= 72", {"x": 72.0 * (1 + 5e-9)}, False),
        # What is no number is not known, and neither is what comes of it.
        ("x > 72", {"x": math.inf}, None),
        ("x < 72", {"x": -math.inf}, None),
        ("x - y < 72", {"x": 1.0, "y": math.inf}, None),
        ("x / y < 72", {"x": 1.0, "y": math.inf}, None),
        ("x * y > 72", {"x": 1e200, "y": 1e200}, None),
    ]
)
def test_worth(text: str, known: Mapping[str, Value] | None, expected: bool | None) -> None:
    """Each condition is worth what Kleene's logic says; nonsense is not known."""
    if known is None:
        with pytest.raises(ConditionError):
            parse_condition(text)
        return
    assert worth(text, **known) is expected


def test_dotted_names() -> None:
    """Quantities of the fit and the body are asked for by their dotted names."""
    condition = parse_condition("fit.seat_height > 40 and body.stature < 160 and known(x)")
    assert condition.names == {"fit.seat_height", "body.stature", "x"}
    known = {"fit.seat_height": 41.0, "body.stature": 150.0, "x": 1.0}
    assert condition.evaluate(known.get) is True


@every_case(
    [
        "",
        "   ",
        "__import__('os').system('ls')",
        "().__class__",
        "x.__class__",
        "fit.seat_height.real",
        "body",
        "known(x, y)",
        "unknown()",
        "known(x=y)",
        "known(*x)",
        "known(known(x))",
        "known(1)",
        "open(x)",
        "lambda: x",
        "(lambda x: x)(y)",
        "[x for x in y]",
        "{x}",
        "x[0]",
        "x ** 9",
        "x // 2",
        "x % 2",
        "x @ y",
        "x << 2",
        "~x",
        "+x",
        "x if p else q",
        "(x := 3)",
        "f'{x}'",
        '"text"',
        "b''",
        "1_000",
        "0x10",
        "1j",
        "1e300",
        "9" * 400,
        "x is y",
        "True",
        "None",
        "...",
        "x, y",
        "(x, y)",
        "yield x",
        "await x",
        "x = 3",
        "x == 3 # or so",
        "x\0",
        "x\n",
        "x;y",
        "x \\",
        "ℌ == 3",
        "х == 3",
        "(" * 900,
        "(" * 100 + "x" + ")" * 100,
        "not " * 490 + "x",
        "-" * 1999 + "1",
        "x" + "+x" * 990,
        "x." * 999 + "x",
        "x" * 2001,
        "1or 2",
        "x)(",
        "1(2)",
        "x.y.z.__globals__",
        "body.__subclasses__()",
        "known.__call__(x)",
        "known(fit.__class__.__bases__)",
        "known(x)(y)",
        "known(lambda: x)",
        "known(**x)",
        "not known",
        "exec(x)",
        "eval('x')",
        "print(x)",
        "x.__getattribute__(y)",
        "{x: y}",
        "{x for x in y}",
        "(x for x in y)",
        "{x: y for x in z}",
        "[x]",
        "[*x]",
        "x[1:2]",
        "x, ",
        "*x",
        "9**9**9**9",
        "9 ** 9 ** 9",
        "x * * y",
        "x / / y",
        "2 ^ 99999",
        "x | y",
        "x & y",
        "f'{__import__(x)}' == x",
        "r'x'",
        "`x`",
        "$x",
        "x!",
        "x == y == (z := 1)",
        "x := 1",
        "assert x",
        "import os",
        "global x",
        "print x",
        "del x",
        "raise x",
        "return x",
        "try: x",
        "class x: y",
        "async x",
        "match x: case y",
        "x if y",
        "lambda",
        "None.__class__",
        "(1).__class__",
        "1 .real",
        "1.real",
        "yes.no",
        "settled.__class__",
        "x\u00a0== y",
        "x\u2028== y",
        "\ufeffx",
        "x == \u0661",
        "x\r\n== y",
        "1 if 1 else" * 50,
        "x and " * 400 + "(",
    ]
)
def test_refused(text: str) -> None:
    """Everything but the language is refused in words, with a place inside the text."""
    with pytest.raises(ConditionError) as caught:
        parse_condition(text)
    assert caught.value.message.endswith(".")
    assert 0 <= caught.value.offset <= len(text)


def test_names_with_underscores_are_only_names() -> None:
    """A name that means something to Python is a question there is not, and is never looked up."""
    for text in ("__import__", "fit.__class__", "body.__dict__", "__builtins__ == x"):
        try:
            condition = parse_condition(text)
        except ConditionError:
            continue
        assert condition.evaluate(lambda _: None) is None
        assert condition_troubles(condition, {})


@pytest.mark.parametrize(
    "text",
    [
        " and ".join(["known(x)"] * 140),
        " + ".join(["1"] * 39) + " > x",
        "9" * 15 + " * " + "9" * 15 + " > x",
        " * ".join(["999999999999999"] * 30) + " > x",
        "1 < " * 300 + "x",
    ],
)
def test_long_ones_are_quick(text: str) -> None:
    """A condition near the limits is read or refused, and worked out, in no time at all."""
    try:
        condition = parse_condition(text)
    except ConditionError:
        return
    assert condition.evaluate({"x": 1.0}.get) in (True, False, None)


@given(st.text() | st.text(alphabet="xy12 ()<>=!.+-*/andortikwfb_'#", max_size=40))
@settings(max_examples=examples(400), deadline=None)
def test_any_text(text: str) -> None:
    """Any text at all is a condition or is refused, and a condition can be evaluated."""
    try:
        condition = parse_condition(text)
    except ConditionError:
        return
    everything: list[Value | None] = [
        None,
        0.0,
        1e308,
        "x",
        True,
        frozenset({"x"}),
        date(2026, 1, 1),
    ]
    for value in everything:
        assert condition.evaluate(dict.fromkeys(condition.names, value).get) in (True, False, None)
    kinds = {
        "x": ValueKind("number", "cm", name="x"),
        "y": ValueKind("choice", choices=frozenset("ab")),
    }
    condition_troubles(condition, kinds)


# A condition as nested tuples, written out as text for the parser and worked out here in another
# way: each truth as a set of what it may still turn out to be.
Made = tuple[object, ...]
_leaf = st.one_of(
    st.sampled_from([("yn", "p"), ("yn", "q")]),
    st.tuples(
        st.just("cmp"),
        st.sampled_from(["x", "y"]),
        st.sampled_from(["==", "!=", "<", "<=", ">", ">="]),
        st.sampled_from([0, 1, 2]),
    ),
    st.sampled_from([("known", "x"), ("known", "p")]),
)
_made: st.SearchStrategy[Made] = st.recursive(
    _leaf,
    lambda inner: st.one_of(
        st.tuples(st.just("not"), inner),
        st.tuples(st.just("and"), inner, inner),
        st.tuples(st.just("or"), inner, inner),
    ),
    max_leaves=8,
)
_KNOWN = st.fixed_dictionaries(
    {
        "p": st.sampled_from([None, True, False]),
        "q": st.sampled_from([None, True, False]),
        "x": st.sampled_from([None, 0.0, 1.0, 2.0]),
        "y": st.sampled_from([None, 0.0, 1.0, 2.0]),
    }
)


def written(made: Made) -> str:
    if made[0] == "yn":
        return str(made[1])
    if made[0] == "known":
        return f"known({made[1]})"
    if made[0] == "cmp":
        return f"{made[1]} {made[2]} {made[3]}"
    parts = [f"({written(part)})" for part in made[1:] if isinstance(part, tuple)]
    return f"not {parts[0]}" if made[0] == "not" else f" {made[0]} ".join(parts)


def possible(made: Made, known: Mapping[str, Value | None]) -> frozenset[bool]:
    """What a condition may be worth, each unknown leaf taken by itself."""
    both = frozenset({True, False})
    if made[0] == "known":
        return frozenset({known[str(made[1])] is not None})
    if made[0] == "yn":
        value = known[str(made[1])]
        return both if value is None else frozenset({bool(value)})
    if made[0] == "cmp":
        value = known[str(made[1])]
        signs = {"==": "__eq__", "!=": "__ne__", "<": "__lt__"}
        signs |= {"<=": "__le__", ">": "__gt__", ">=": "__ge__"}
        if value is None:
            return both
        number = float(str(made[3]))
        return frozenset({bool(getattr(value, signs[str(made[2])])(number))})
    parts = [possible(part, known) for part in made[1:] if isinstance(part, tuple)]
    if made[0] == "not":
        return frozenset(not each for each in parts[0])
    join = all if made[0] == "and" else any
    return frozenset(join(each) for each in itertools.product(*parts))


@given(_made, _KNOWN)
@settings(max_examples=examples(300), deadline=None)
def test_agrees_with_sets_of_possibilities(made: Made, known: dict[str, Value | None]) -> None:
    """Known exactly where the possibilities, leaf by leaf, have come down to one."""
    left = possible(made, known)
    expected = next(iter(left)) if len(left) == 1 else None
    assert parse_condition(written(made)).evaluate(known.get) is expected


LEAVES = (
    *("p", "yes", "known(x)", "x > 1", "x <= 1", "1 < x", "x == 1", "x - y >= 1", "x + y < 1"),
    *("kind == fixed", "kind != fixed", "neck in sites", "neck not in sites", "sites == neck"),
    *("day < other_day", "p == q", "x", "-x"),
)
ODD: tuple[Value | None, ...] = (
    *(None, True, False, 0.0, 1.0, 2.0, 1.0 + 5e-10, 3, math.inf, -math.inf, math.nan),
    *("fixed", "neck", frozenset({"neck"}), frozenset({"hips", "neck"}), frozenset[str]()),
    date(2026, 1, 1),
)


@pytest.mark.parametrize("text", LEAVES)
def test_not_of_each_comparison(text: str) -> None:
    """Whatever the answers are, sensible or not, ``not`` turns yes and no, and nothing else."""
    names = sorted(parse_condition(text).names & QUESTIONS)
    turned = {True: False, False: True, None: None}
    seen = set()
    for values in itertools.product(ODD, repeat=len(names)):
        known = dict(zip(names, values, strict=True))
        plain = worth(text, **known)  # type: ignore[arg-type]
        assert worth(f"not ({text})", **known) is turned[plain], known  # type: ignore[arg-type]
        seen.add(plain)
    assert seen >= {True, False} or text in ("yes", "x", "-x")


@pytest.mark.parametrize("sign", ["<", "<=", ">", ">="])
def test_short_ways_agree(sign: str) -> None:
    """A figure on the left, and one measure less another, compare as the same said at length."""
    back = {"<": ">", "<=": ">=", ">": "<", ">=": "<="}[sign]
    for x, y in itertools.product(ODD, repeat=2):
        known = {"x": x, "y": y}
        there = parse_condition(f"x {sign} 1").resolve(QUESTIONS).evaluate(known.get)
        assert parse_condition(f"1 {back} x").resolve(QUESTIONS).evaluate(known.get) is there
        assert parse_condition(f"x + 0 {sign} 1").resolve(QUESTIONS).evaluate(known.get) is there
        less = parse_condition(f"x - y {sign} 1").resolve(QUESTIONS).evaluate(known.get)
        at_length = parse_condition(f"x - y + 0 {sign} 1").resolve(QUESTIONS)
        assert at_length.evaluate(known.get) is less, known


def without_known(made: Made) -> bool:
    return made[0] != "known" and all(
        without_known(part) for part in made[1:] if isinstance(part, tuple)
    )


@given(_made.filter(without_known), _KNOWN)
@settings(max_examples=examples(150), deadline=None)
def test_completions_do_not_contradict(made: Made, known: dict[str, Value | None]) -> None:
    """Once true or false, a condition stays so however the unknown answers turn out."""
    condition = parse_condition(written(made))
    now = condition.evaluate(known.get)
    if now is None:
        return
    values: dict[str, list[Value]] = {"p": [True, False], "q": [True, False]}
    values |= {"x": [0.0, 1.0, 2.0, 9.0], "y": [0.0, 1.0, 2.0, 9.0]}
    open_names = [name for name, value in known.items() if value is None]
    for filling in itertools.product(*(values[name] for name in open_names)):
        full = known | dict(zip(open_names, filling, strict=True))
        assert condition.evaluate(full.get) is now


KINDS = {
    "x": ValueKind("number", "cm", name="x"),
    "w": ValueKind("number", "kg", name="w"),
    "n": ValueKind("number", "", name="n"),
    "p": ValueKind("yes-no", name="p"),
    "kind": ValueKind("choice", choices=frozenset({"fixed", "none"}), name="kind"),
    "sites": ValueKind("choices", choices=frozenset({"neck", "none"}), name="sites"),
    "word": ValueKind("text", name="word"),
    "day": ValueKind("date", name="day"),
}


@every_case(
    [
        ("p and not known(word)", []),
        ("x * 2 / 3 + 4 < fit.seat_height", []),
        ("x / fit.seat_height < 0.9", []),
        ("x / x == n", []),
        ("day <= day", []),
        ("kind != none and sites == none", []),
        ("70 <= x < 76", []),
        ("fit.desk_too_low == yes", []),
        ("body.weight > w", []),
        ("x > n", ["units"]),
        ("x + w > 3", ["units"]),
        ("x * x > 3", ["units"]),
        ("3 / x > 3", ["units"]),
        ("body.weight > x", ["units"]),
        ("x < 3 < w", []),
        ("x < w", ["units"]),
        ("x", ["not-yes-no"]),
        ("kind", ["not-yes-no"]),
        ("p == 3", ["kinds"]),
        ("p < yes", ["kinds"]),
        ("word == word", ["kinds"]),
        ("p + 1 > 2", ["not-a-number"]),
        ("-kind > 2", ["not-a-number"]),
        ("kind > fixed", ["order-of-choices"]),
        ("neck in kind", ["in-needs-choices"]),
        ("x in sites", ["in-needs-choices"]),
        ("neck in p", ["in-needs-choices"]),
        ("kind == neck", ["no-such-choice"]),
        ("nek in sites", ["no-such-choice"]),
        ("neck", ["lone-choice"]),
        ("x == neck", ["lone-choice"]),
        ("kidn == fixed", ["unknown-name"]),
        ("known(neck)", ["unknown-name"]),
        ("fit.seat > 3 and body.leg > 3", ["unknown-name", "unknown-name"]),
    ]
)
def test_sense(text: str, rules: list[str]) -> None:
    """Each kind of nonsense is told once, under its own rule."""
    troubles = condition_troubles(parse_condition(text), KINDS)
    assert [trouble.rule for trouble in troubles] == rules


@pytest.mark.parametrize(
    ("text", "said", "offset"),
    [
        ("   a b", "cannot be read from 'b' on", 5),
        ("  nope(x)", "Only known(...)", 2),
        ("   a and nope(x)", "Only known(...)", 9),
        ("  " + 41 * "(" + "a" + 41 * ")", "nested too deeply", 42),
    ],
)
def test_where_it_goes_wrong(text: str, said: str, offset: int) -> None:
    """The place is that in the line as written, blanks before it counted."""
    with pytest.raises(ConditionError) as caught:
        parse_condition(text)
    assert said in caught.value.message
    assert caught.value.offset == offset


def test_brackets_that_are_just_not_too_deep() -> None:
    """Forty may stand inside each other."""
    assert parse_condition(40 * "(" + "a" + 40 * ")").names == {"a"}


# -- what a condition waits for: none of it said, it is never true ---------------------------------


def _condition(text: str):  # type: ignore[no-untyped-def]
    return parse_condition(text).resolve({"desk", "weight", "signs", "consent"})


@pytest.mark.parametrize(
    "text",
    [
        "consent",
        "not consent",
        "desk == fixed",
        "desk != fixed or weight > 110",
        "a in signs or b in signs",
        "weight / 2 < 3 + 4",
        "not (weight > 90 and consent)",
    ],
)
def test_reads_answers_only(text: str) -> None:
    """It is not true while none of its answers is there, so it waits for one of them."""
    found = _condition(text)
    assert found.waits_for is not None
    assert found.waits_for >= found.names & {"desk", "weight", "signs", "consent"}
    assert found.evaluate(lambda _: None) is not True


@pytest.mark.parametrize(
    "text",
    [
        "not known(weight)",
        "not known(desk) and not known(weight)",
        "yes",
        "weight > 90 or yes",
        "1 < 2 or consent",
        "2 + 1 > -4 or consent",
        "not (2 < 1)",
        "fixed == fixed or consent",
    ],
)
def test_may_be_true_with_nothing_said(text: str) -> None:
    """It waits for nothing, since it is true before anything is said."""
    found = _condition(text)
    assert found.evaluate(lambda _: None) is True
    assert found.waits_for is None


@pytest.mark.parametrize("text", ["fit.seat_height > 50", "consent and body.weight > 90"])
def test_what_is_worked_out_waits_for_no_answer(text: str) -> None:
    """The fit and the body are known from the survey alone."""
    assert _condition(text).waits_for is None
