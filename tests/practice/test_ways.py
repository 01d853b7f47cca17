"""The words file: lists, ways that go before them, and picking one phrase."""

from __future__ import annotations

from pathlib import Path

from consult.practice.ways import WORDS_FILE, Ways, load_ways, often, pick
from tests.practice.callers import CALLERS


def ways() -> Ways:
    """The shipped words."""
    found, problems = load_ways(CALLERS / WORDS_FILE)
    assert found is not None, problems
    return found


def test_a_way_goes_before_the_shared_lists() -> None:
    """What a way leaves out it has from the shared lists; an unknown way has all of them."""
    words = Ways({"yes": ("Yes.",), "no": ("No.",)}, {"brisk": {"yes": ("Yep.",)}})
    assert words.of("brisk", "yes") == ("Yep.",)
    assert words.of("brisk", "no") == ("No.",)
    assert words.of("unheard", "yes") == ("Yes.",)
    assert words.of("brisk", "nothing") == ()


def test_yes_and_no_are_said_in_ten_ways() -> None:
    """Nobody learns to listen for one word."""
    assert len(set(ways().phrases["yes"])) >= 10
    assert len(set(ways().phrases["no"])) >= 10


def test_a_phrase_is_picked_by_its_key() -> None:
    """The same key picks the same phrase; many keys pick each of them, about equally often."""
    phrases = ("a", "b", "c")
    assert pick(phrases, 1, "x") == pick(phrases, 1, "x")
    picked = [pick(phrases, number) for number in range(600)]
    assert all(150 < picked.count(each) < 250 for each in phrases)
    assert pick((), 1) == ""


def test_often_is_as_often_as_said() -> None:
    """A share of nothing never happens, one of all always, a quarter in a quarter of cases."""
    assert not any(often(0.0, number) for number in range(50))
    assert all(often(1.0, number) for number in range(50))
    assert 200 < sum(often(0.25, number) for number in range(1000)) < 300


def test_a_file_that_is_not_there_is_a_problem(tmp_path: Path) -> None:
    """Nothing is raised for a missing or empty file."""
    assert load_ways(tmp_path / "none.yaml")[0] is None
    (tmp_path / "empty.yaml").write_text("", "utf-8")
    found, problems = load_ways(tmp_path / "empty.yaml")
    assert found is None
    assert problems
