"""Conditions in plain English: exact, complete, and never at a loss."""

from __future__ import annotations

from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from consult.content.names_in_words import (
    OUTCOME_WORDS,
    YES_NO,
    choice_in_words,
    quantity_in_words,
    yes_no_in_words,
)
from consult.content.wording_of_conditions import in_words
from consult.tree.condition import OUTCOMES as OWNERS
from consult.tree.condition import parse_condition
from consult.tree.nodes import ChoiceName, Value, named
from consult.tree.quantities import BODY_DIMENSIONS, FIT_QUANTITIES
from tests.content.drawing.made import condition, question, small, tree
from tests.long import every_case, examples

TREE = small()


def words(text: str, asked: str | None = None) -> str:
    return in_words(condition(text, TREE), TREE, asked=asked)


@every_case(
    [
        (
            "lower_back in pain_sites and desk_height > 72",
            "the caller says “Lower back” under 'pain sites' and 'desk height' is over 72 cm",
        ),
        ("consent", "the caller says yes to 'consent'"),
        ("not consent", "the caller says no to 'consent'"),
        ("consent == no", "the caller says no to 'consent'"),
        ("yes != consent", "the caller says no to 'consent'"),
        ("known(desk_height)", "'desk height' is known"),
        ("not known(desk_height)", "'desk height' is not known"),
        ("desk_kind == fixed", "the caller says “Fixed height” under 'desk kind'"),
        (
            "desk_kind != fixed",
            "the caller says something other than “Fixed height” under 'desk kind'",
        ),
        ("pain_sites != none", "the caller says something other than “Nowhere” under 'pain sites'"),
        ("tasks == phone", "the caller says “Telephone” and nothing else under 'tasks'"),
        ("tasks != phone", "the caller says something other than just “Telephone” under 'tasks'"),
        ("phone not in tasks", "the caller answers 'tasks', but not with “Telephone”"),
        (
            "phone in tasks or paper in tasks",
            "the caller says any of “Telephone” or “Paper” under 'tasks'",
        ),
        (
            "phone in tasks and paper in tasks",
            "the caller says all of “Telephone” and “Paper” under 'tasks'",
        ),
        (
            "not (phone in tasks or paper in tasks)",
            "the caller answers 'tasks', but with none of “Telephone” and “Paper”",
        ),
        ("hours == 8", "'hours' is exactly 8"),
        ("hours != 8.5", "'hours' is not 8.5"),
        ("110 < weight", "'weight' is over 110 kg"),
        ("70 <= desk_height < 76", "'desk height' is at least 70 cm and under 76 cm"),
        (
            "consent or 70 <= desk_height < 76",
            "the caller says yes to 'consent' or ('desk height' is at least 70 cm and under 76 cm)",
        ),
        (
            "not 70 <= desk_height < 76",
            "'desk height' is under 70 cm or 'desk height' is at least 76 cm",
        ),
        (
            "chair_height - fit.seat_height >= 2",
            "'chair height' minus the worked-out seat height is at least 2 cm",
        ),
        (
            "(desk_height + 3) * 2 > body.stature",
            "('desk height' plus 3 cm) times 2 is over the estimated stature",
        ),
        ("desk_height / chair_height > 1.5", "'desk height' divided by 'chair height' is over 1.5"),
        ("day < other_day", "'day' is before 'other day'"),
        ("fit.footrest_needed", "the fit says a footrest is needed"),
        ("not fit.footrest_needed", "the fit says no footrest is needed"),
        ("settled", "the fit says no further measure would change the chair"),
        (
            "known(fit.desk_too_high)",
            "whether the desk is too high is known",
        ),
        (
            "(consent or hours > 8) and not (phone in tasks and consent)",
            "(the caller says yes to 'consent' or 'hours' is over 8) and (the caller answers"
            " 'tasks', but not with “Telephone” or the caller says no to 'consent')",
        ),
        ("yes", "in every case"),
    ]
)
def test_said(text: str, said: str) -> None:
    """A condition reads as a sentence with labels, units, and names in quotes."""
    assert words(text) == said


@pytest.mark.parametrize(
    ("text", "asked", "said"),
    [
        ("pain_sites == none", "pain_sites", "the answer is “Nowhere”"),
        ("phone not in tasks", "tasks", "there is an answer, but not “Telephone”"),
        ("consent", "consent", "the answer is yes"),
        ("desk_height > 72", "desk_height", "the answer is over 72 cm"),
        ("not known(desk_height)", "desk_height", "the answer is not known"),
        ("consent", "desk_height", "the caller says yes to 'consent'"),
    ],
)
def test_the_question_at_hand_is_the_answer(text: str, asked: str, said: str) -> None:
    """Beside a question its own answer is not named again."""
    assert words(text, asked) == said


def test_every_quantity_has_words() -> None:
    """Whatever a condition may ask of the fit or the body is said, each in words of its own."""
    assert set(YES_NO) == {name for name, sort in FIT_QUANTITIES.items() if sort == "yes-no"}
    names = [f"fit.{one}" for one in FIT_QUANTITIES] + [f"body.{one}" for one in BODY_DIMENSIONS]
    said = {in_words(condition(f"known({name})", TREE), TREE) for name in names}
    assert len(said) == len(names)


