"""Edits change what they are asked to, and not a byte besides."""

from __future__ import annotations

from copy import deepcopy
from typing import Any

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from consult.content.editing.edits import Refused, add_item, delete, move, set_data, set_value
from consult.content.editing.patching import spans_of
from consult.marked.marks import Steps
from consult.marked.plain import plain_value
from tests.content.editing.pieces import (
    KEPT,
    LAYOUTS,
    ODD,
    SHIPPED,
    TRICKY,
    files,
    outside,
    places,
    raw,
    read,
)
from tests.long import LONG, every_case, examples

PROPERTY = settings(
    max_examples=examples(60), deadline=None, suppress_health_check=[HealthCheck.too_slow]
)


def at(data: Any, steps: Steps) -> Any:
    for step in steps:
        data = data[step]
    return data


def same(one: Any, other: Any) -> bool:
    """Equal in kind, value and order."""
    return repr(one) == repr(other)


@PROPERTY
@given(st.data(), files(), TRICKY)
def test_a_value_reads_back_as_given(data: st.DataObject, text: str, value: str) -> None:
    """Any text a person can type can be put in any value's place, and all else stays."""
    steps = data.draw(st.sampled_from(places(text, (str, int, float, bool, type(None)))))
    before = read(text)
    new = set_value(text, steps, value)
    assert raw(new, steps) == value
    expected = deepcopy(before)
    number = not isinstance(at(before, steps), (str, type(None)))
    as_read = plain_value(value)
    at(expected, steps[:-1])[steps[-1]] = (
        as_read if number and not isinstance(as_read, (str, type(None))) else value
    )
    assert same(read(new), expected)
    spans = spans_of(text)
    piece = spans.pieces[steps]
    top, bottom = outside(text.removeprefix("\ufeff"), new.removeprefix("\ufeff"))
    if new != text:
        assert top >= spans.line_of(piece.head)
        assert bottom >= len(text.splitlines()) - 1 - spans.line_of(piece.end)


@PROPERTY
@given(st.data(), files())
def test_the_same_value_changes_nothing(data: st.DataObject, text: str) -> None:
    """Setting a value to what it is, where it stands on one line, leaves every byte."""
    steps = data.draw(st.sampled_from(places(text, str)))
    spans = spans_of(text)
    piece = spans.pieces[steps]
    assume(spans.line_of(piece.head) == spans.line_of(piece.end))
    # An escape may be written as the letter itself.
    assume("\\u" not in spans.text[piece.start : piece.end])
    assert set_value(text, steps, piece.text) == text


@pytest.mark.parametrize("name", SHIPPED)
def test_the_same_value_on_its_line_changes_nothing(name: str) -> None:
    """Every text of the trees as shipped that stands on one line; in a short run every fifth."""
    text = SHIPPED[name]
    spans = spans_of(text)
    for steps in places(text, str)[:: 1 if LONG else 5]:
        piece = spans.pieces[steps]
        on_one_line = spans.line_of(piece.head) == spans.line_of(piece.end)
        if on_one_line and "\\u" not in spans.text[piece.start : piece.end]:
            assert set_value(text, steps, piece.text) == text, steps


@every_case(SHIPPED)
def test_the_same_folded_text_changes_nothing(name: str) -> None:
    """A folded text set to what it says keeps its line breaks where they were."""
    text = SHIPPED[name]
    spans = spans_of(text)
    for steps in places(text, str):
        if spans.pieces[steps].style == ">":
            assert set_value(text, steps, spans.pieces[steps].text) == text


@PROPERTY
@given(st.data(), files())
def test_deleting_takes_out_one_thing(data: st.DataObject, text: str) -> None:
    """What is deleted is gone from the data, and lines are only taken out."""
    steps = data.draw(st.sampled_from(places(text)))
    try:
        new = delete(text, steps)
    except Refused:
        only = len(spans_of(text).inside(steps[:-1])) == 1
        assert only
        assert len(steps) == 1 or steps[0] == "questions"
        return
    expected = read(text)
    while len(at(expected, steps[:-1])) == 1:
        steps = steps[:-1]
    del at(expected, steps[:-1])[steps[-1]]
    assert same(read(new), expected)
    assert len(new) < len(text)


@PROPERTY
@given(st.data(), files())
def test_moving_down_and_up_again_is_nothing(data: st.DataObject, text: str) -> None:
    """A thing moved is where it should be, and moved back leaves the file as it was."""
    spans = spans_of(text)
    movable = [
        steps
        for steps in places(text)
        if steps[-1] != spans.inside(steps[:-1])[-1][-1]
        and (
            isinstance(steps[-1], int) or steps[:-1] == ("questions",) or "choices" in steps[-2:-1]
        )
    ]
    assume(movable)
    steps = data.draw(st.sampled_from(movable))
    siblings = spans.inside(steps[:-1])
    index = siblings.index(steps)
    by = data.draw(st.integers(1, len(siblings) - 1 - index))
    new = move(text, steps, by)
    moved = at(read(new), steps[:-1])
    before = at(read(text), steps[:-1])
    if isinstance(before, list):
        before.insert(index + by, before.pop(index))
        assert same(moved, before)
        now: Steps = (*steps[:-1], index + by)
    else:
        names = list(before)
        names.insert(index + by, names.pop(index))
        assert same(moved, {name: before[name] for name in names})
        now = steps
    assert sorted(new) == sorted(text)
    assert move(new, now, -by) == text


