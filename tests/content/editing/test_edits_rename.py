"""A question renamed wherever a folder speaks of it."""

from __future__ import annotations

import re
from functools import cache

import pytest

from consult.content.editing.edits import Refused
from consult.content.editing.edits_rename import rename
from consult.paths import shipped_trees
from consult.tree.check import check_tree
from tests.content.editing.pieces import KEPT, TREES, read

QUESTIONS = [
    (file, name)
    for file, text in KEPT.items()
    if text and "tree" in read(text)
    for name in read(text)["questions"]
]


@cache
def problems(main: str) -> frozenset[str]:
    """What is said of a tree before anything is renamed."""
    return frozenset(str(problem) for problem in check_tree(TREES / main, None, BEFORE))


@pytest.mark.parametrize(("file", "name"), QUESTIONS[::9])
def test_any_question_can_be_renamed_and_renamed_back(file: str, name: str) -> None:
    """No tree has a new mistake after it, the old name is gone, and going back is exact."""
    new = rename(KEPT, name, "quite_new", file)
    overlay = {TREES / each: text for each, text in new.items()}
    for main in ("seating.yaml", "follow_up.yaml"):
        after = check_tree(TREES / main, None, overlay)
        assert {str(each) for each in after} <= problems(main)
    assert name not in read(new[file])["questions"]
    assert rename(new, "quite_new", name, file) == KEPT


BEFORE = {TREES / name: text for name, text in KEPT.items()}

TEXTS = {
    "main.yaml": """\
tree: main
first: desk
after_stop: desk
questions:
  desk:   # the desk
    ask: How high is it? Not <desk_top>.
    next:
      - when: >-
          desk > 70 and
          known(desk) and fit.desk > 3
        go: part
      - otherwise: desk
  part:
    include: part
    next: desk
advice:
  - name: desk
    topic: desk
    when: "desk_kind == x or desk<3"
    say: <desk> is the desk.
always:
  - name: asked
    when: asked.desk
    then: not desk > 3
""",
    "part.yaml": "tree: part\nfirst: b\nquestions:\n  b:\n    skip_when: desk > 3\n    next: end\n",
    "other.yaml": "tree: other\nfirst: desk\nquestions:\n  desk:\n    ask: x\n    next: end\n",
    "callers.yaml": "callers: c\nquestions:\n  b:\n    unknown: 3\n",
    "summary/a.md.j2": "desk",
}


def test_everything_that_means_the_question_follows() -> None:
    """Routes, conditions, blanks, first and after_stop follow; words and other names do not."""
    new = rename(TEXTS, "desk", "table", "main.yaml")
    assert new["main.yaml"] == (
        re.sub(r"(?<![\w.])desk(?!\w)", "table", TEXTS["main.yaml"])
        .replace("# the table", "# the desk")
        .replace("- name: table", "- name: desk")
        .replace("topic: table", "topic: desk")
        .replace("is the table.", "is the desk.")
        .replace("asked.desk", "asked.table")
    )
    assert new["part.yaml"] == TEXTS["part.yaml"].replace("desk > 3", "table > 3")
    for same in ("other.yaml", "callers.yaml", "summary/a.md.j2"):
        assert new[same] == TEXTS[same]


def test_what_simulated_callers_say_goes_along() -> None:
    """The entry of the callers file is renamed with the question."""
    assert "  c:\n    unknown: 3" in rename(TEXTS, "b", "c")["callers.yaml"]


@pytest.mark.parametrize(
    ("old", "new", "file", "said"),
    [
        ("desk", "table", None, "Choose one"),
        ("nobody", "table", None, "no question 'nobody'"),
        ("b", "desk", None, "main.yaml already has a question 'desk'"),
        ("b", "Bad name", None, "small letters"),
        ("b", "known", None, "another meaning"),
        ("b", "end", None, "another meaning"),
        ("b", "c", "main.yaml", "no question 'b' in main.yaml"),
    ],
)
def test_refusals(old: str, new: str, file: str | None, said: str) -> None:
    """A name that is taken, has a meaning or is not clear is refused in words."""
    with pytest.raises(Refused, match=said):
        rename(TEXTS, old, new, file)


def test_choices_and_shared_sub_trees_are_not_confused() -> None:
    """A new name that is a choice is refused; trees that share a sub-tree are renamed in both."""
    choices = {**KEPT}
    with pytest.raises(Refused, match="name of a choice"):
        rename(choices, "floor", "hard")
    other = (
        "tree: other\nquestions:\n  desk:\n    ask: x\n  part:\n    include: part\n    next: end\n"
    )
    both = rename({**TEXTS, "other.yaml": other}, "desk", "table", "main.yaml")
    assert both["other.yaml"] == other.replace("  desk:", "  table:")
    assert both["part.yaml"] == TEXTS["part.yaml"].replace("desk > 3", "table > 3")
    with pytest.raises(Refused, match=r"Correct part.yaml first"):
        rename({**TEXTS, "part.yaml": "a: b: c"}, "desk", "table", "main.yaml")


SUMS = """\
tree: sums
questions:
  mat: {ask: How thick is the mat?, answer: length, unit: cm, next: end}
advice:
  - name: raise
    when: known(mat)
    say: >-
      Raise it by <mat>, in all by <body.stature - mat * 2 to 1 cm>, which is <fit.desk_height +
      mat>, never <body.mat + thick_mat>. A mat is <3 cm>.
    because: The mat lifts you.
"""


def test_a_blank_that_adds_up_follows() -> None:
    """Alone, in a sum, and where the sum goes over two lines; words and longer names stay."""
    renamed = rename({"sums.yaml": SUMS}, "mat", "sheet")["sums.yaml"]
    wanted = SUMS.replace("  mat:", "  sheet:").replace("known(mat)", "known(sheet)")
    wanted = wanted.replace("<mat>", "<sheet>").replace("- mat * 2", "- sheet * 2")
    assert renamed == wanted.replace("      mat>", "      sheet>")


def test_what_is_declared_of_another_product_follows() -> None:
    """Its sums and what is usual; a part's number of the same name stays."""
    folder = shipped_trees() / "examples" / "desk_fitting"
    texts = {one.name: one.read_text("utf-8") for one in folder.glob("*.yaml")}
    renamed = rename(texts, "equipment", "things")["fitting.yaml"]
    old = texts["fitting.yaml"]
    assert renamed == old.replace("  equipment: 15", "  things: 15").replace(
        "from: equipment", "from: things"
    )
    assert rename(texts, "wanted_width", "load")["fitting.yaml"].count("from: load\n") == 1
    chairs = texts | {
        "desk_fitting.yaml": texts["desk_fitting.yaml"].replace(": fitting\n", ": nothing\n")
    }
    assert rename(chairs, "equipment", "things")["fitting.yaml"] == old
