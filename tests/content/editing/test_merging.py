"""Two people's changes of one file: both stay where they can, and a person decides where not."""

from __future__ import annotations

from collections.abc import Callable, Mapping

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from consult.content.editing.edits import add_item, delete, move, set_value
from consult.content.editing.edits_questions import add_question
from consult.content.editing.edits_rename import rename
from consult.content.editing.merging import EditConflict, merged
from consult.content.editing.patching import Refused
from tests.content.editing.pieces import KEPT, LAYOUTS, ODD, places

BASE = """\
# The whole file.
tree: corner
title: The corner
version: 1
first: light
questions:
  # About the lamp.
  light:
    ask: Where is the light?
    coach: Look up.
    answer: choice
    choices:
      lamp: A lamp
      window: A window
    next: height

  height:
    ask: How high?
    answer: length
    next: glare

  glare:
    ask: Does it dazzle?
    answer: yes-no
    next: end

advice:
  - name: behind
    say: Behind you.
  - name: low
    say: Lower.
"""


def ask(text: str, question: str, words: str) -> str:
    return set_value(text, ("questions", question, "ask"), words)


OURS: Mapping[str, Callable[[str], str]] = {
    "reworded": lambda text: ask(text, "light", "Where from?"),
    "another field": lambda text: set_value(text, ("questions", "glare", "coach"), "Look down."),
    "a new choice": lambda text: add_item(
        text, ("questions", "light", "choices"), "none", "No light"
    ),
    "a new question": lambda text: add_question(text, "mine", "light", {"ask": "Mine?"}),
    "new advice": lambda text: add_item(text, ("advice",), None, {"name": "mine", "say": "Mine."}),
    "a first need": lambda text: add_item(text, ("needs",), None, {"name": "x", "feature": "y"}),
    "the first taken out": lambda text: delete(text, ("advice", 0)),
    "the title": lambda text: set_value(text, ("title",), "A corner"),
    "the order": lambda text: move(text, ("questions", "light", "choices", "lamp"), 1),
}
THEIRS: Mapping[str, Callable[[str], str]] = {
    "reworded": lambda text: ask(text, "height", "As high as what?"),
    "another field": lambda text: set_value(text, ("questions", "light", "coach"), "Look about."),
    "a question out": lambda text: set_value(
        delete(text, ("questions", "glare")), ("questions", "height", "next"), "end"
    ),
    "advice": lambda text: set_value(text, ("advice", 1, "say"), "Much lower."),
    "a first caution": lambda text: add_item(text, ("cautions",), None, {"name": "x", "say": "y"}),
    "comments": lambda text: text.replace("# About the lamp.", "# About every lamp."),
    "the first question moved": lambda text: move(text, ("questions", "light"), 1),
}


@pytest.mark.parametrize("theirs", THEIRS)
@pytest.mark.parametrize("ours", OURS)
def test_both_stay_to_the_byte(ours: str, theirs: str) -> None:
    """It is the file that one would have after the other, whoever was first."""
    if (ours, theirs) == ("another field", "a question out"):
        return
    mine, other = OURS[ours](BASE), THEIRS[theirs](BASE)
    found = merged(BASE, mine, other)
    assert found.conflicts == ()
    assert found.text == OURS[ours](other)
    assert merged(BASE, other, mine).text == found.text


@pytest.mark.parametrize("layout", LAYOUTS)
def test_the_layout_of_a_file_stays(layout: str) -> None:
    """Line ends, a byte order mark, a last line without an end: as ours has them."""
    lay = LAYOUTS[layout]
    mine, other = OURS["new advice"](lay(BASE)), THEIRS["a first caution"](lay(BASE))
    assert merged(lay(BASE), mine, other).text == OURS["new advice"](other)
    plain = merged(BASE, OURS["new advice"](BASE), other)
    assert (plain.text, plain.conflicts) == (
        OURS["new advice"](THEIRS["a first caution"](BASE)),
        (),
    )


def test_what_both_changed_alike_is_there_once() -> None:
    """A comment both reworded; and nothing is left empty above what comes to be first."""
    comment = THEIRS["comments"]
    mine = comment(ask(BASE, "light", "Mine?"))
    other = comment(ask(BASE, "glare", "Theirs?"))
    found = merged(BASE, mine, other)
    assert (found.text, found.conflicts) == (ask(mine, "glare", "Theirs?"), ())
    mine, other = delete(BASE, ("questions", "light")), delete(BASE, ("questions", "height"))
    assert merged(BASE, mine, other).text == delete(mine, ("questions", "height"))


def test_new_pieces_of_both_at_the_same_place() -> None:
    """Both are in the file, with an empty line between them as between all."""
    mine = add_item(BASE, ("questions",), "mine", {"ask": "Mine?", "next": "end"})
    other = add_item(BASE, ("questions",), "other", {"ask": "Theirs?", "next": "end"})
    found = merged(BASE, mine, other)
    assert found.text == add_item(mine, ("questions",), "other", {"ask": "Theirs?", "next": "end"})
    assert found.taken == (("questions", "other"),)


