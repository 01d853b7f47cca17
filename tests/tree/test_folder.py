"""Which files of a folder take which in, and so which are main trees."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from consult.paths import demo_folder, shipped_trees
from consult.tree.folder import (
    beginnings,
    included_in,
    includes,
    is_tree,
    main_trees,
    main_trees_of,
    mains,
    mains_above,
)

SHIPPED = shipped_trees()
INCLUDED = {
    "alone": (),
    "inner": ("deep",),
    "deep": (),
    "main": ("inner", "gone"),
    "second": ("deep", "main_not"),
    "itself": ("itself",),
    "round": ("about",),
    "about": ("round", "hanging"),
    "hanging": (),
}


@pytest.mark.parametrize(
    ("data", "names"),
    [
        (
            {"questions": {"a": {"include": "x"}, "b": {"ask": "y"}, "c": {"include": 7}}},
            ["x", "7"],
        ),
        ({"questions": {"a": "include"}}, []),
        ({"questions": [{"include": "x"}]}, []),
        ({"include": "x"}, []),
        (["include"], []),
        (None, []),
    ],
)
def test_what_a_file_includes(data: object, names: list[str]) -> None:
    """Include steps among its questions, in order, however broken the rest is."""
    assert list(includes(data)) == names


@pytest.mark.parametrize(
    ("data", "is_one"),
    [
        ({"tree": "a", "first": "b"}, True),
        ({"tree": "a", "questions": None}, True),
        ({"transcript": "A call", "tree": "seating", "answers": []}, False),
        ({"practice": "a", "tree": "seating", "truth": {}}, False),
        ({"callers": "a", "questions": {}}, False),
        ({"tree": "a"}, True),
        ({"first": "a", "questions": {}}, False),
        (["tree", "first"], False),
        (None, False),
    ],
)
def test_what_is_a_tree(data: object, is_one: bool) -> None:
    """It gives its name; call files and practice callers only name the tree they are for."""
    assert is_tree(data) is is_one


def test_mains() -> None:
    """Whatever no other includes, in order; a file that includes itself is included by no other."""
    assert mains(INCLUDED) == ["alone", "main", "second", "itself"]


def test_beginnings() -> None:
    """A circle that nothing leads to is begun at each of its files, so that none is passed over."""
    assert beginnings(INCLUDED) == [
        "alone",
        "main",
        "second",
        "itself",
        "round",
        "about",
        "hanging",
    ]


@pytest.mark.parametrize(
    ("name", "above"),
    [
        ("deep", ["main", "second"]),
        ("inner", ["main"]),
        ("gone", ["main"]),
        *((name, []) for name in ("alone", "main", "itself", "round", "hanging", "nowhere")),
    ],
)
def test_mains_above(name: str, above: list[str]) -> None:
    """Through others too, and of a file that is not there; none for a main tree or in a circle."""
    assert mains_above(name, INCLUDED) == above


_NAMES = st.sampled_from("abcdef")


@given(st.dictionaries(_NAMES, st.lists(_NAMES, max_size=3)))
def test_every_file_is_reached_from_a_beginning(included: dict[str, list[str]]) -> None:
    """Whatever includes what: no file is lost, and mains lead exactly to what they are above."""
    begun = beginnings(included)
    assert begun[: len(mains(included))] == mains(included)
    for name in included:
        above = mains_above(name, included)
        assert name in begun or above
        assert set(above) <= set(mains(included)) - {name}
        assert not (above and name in begun)


def test_main_trees_are_trees() -> None:
    """A call file is none; what a file without a name includes is a sub-tree all the same."""
    tree = {"tree": "a", "first": "b"}
    taking = {"questions": {"x": {"include": "part"}}}
    said = {
        "call": {"transcript": "c", "tree": "a"},
        "part": tree,
        "whole": tree,
        "nameless": taking,
    }
    assert main_trees_of(said) == ["whole"]


def test_the_shipped_main_trees() -> None:
    """Sub-trees are no main trees; contacts, range, callers, call files are no trees."""
    found = main_trees(SHIPPED)
    assert found.keys() >= {"follow_up", "my_chair", "seating", "set_up", "team_order"}
    other = {"closing", "aches", "contacts", "range", "callers"}
    assert found.keys().isdisjoint(other)
    assert all(path == SHIPPED / f"{name}.yaml" for name, path in found.items())
    for folder in (SHIPPED / "practice", SHIPPED / "practice" / "courses", demo_folder()):
        assert any(folder.glob("*.yaml"))
        assert main_trees(folder) == {}


def test_a_folder_with_broken_files(tmp_path: Path) -> None:
    """What cannot be read includes nothing and is no tree; a folder that is not there is empty."""
    (tmp_path / "broken.yaml").write_text("tree: [", "utf-8")
    (tmp_path / "bytes.yaml").write_bytes(b"\xff")
    (tmp_path / "some.yaml").write_text(
        "tree: some\nquestions:\n  a:\n    include: broken\n    next: end\n", "utf-8"
    )
    assert included_in(tmp_path) == {"broken": (), "bytes": (), "some": ("broken",)}
    assert list(main_trees(tmp_path)) == ["some"]
    assert main_trees(tmp_path / "none") == {}
