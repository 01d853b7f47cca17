"""What of a tree is shown, and in which order."""

from __future__ import annotations

from pathlib import Path

import pytest

from consult.content.drawing.view import load_view, view_of, way
from consult.paths import shipped_trees
from consult.tree.folder import main_trees
from tests.content.drawing.made import question, stop, tree


def test_the_way_is_in_order() -> None:
    """Every question stands after all that lead to it, first routes first."""
    made = tree(
        [
            question("last"),
            question("start", routes=[("start", "left"), (None, "right")]),
            question("right", next="last"),
            question("left", next="last"),
        ],
        first="start",
    )
    assert way(made) == ["start", "left", "right", "last"]
    assert view_of(made).numbers == {"start": 1, "left": 2, "right": 3, "last": 4}


def test_strays_and_circles_come_last_and_once() -> None:
    """A question nobody reaches, and a circle, are shown all the same, each once."""
    made = tree(
        [
            question("start"),
            question("round", next="about"),
            question("about", next="round"),
            question("safe"),
        ],
        after_stop="safe",
    )
    assert way(made) == ["start", "safe", "round", "about"]


def test_a_long_way_does_not_run_out() -> None:
    """Thousands of questions in a row are no trouble."""
    count = 3000
    made = tree([question(f"q{n}", next=f"q{n + 1}" if n + 1 < count else "end")
                 for n in range(count)])  # fmt: skip
    assert way(made) == list(made.questions)


def test_a_part() -> None:
    """Of a sub-tree its own questions are shown, from the way in; ways out lead to its end."""
    made = tree(
        [
            question("start", next="inner"),
            question("inner", next="other", file="trees/part.yaml"),
            question("other", next="after", file="trees/part.yaml"),
            question("after"),
        ],
        cautions=[stop("halt", "inner")],
        after_stop="after",
    )
    view = view_of(made, "part")
    assert (view.title, view.first, list(view.questions)) == ("Part", "inner", ["inner", "other"])
    assert view.place("after") == "end"
    assert view.beyond() == ("after",)
    assert view.after_stop == "end"
    whole = view_of(made)
    assert [whole.group(name) for name in whole.questions] == ["", "Part", "Part", ""]
    assert list(view_of(made, "made_up").questions) == ["start", "after"]


def test_no_such_part() -> None:
    """A part that is not there is said, with the nearest name or with those there are."""
    made = tree([question("start", next="inner"), question("inner", file="trees/desk.yaml")])
    with pytest.raises(ValueError, match="Did you mean 'desk'"):
        view_of(made, "dask")
    with pytest.raises(ValueError, match="It has made_up or desk"):
        view_of(made, "zzz")


# -- trees of a folder: whole ones and parts ------------------------------------------------------

SHIPPED = shipped_trees()
MAIN = main_trees(SHIPPED)


@pytest.mark.parametrize(
    "name", [path.stem for path in sorted(SHIPPED.glob("*.yaml")) if "\ntree: " in path.read_text()]
)
def test_each_shipped_tree_can_be_shown(name: str) -> None:
    """A sub-tree is shown as the part it is, though it cannot stand alone."""
    view, problems = load_view(SHIPPED / f"{name}.yaml")
    assert problems == []
    assert view is not None
    assert view.whole is (name in MAIN)
    assert {Path(one.where.file).stem for one in view.questions.values()} >= {name}


def test_a_broken_tree(tmp_path: Path) -> None:
    """A tree with errors is not shown; the problems say where they are."""
    file = tmp_path / "odd.yaml"
    file.write_text("tree: odd\ntitle: Odd\nversion: 1\nfirst: nowhere\nquestions: {}\n")
    view, problems = load_view(file)
    assert view is None
    assert problems


def test_no_tree() -> None:
    """A file that is something else is said to be none."""
    with pytest.raises(ValueError, match="is not a tree"):
        load_view(SHIPPED / "contacts.yaml")