@PROPERTY
@given(st.data(), files(), TRICKY, TRICKY)
def test_adding_and_deleting_is_nothing(
    data: st.DataObject, text: str, ask: str, label: str
) -> None:
    """A question or list item added reads back as given, and deleted leaves the file as it was."""
    spans = spans_of(text)
    lists = [s for s in places(text, list) if s[0] != "range" and "called" not in s]
    choices = [(*s, "choices") for s in places(text, dict) if len(s) == 2 and s[0] == "questions"]
    ways: list[Steps] = [*lists, *choices]
    if isinstance(spans.data.get("questions"), dict):
        ways.append(("questions",))
    assume(ways)
    steps = data.draw(st.sampled_from(ways))
    known = spans.at(steps) or ()
    where = data.draw(st.none() | st.integers(0, len(known)))
    key: str | None = None
    fields: Any = {"name": "new_one", "say": ask, "zzz": {"a": [label, "b"], "c": [{"d": label}]}}
    if isinstance(known, dict) or steps[-1] == "choices":
        key = data.draw(st.sampled_from(["new_one", "12", "on", "a b", "x:y", "Ü"]))
        fields = label if steps[-1] == "choices" else {"ask": ask, "next": label}
    assume(not isinstance(known, str))
    new = add_item(text, steps, key, fields, where)
    found = at(read(new), steps)
    place = len(known) if where is None else where
    if key is None:
        assert same(found[place], fields)
    else:
        assert same(found[key], fields)
        if known:
            assert list(found).index(key) == place
    assert delete(new, (*steps, place if key is None else key)) == text


@PROPERTY
@given(st.data(), files(), TRICKY)
def test_a_new_name_goes_in_and_out(data: st.DataObject, text: str, value: str) -> None:
    """A value not there yet is added where the trees have it, and deleting it is undoing it."""
    names = ["coach", "unit", "skip_when", "private", "source", "because", "zzz"]
    blocks = [s for s in places(text, dict) if s[0] in ("questions", "cautions", "advice", "needs")]
    assume(blocks)
    above = data.draw(st.sampled_from(blocks))
    name = data.draw(st.sampled_from(names))
    assume(name not in at(read(text), above))
    new = set_value(text, (*above, name), value)
    assert raw(new, (*above, name)) == value
    assert delete(new, (*above, name)) == text


def test_the_usual_place() -> None:
    """A new coach goes below ask, a new source last, and a new name of an item to its dash."""
    text = KEPT["present_chair.yaml"]
    new = set_value(text, ("questions", "floor", "coach"), "Ask.")
    assert "    ask: What floor does it stand on?\n    coach: Ask.\n    called:" in new
    bare = delete(text, ("needs", 0, "name"))
    assert "needs:\n  - when: floor == carpet\n    feature" in bare
    assert set_value(bare, ("needs", 0, "name"), "castors_on_carpet") == text


def test_long_texts_are_folded() -> None:
    """A text that no longer fits on its line is folded at 96 columns, and stays folded."""
    text = KEPT["present_chair.yaml"]
    steps = ("questions", "floor", "ask")
    new = set_value(text, steps, "word " * 30 + "end: it # so")
    assert "    ask: >-\n      word word" in new
    assert all(len(line) <= 96 for line in new.splitlines() if line.startswith("      word"))
    assert set_value(new, steps, "Short.").count("    ask: >-\n      Short.\n") == 1


def test_only_the_changed_line_of_a_folded_text_is_broken_anew() -> None:
    """A word changed in the middle leaves the lines around it where they were."""
    text = KEPT["present_chair.yaml"]
    steps = ("questions", "chair_height", "coach")
    said = raw(text, steps) or ""
    new = set_value(text, steps, said.replace("its front edge", "the front"))
    old_lines, new_lines = text.splitlines(), new.splitlines()
    assert len(old_lines) == len(new_lines)
    assert sum(one != other for one, other in zip(old_lines, new_lines, strict=True)) == 1