@pytest.mark.parametrize(
    ("mine", "other", "way", "texts"),
    [
        (
            ask(BASE, "light", "Mine?"),
            ask(BASE, "light", "Theirs?"),
            ("questions", "light", "ask"),
            ("    ask: Where is the light?\n", "    ask: Mine?\n", "    ask: Theirs?\n"),
        ),
        (
            delete(BASE, ("advice", 1)),
            set_value(BASE, ("advice", 1, "say"), "Up."),
            ("advice", "low"),
            ("  - name: low\n    say: Lower.\n", None, "  - name: low\n    say: Up.\n"),
        ),
        (
            add_item(BASE, ("advice",), None, {"name": "new", "say": "Mine."}),
            add_item(BASE, ("advice",), None, {"name": "new", "say": "Theirs."}),
            ("advice", "new"),
            (None, "  - name: new\n    say: Mine.\n", "  - name: new\n    say: Theirs.\n"),
        ),
    ],
)
def test_the_same_piece_is_for_a_person_to_decide(
    mine: str, other: str, way: tuple[str, ...], texts: tuple[str | None, ...]
) -> None:
    """Ours until it is decided for theirs; what is beside it is taken all the same."""
    other = set_value(other, ("title",), "Another")
    found = merged(BASE, mine, other)
    assert found.conflicts == (EditConflict(way, *texts),)
    assert found.taken == (("title",),)
    assert found.text == set_value(mine, ("title",), "Another")
    assert merged(BASE, mine, other, found.conflicts).text == other


def test_orders_of_choices_that_differ_are_for_a_person_to_decide() -> None:
    """The order is read out; of questions and advice it is not, and ours stays."""
    base = add_item(BASE, ("questions", "light", "choices"), "none", "No light")
    steps = ("questions", "light", "choices")
    mine, other = move(base, (*steps, "lamp"), 1), move(base, (*steps, "window"), 1)
    assert [each.way for each in merged(base, mine, other).conflicts] == [steps]
    mine, other = move(base, ("questions", "light"), 1), move(base, ("questions", "height"), 1)
    assert merged(base, mine, other).text == mine


RENAMED = rename({"corner.yaml": BASE}, "glare", "dazzled")["corner.yaml"]


def test_a_question_renamed_and_edited_is_one_question() -> None:
    """The new name with the other's edit, whoever renamed; what else names it has the new name."""
    edited = ask(BASE, "glare", "Does the page shine?")
    edited = set_value(edited, ("questions", "height", "skip_when"), "glare")
    wanted = set_value(RENAMED, ("questions", "height", "skip_when"), "dazzled")
    wanted = ask(wanted, "dazzled", "Does the page shine?")
    for ours, theirs in ((RENAMED, edited), (edited, RENAMED)):
        merge = merged(BASE, ours, theirs)
        assert merge.conflicts == ()
        assert merge.text == wanted


def test_advice_and_choices_renamed_and_edited_are_one() -> None:
    """The same for what stands in a list, and for a choice whose question the other changed."""
    ours = set_value(BASE, ("advice", 0, "name"), "lamp_behind")
    ours = ours.replace("      lamp: A lamp", "      lantern: A lamp")
    theirs = set_value(BASE, ("advice", 0, "topic"), "lamp")
    theirs = set_value(theirs, ("questions", "light", "choices", "window"), "A big window")
    merge = merged(BASE, ours, theirs)
    assert merge.conflicts == ()
    assert "  - name: lamp_behind\n    topic: lamp\n    say: Behind you.\n" in str(merge.text)
    assert "      lantern: A lamp\n      window: A big window\n" in str(merge.text)


def test_two_names_for_one_question_are_one_conflict() -> None:
    """Both named it anew: one piece for a person to decide, and not two questions."""
    other = rename({"corner.yaml": BASE}, "glare", "shine")["corner.yaml"]
    merge = merged(BASE, RENAMED, other)
    assert [one.way for one in merge.conflicts if one.way[:1] == ("questions",)][-1:] == [
        ("questions", "dazzled")
    ]
    assert "shine:" not in str(merge.text)
    taken = str(merged(BASE, RENAMED, other, merge.conflicts).text)
    assert "shine:" in taken
    assert "dazzled" not in taken


def test_a_question_put_in_the_place_of_another_is_no_new_name() -> None:
    """Deleted by one and edited by the other: still for a person, though a new one came."""
    gone = delete(BASE, ("questions", "glare"))
    new = {"ask": "Is it loud?", "answer": "yes-no", "next": "end"}
    ours = add_question(gone, "noise", "height", new)
    merge = merged(BASE, ours, ask(BASE, "glare", "Does the page shine?"))
    assert [one.way for one in merge.conflicts] == [("questions", "glare")]


def test_a_file_that_cannot_be_read_is_one_piece() -> None:
    """Nothing is put into a text of which the pieces are not known."""
    other = ask(BASE, "light", "Theirs?")
    broken = BASE.replace("    ask: How high?", "   ask: [How high?")
    found = merged(BASE, broken, other)
    assert found.text == broken
    assert found.conflicts == (EditConflict((), BASE, broken, other),)
    assert merged(BASE, broken, other, found.conflicts).text == other
    assert merged(BASE, broken, BASE).text == broken
    assert merged(BASE, BASE, broken).text == broken


def test_pieces_that_make_another_sense_together_are_not_put_together() -> None:
    """The same names further in would belong to the question above."""
    further = BASE.replace("\n  ", "\n    ")
    found = merged(BASE, ask(BASE, "glare", "Mine?"), further)
    assert [each.way for each in found.conflicts] == [()]


@settings(max_examples=20, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.data(), st.sampled_from([*KEPT.values(), ODD, ODD]))
def test_two_edits_of_different_pieces_are_both_there(data: st.DataObject, base: str) -> None:
    """In any place of any file: as if the second had been made after the first."""
    ways = st.sampled_from(places(base, str))
    one, other = data.draw(ways), data.draw(ways)
    assume(one[:3] != other[:3])
    # An item under another name is another item: one is taken out, and one put in.
    assume(one[:2] != other[:2] or "name" not in (one[-1], other[-1]))
    try:
        mine, theirs = set_value(base, one, "my words"), set_value(base, other, "other words")
        both = set_value(mine, other, "other words")
    except Refused:
        assume(False)
    found = merged(base, mine, theirs)
    if not found.conflicts:
        assert found.text == both
    else:
        # Names of items and the items of lists without names are one piece.
        assert found.text == mine