def test_every_outcome_has_words() -> None:
    """What a promise about every call may name is said too, each kind in words of its own."""
    assert set(OUTCOME_WORDS) == {"call", *OWNERS}
    text = "stopped and not caution.heavy and advice.a_b or not need.arms and asked.heel"
    said = in_words(parse_condition(text, outcomes=True), TREE)
    assert said == (
        "(a stop holds and the caution 'heavy' does not come up and the advice 'a b' is given)"
        " or (the need 'arms' does not count and 'heel' is asked)"
    )


def test_labels_alike_are_told_apart() -> None:
    """Two choices with one label are named too, or two different conditions would read alike."""
    twins = tree([question("kind", "choice", choices={"a": "Same", "b": "Same"})])
    said = {in_words(condition(f"kind == {one}", twins), twins) for one in "ab"}
    assert len(said) == 2


def test_a_condition_as_read_needs_no_resolving() -> None:
    """A condition fresh from its text reads the same as one the loader handed out."""
    text = "lower_back in pain_sites"
    assert in_words(parse_condition(text), TREE) == words(text)


_PARTS = ["consent", "none in pain_sites", "neck in pain_sites", "pain_sites == none",
          "desk_kind == fixed", "tasks == phone", "phone in tasks", "paper in tasks"]  # fmt: skip
_SINGLE = [*_PARTS, *(f"not {one}" for one in _PARTS)]
_PAIRS = [f"({a} {by} {b})" for a, b in product(_SINGLE, _PARTS) for by in ("and", "or")]
_CALLERS: list[dict[str, Value | None]] = [
    {"consent": consent, "pain_sites": sites, "desk_kind": kind, "tasks": tasks}
    for consent in (True, False, None)
    for sites in (None, frozenset({"none"}), frozenset({"neck"}), frozenset({"neck", "hips"}))
    for kind in ("fixed", "moves", None)
    for tasks in (None, frozenset({"phone"}), frozenset({"paper"}), frozenset({"phone", "paper"}))
]


def test_the_same_words_mean_the_same() -> None:
    """Conditions that read alike are worth the same for every caller, unknown answers included."""
    nested = [
        f"{a} {by} {b}" for a, b in zip(_PAIRS, _PAIRS[7:], strict=False) for by in ("and", "or")
    ]
    turned = [f"not {one}" for one in _PAIRS]
    worth: dict[str, tuple[str, tuple[bool | None, ...]]] = {}
    for text in [*_SINGLE, *_PAIRS, *turned, *nested]:
        read = condition(text, TREE)
        values = tuple(read.evaluate(caller.get) for caller in _CALLERS)
        before, expected = worth.setdefault(in_words(read, TREE), (text, values))
        assert values == expected, f"{text} reads like {before}"
    assert len(worth) > 100


_NAMES = [*TREE.questions, "lower_back", "phone", "fixed", "stranger", "fit.seat_height",
          "fit.footrest_needed", "fit.unheard_of", "body.stature", "settled"]  # fmt: skip
_LEAF = st.sampled_from([*_NAMES, "yes", "no", "3", "72.5", "0.00000012"])


def _grown(inner: st.SearchStrategy[str]) -> st.SearchStrategy[str]:
    signs = ["and", "or", "==", "!=", "<", "<=", ">", ">=", "in", "not in", "+", "-", "*", "/"]
    return st.one_of(
        st.tuples(inner, st.sampled_from(signs), inner).map(lambda t: f"({t[0]} {t[1]} {t[2]})"),
        st.tuples(inner, inner, inner).map(lambda t: f"({t[0]} <= {t[1]} < {t[2]})"),
        inner.map(lambda one: f"(not ({one}))"),
        inner.map(lambda one: f"(-({one}))"),
        st.sampled_from([name for name in _NAMES if name != "settled"]).map("known({})".format),
    )


@settings(max_examples=examples(400), deadline=None)
@given(st.recursive(_LEAF, _grown, max_leaves=12), st.sampled_from([None, *TREE.questions]))
def test_it_never_fails_and_never_loses_a_name(text: str, asked: str | None) -> None:
    """Any condition that can be read, sense or nonsense, is said with every name in it."""
    read = condition(text, TREE)
    said = in_words(read, TREE, asked=asked)
    assert said.count("(") == said.count(")")
    for one in named(read.node):
        assert any(form in said for form in forms(one.name, isinstance(one, ChoiceName), asked)), (
            said
        )


def forms(name: str, is_choice: bool, asked: str | None) -> list[str]:
    """The ways a name may stand in a sentence."""
    if is_choice:
        owners = [None, *TREE.questions]
        return [choice_in_words(name, owner, TREE) for owner in owners]
    if "." not in name:
        return [f"'{name.replace('_', ' ')}'", *(["answer"] if name == asked else [])]
    yes_no = [yes_no_in_words(name, so=so) for so in (True, False)]
    return [quantity_in_words(name), *yes_no]


@given(st.text(max_size=80), st.text(max_size=80))
def test_any_label(one: str, other: str) -> None:
    """Labels are anybody's text: brackets, quotes, emoji, other scripts."""
    odd = tree([question("kind", "choice", choices={"a": one, "b": other})])
    said = in_words(condition("kind == a", odd), odd)
    assert "'kind'" in said
    assert "\n" not in said
