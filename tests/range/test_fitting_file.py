"""A fitting file: sums, measures, the reach of parts, and every kind of mistake and where it is."""

from __future__ import annotations

from pathlib import Path

import pytest

from consult.paths import shipped_trees
from consult.range.fitting import LinearSum
from consult.range.fitting_file import load_fitting, sum_written
from consult.range.measures import measure
from consult.range.model import Range

FILE = shipped_trees() / "examples" / "desk_fitting" / "fitting.yaml"


@pytest.fixture(scope="module")
def desks() -> Range:
    """The desks of the worked example."""
    range_, problems = load_fitting(FILE)
    assert range_ is not None, problems
    return range_


def test_the_same_text_is_one_range(desks: Range, tmp_path: Path) -> None:
    """As a range file is."""
    text = FILE.read_text(encoding="utf-8")
    same, other = tmp_path / "same", tmp_path / "other"
    assert load_fitting(same, {same: text})[0] is desks
    assert load_fitting(other, {other: text + "# More.\n"})[0] is not desks


def test_sums_and_measures_are_read_as_written() -> None:
    """Names, factors and lengths, added or taken away; nothing else is taken for a sum."""
    assert sum_written("body.stature - 20 mm") == LinearSum(((1.0, "body.stature"),), -20.0)
    assert sum_written("a + b.c * 0.5 - 2 cm") == LinearSum(((1.0, "a"), (0.5, "b.c")), -20.0)
    assert sum_written("load - top.weight - 2 kg") == LinearSum(
        ((1.0, "load"), (-1.0, "top.weight")), -2.0
    )
    for text in ("", "a b", "a +", "+ a", "a * b", "a / 2", "20 mm", "(a)", "a -- b", "a + 2"):
        assert sum_written(text) is None, text
    assert measure("62 to 128.5 cm") == ((620.0, 1285.0), "mm")
    assert measure("80 kg") == ((80.0, 80.0), "kg")
    for other in (80, "80", "80 kilos", "-3 cm", None, "3 to cm"):
        assert measure(other) is None


def test_what_is_taken_away_takes_the_most(desks: Range) -> None:
    """A difference of two spans is widest where the one is least and the other most."""
    fitting = desks.fitting
    assert fitting is not None
    parts = {kind: desks.on_sale(kind)[0] for kind in desks.parts}
    both = fitting.reach(LinearSum(((1.0, "frame.height"), (-1.0, "frame.height"))), parts)
    assert both == pytest.approx((685 - 1160, 1160 - 685))
    assert fitting.reach(LinearSum(((1.0, "frame.load"), (-1.0, "top.weight"))), parts) == (63, 63)


MISTAKES = {
    "thing: desk": ("thing: Desk", "What is chosen, in one or two words: desk."),
    "kind: frame, code: FRAME-LOW": ("kind: fram, code: FRAME-LOW", "There is no kind 'fram'"),
    "height: 55 to 105 cm": ("height: 105 to 55 cm", "runs backwards. Write: 55 to 105 cm"),
    "load: 120 kg": ("load: 120 cm", "Write: 80 kg"),
    "weight: 34 kg": ("colour: oak", "TOP-160 does not say its weight"),
    "code: TOP-140": ("code: TOP-120", "already taken"),
    "within: frame.height + top.thickness\n    reason: Standing": (
        "within: frame.high + top.thickness\n    reason: Standing",
        "No kind of part has the number 'frame.high'. Did you mean 'frame.height'?",
    ),
    "from: equipment\n": ("from: equipment + top.weight\n", "is a number of a part"),
    "from: room_width\n": ("from: room_width, please\n", "cannot be added up"),
    "    at_least: top.width\n": ("", "has to be tested in one way, and none is named"),
    "features: [remembers_heights]}": ("features: [remembers]}", "has no feature 'remembers'"),
    "equipment: 15 kg": ("equipment: heavy", "'heavy' is not a measure here"),
    "    at_most: top.width\n": ("    at_most: top.width\n    below: 1 cm\n", "is a limit"),
}


@pytest.mark.parametrize("right", MISTAKES)
def test_mistakes_are_told_where_they_are(tmp_path: Path, right: str) -> None:
    """Each mistake is an error in its line, in plain words; and nothing is loaded."""
    wrong, told = MISTAKES[right]
    text = FILE.read_text("utf-8")
    assert right in text
    at = text[: text.index(right)].count("\n") + 1
    path = tmp_path / "fitting.yaml"
    path.write_text(text.replace(right, wrong, 1))
    loaded, problems = load_fitting(path)
    assert loaded is None
    assert any(told in str(one) for one in problems), [str(one) for one in problems]
    assert all(abs(one.where.line - at) < 14 for one in problems)
