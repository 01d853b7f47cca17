"""Routes by one number: what goes nowhere, what two claim, held against trying many numbers."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from consult.problems import Problem
from consult.tree.check import check_tree
from consult.tree.condition import parse_condition
from consult.tree.nodes import Number, YesNo
from tests.long import examples

# -- test ranges ----------------------------------------------------------------------------------
# Routes by one number: what goes nowhere, what two claim, held against trying many numbers.

HEAD = """tree: t
title: A title
version: 1
first: one
questions:
  one:
    ask: How high?
    coach: With a tape.
    answer: length
    unit: cm
    expect: 60 to 95
    next:
"""
PLACES = "abc"
TAIL = "".join(
    f"  {place}: {{ask: Well?, answer: yes-no, read_by: people, next: end}}\n" for place in PLACES
)


def checked(folder: Path, *whens: str, otherwise: bool = True) -> list[Problem]:
    routes = "".join(
        f"      - when: {when}\n        go: {place}\n"
        for when, place in zip(whens, PLACES, strict=False)
    )
    last = "      - otherwise: c\n" if otherwise else ""
    path = folder / "t.yaml"
    path.write_text(HEAD + routes + last + TAIL)
    return [each for each in check_tree(path) if each.rule != "unreachable"]


def said(problems: list[Problem], rule: str) -> list[str]:
    return [each.message for each in problems if each.rule == rule]


@pytest.mark.parametrize(
    ("whens", "words"),
    [
        (("one < 76", "one > 80"), "76 to 80 cm"),
        (("one < 76", "one >= 80"), "76 to under 80 cm"),
        (("one <= 76", "one > 80"), "Over 76 to 80 cm"),
        (("one <= 76", "80 <= one"), "Over 76 to under 80 cm"),
        (("one < 76", "one > 76"), "Exactly 76 cm"),
        (("one < 70 or one >= 90", "one == 80"), "Over 80 to under 90 cm"),
    ],
)
def test_hole(tmp_path: Path, whens: tuple[str, ...], words: str) -> None:
    """A hole between two ranges is named with its ends, open or closed."""
    found = said(checked(tmp_path, *whens), "gap")
    assert f"{words} is not covered by a route, so it goes to the otherwise." in found


@pytest.mark.parametrize(
    ("whens", "words"),
    [
        (("one < 76", "one > 80"), "76 to 80 cm goes nowhere."),
        (("one < 76",), "76 cm and more goes nowhere."),
        (("one > 76",), "76 cm and less goes nowhere."),
        (("70 <= one <= 80",), "Under 70 cm and over 80 cm goes nowhere."),
    ],
)
def test_nowhere(tmp_path: Path, whens: tuple[str, ...], words: str) -> None:
    """Where the otherwise is missing, the numbers it is missed for are named."""
    (message,) = said(checked(tmp_path, *whens, otherwise=False), "no-otherwise")
    assert message.endswith(words)


@pytest.mark.parametrize(
    "whens",
    [
        ("one < 70", "one < 76"),
        ("one >= 80", "one >= 70"),
        ("one < 70", "one >= 70"),
        ("one < 70", "70 <= one < 80"),
        ("one < 70",),
        ("one < 70", "one < 76 and known(one)"),
        ("one < 70", "one > fit.seat_height"),
    ],
)
def test_no_alarm(tmp_path: Path, whens: tuple[str, ...]) -> None:
    """Ranges that follow or narrow one another are as they should be."""
    assert checked(tmp_path, *whens) == []


def test_overlap(tmp_path: Path) -> None:
    """Ranges that partly overlap are told with the numbers and with who wins."""
    (message,) = said(checked(tmp_path, "one < 76", "70 <= one < 80"), "overlap")
    assert message == "70 to under 76 cm is covered by two routes. The first one, to 'a', is used."


_range = st.one_of(
    st.builds(
        "one {} {}".format, st.sampled_from(["<", "<=", ">", ">=", "=="]), st.integers(62, 66)
    ),
    st.builds(
        "{} {} one {} {}".format,
        st.integers(60, 64),
        st.sampled_from(["<", "<="]),
        st.sampled_from(["<", "<="]),
        st.integers(65, 68),
    ),
)


@given(_range, _range)
@settings(
    max_examples=examples(40),
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
def test_agrees_with_trying(tmp_path: Path, first: str, second: str) -> None:
    """Holes and overlaps are told just where trying every quarter of a centimetre finds them."""
    problems = checked(tmp_path, first, second)
    upper, lower = (
        [parse_condition(when).evaluate({"one": quarter / 4}.get) for quarter in range(236, 284)]
        for when in (first, second)
    )
    taken = [bool(a or b) for a, b in zip(upper, lower, strict=True)]
    inside = taken[taken.index(True) : len(taken) - taken[::-1].index(True)]
    assert bool(said(problems, "gap")) == (False in inside)
    pairs = set(zip(upper, lower, strict=True))
    assert bool(said(problems, "overlap")) == (
        {(True, True), (True, False), (False, True)} <= pairs
    )
    assert bool(said(problems, "never-wins")) == ((False, True) not in pairs and True in lower)


# -- A limit of the range that a tree repeats as a figure is refused ------------------------------

LIMITS = {"range.highest_rating": 180.0, "range.heaviest_caller": 165.4, "range.heavy_duty": True}
TREE = """\
tree: heavy
title: The heavy
version: 1
first: weight
questions:
  weight:
    ask: What do you weigh?
    coach: Ask it kindly.
    answer: mass
    unit: {unit}
    measures: weight
    private: personal
    next: end