def test_quotes_are_kept_and_comments_stay() -> None:
    """Quotes a person chose stay, and so does a comment at the end of the line."""
    new = set_value(ODD, ("title",), "Plain")
    assert 'title:   "Plain"   # spaces, then a comment with a\ttab\n' in new
    new = set_value(ODD, ("tree",), "it's")
    assert "tree: 'it''s'\n" in new
    new = set_value(ODD, ("questions", "a", "called"), "one")
    assert "      called: one   # in brackets\n" in new
    new = set_value(ODD, ("questions", "a", "called", 1), "a, b")
    assert "called: [one, 'a, b', \"three\"]   # in brackets\n" in new
    assert "version: 2026.11\n" in set_value(ODD, ("version",), "2026.11")


def test_comments_go_with_what_they_speak_of() -> None:
    """Above a question they go with it; between empty lines they stay."""
    new = delete(ODD, ("questions", "b"))
    assert "directly above b" not in new
    assert "at the end of b" not in new
    assert "\n\n  # stands alone\n\n  c:\n" in new
    new = move(ODD, ("questions", "b"), 1)
    assert new.index("c:\n") < new.index("# directly above b") < new.index("  b:\n")
    assert "- otherwise: end\n\n\n  c:\n" in new


@pytest.mark.parametrize("layout", LAYOUTS)
def test_layouts_stay(layout: str) -> None:
    """Windows line ends, a missing last line end and a byte order mark are as they were."""
    text = LAYOUTS[layout](KEPT["work.yaml"])
    fields = {"name": "last", "say": "a\nb", "when": "hours > 1"}
    new = add_item(text, ("needs",), None, fields)
    assert (new.count("\r\n"), new.startswith("\ufeff"), new.endswith("\n")) == (
        new.count("\n") if layout == "Windows" else 0,
        text.startswith("\ufeff"),
        text.endswith("\n"),
    )
    assert new.startswith(text.rstrip("\r\n"))


def test_the_last_of_a_list_takes_the_list_with_it() -> None:
    """No empty list is left, and a tree keeps its last question."""
    text = "tree: t\nquestions:\n  a:\n    ask: x\n\nadvice:\n  - name: one\n"
    assert delete(text, ("advice", 0)) == "tree: t\nquestions:\n  a:\n    ask: x\n"
    with pytest.raises(Refused, match="and this is the only one"):
        delete(text, ("questions", "a"))
    with pytest.raises(Refused, match="Delete the question"):
        delete(text, ("questions", "a", "ask"))


def test_a_value_becomes_a_block_and_back() -> None:
    """One text can be replaced by a list and the list by one text."""
    text = "a:\n  b: x # why\n  c: y\n"
    new = set_data(text, ("a", "b"), [{"d": 1}, {"e": True}])
    assert new == "a:\n  b: # why\n    - d: 1\n    - e: true\n  c: y\n"
    assert set_value(new, ("a", "b"), "x") == text


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("a: b: c\n", "Correct line 1 first"),
        ("a: &x b\n", "Correct line 1 first"),
        ("a: 1\na: 2\n", "Correct line 2 first"),
        ("a: 1\n---\nb: 2\n", "Correct line 2 first"),
        ("\ta: 1\n", "tab"),
        ("", "not a block"),
        ("- a\n", "not a block"),
        ("a: \x01\n", "control"),
    ],
)
def test_what_cannot_be_read_is_refused_in_words(text: str, said: str) -> None:
    """Where a file cannot be read, the edit says what to mend first."""
    with pytest.raises(Refused, match=said):
        set_value(text, ("a",), "x")


def test_refusals_name_what_is_meant() -> None:
    """What is not there, the ends of a list, and a name that is taken are told in words."""
    text = KEPT["work.yaml"]
    with pytest.raises(Refused, match="There is no 'ask' of 'nobody' to change"):
        set_value(text, ("questions", "nobody", "ask"), "x")
    with pytest.raises(Refused, match="no item 99 of 'advice' to delete"):
        delete(text, ("advice", 98))
    with pytest.raises(Refused, match="the first one already"):
        move(text, ("questions", "hours"), -1)
    with pytest.raises(Refused, match="the last one already"):
        move(text, ("questions", "arm_use"), 1)
    with pytest.raises(Refused, match="cannot move that far down"):
        move(text, ("questions", "tasks"), 5)
    with pytest.raises(Refused, match="already a 'tasks'"):
        add_item(text, ("questions",), "tasks", {"ask": "x"})
    with pytest.raises(Refused, match="Nothing can be added to"):
        add_item(text, ("questions",), None, {"ask": "x"})
    with pytest.raises(Refused, match="half a character"):
        set_value(text, ("title",), "\ud83d")


def test_ten_thousand_characters() -> None:
    """A very long text goes in and comes back, with spaces and without."""
    text = KEPT["work.yaml"]
    for value in ("x" * 10_000, "word [a] 'b' " * 800 + "end", "a\n" * 5_000 + "b"):
        new = set_value(text, ("questions", "hours", "coach"), value)
        assert raw(new, ("questions", "hours", "coach")) == value
