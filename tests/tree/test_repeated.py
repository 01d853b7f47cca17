"""A limit of the range that a tree repeats as a figure is refused."""

from __future__ import annotations

from pathlib import Path

import pytest

from consult.tree.check import check_tree
from consult.tree.condition import parse_condition
from consult.tree.nodes import Number, YesNo

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