cautions:
  - name: too_heavy
    level: note
    when: weight > {limit}
    say: {say}
    source: common_practice
"""


def rules(tmp_path: Path, limit: str, say: str = "None of them.", unit: str = "kg") -> list[str]:
    """What the check says about such a tree."""
    file = tmp_path / "heavy.yaml"
    file.write_text(TREE.format(limit=limit, say=say, unit=unit), "utf-8")
    return [f"{each.where.line}:{each.rule}" for each in check_tree(file, limits=LIMITS)]


@pytest.mark.parametrize(
    ("limit", "unit"),
    [("180", "kg"), ("165", "kg"), ("165.4", "kg"), ("396.8", "lb"), ("90 + 90", "kg")],
)
def test_a_repeated_limit_is_refused(tmp_path: Path, limit: str, unit: str) -> None:
    """In any unit, rounded or not."""
    assert rules(tmp_path, limit, unit=unit) == ["17:repeated-limit"]


def test_a_limit_of_nothing_is_doubted(tmp_path: Path) -> None:
    """A weight that was the limit of an older range stays behind when the range changes."""
    assert rules(tmp_path, "140") == ["17:weight-limit"]


@pytest.mark.parametrize("limit", ["110", "range.heaviest_caller", "range.highest_rating - 10"])
def test_what_is_no_repeated_limit(tmp_path: Path, limit: str) -> None:
    """The standard's own figure, and the limits by name."""
    assert rules(tmp_path, limit) == []


def test_words_repeat_no_limit(tmp_path: Path) -> None:
    """Nor does a text; a blank stands for the limit, and other weights are free."""
    assert rules(tmp_path, "110", "They carry 180 kg.") == ["18:repeated-limit"]
    assert rules(tmp_path, "110", "They carry <range.highest_rating>, a box 18 kg.") == []


def test_a_choice_repeats_no_limit(tmp_path: Path) -> None:
    """The words of a choice are read out too."""
    file = tmp_path / "heavy.yaml"
    heavy = "  carries:\n    ask: How much must it carry?\n    answer: choice\n    choices:\n"
    heavy += "      more: More than 180 kg\n      less: Less\n    read_by: people\n    next: end\n"
    text = TREE.format(limit="110", say="None of them.", unit="kg")
    text = text.replace("    next: end\n", "    next: carries\n").replace(
        "cautions:", heavy + "cautions:"
    )
    file.write_text(text, "utf-8")
    assert [each.rule for each in check_tree(file, limits=LIMITS)] == ["repeated-limit"]


def test_unknown_limit_is_told(tmp_path: Path) -> None:
    """Like any other misspelt name."""
    assert rules(tmp_path, "range.highest_ratin") == ["17:unknown-name"]


def test_limits_stand_as_figures() -> None:
    """In a condition that was resolved a limit is the figure it has, and known."""
    text = "weight > range.highest_rating and known(range.heavy_duty) and range.heavy_duty"
    found = parse_condition(text).resolve({"weight"}, LIMITS)
    assert found.names == {"weight"}
    assert found.evaluate({"weight": 181.0}.get) is True
    assert found.evaluate({"weight": 180.0}.get) is False
    assert Number(180.0, 9) in found.node.parts[0].parts  # type: ignore[union-attr]
    assert isinstance(found.node.parts[1], YesNo)  # type: ignore[union-attr]


def test_without_a_range_a_limit_is_not_known() -> None:
    """And nothing is claimed of it."""
    found = parse_condition("weight > range.highest_rating").resolve({"weight"})
    assert found.evaluate({"weight": 500.0}.get) is None
