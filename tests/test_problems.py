"""Problems as values, and the words that go with them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from consult.problems import Problem, Where, listed, nearest

HERE = Where("desk.yaml", 12, 7)


def test_a_problem_as_editors_read_it() -> None:
    """File, line and column first, then how grave, what is wrong and what would be right."""
    assert str(Problem(HERE, "This is wrong.", "Do that.")) == (
        "desk.yaml:12:7: error: This is wrong. Do that."
    )
    assert str(Problem(HERE, "Odd.", severity="warning")) == "desk.yaml:12:7: warning: Odd."


def test_places_sort_as_they_stand() -> None:
    """Problems sort by file, then line, then column, by number and not by text."""
    places = [Where("b", 1, 1), Where("a", 10, 1), Where("a", 9, 2), Where("a", 9, 1)]
    assert sorted(places) == [Where("a", 9, 1), Where("a", 9, 2), Where("a", 10, 1), places[0]]


@pytest.mark.parametrize(
    ("name", "hint"),
    [
        ("statur", "Did you mean 'stature'?"),
        ("lower_legs", "Did you mean 'lower_leg'?"),
        ("quite_another", ""),
        ("", ""),
    ],
)
def test_nearest(name: str, hint: str) -> None:
    """The closest name is offered, and nothing where none is close."""
    assert nearest(name, ["stature", "lower_leg", "weight"]) == hint
    assert nearest(name, []) == ""


@pytest.mark.parametrize(
    ("names", "words"),
    [([], ""), (["a"], "a"), (["a", "b"], "a or b"), (["a", "b", "c"], "a, b or c")],
)
def test_listed(names: list[str], words: str) -> None:
    """Names are listed as people list them."""
    assert listed(names) == words


@given(st.text(max_size=50), st.lists(st.text(max_size=20), max_size=5))
def test_nearest_never_fails(name: str, valid: list[str]) -> None:
    """Any text may be looked up; what is offered is always a valid name."""
    hint = nearest(name, valid)
    assert hint == "" or hint in {f"Did you mean '{one}'?" for one in valid}
