"""Edits as the content lead thinks of them."""

from __future__ import annotations

import pytest

from consult.content.editing.edits import Refused, add_item, delete, set_value
from consult.content.editing.edits_questions import (
    add_choice,
    add_include,
    add_question,
    add_route,
    add_share,
    without_route,
)
from tests.content.editing.pieces import KEPT, read

TEXT = KEPT["present_chair.yaml"]
CHAIR = KEPT["seating.yaml"]


def test_a_new_question_takes_its_place_in_the_call() -> None:
    """Without a next it leads where the one above led, which now leads to it."""
    new = add_question(TEXT, "mat", "floor", {"answer": "yes-no", "ask": "Is there a mat?"})
    assert (
        "    next: mat\n\n"
        "  mat:\n    ask: Is there a mat?\n    answer: yes-no\n    next: screens\n\n"
        "  screens:\n"
    ) in new
    back = delete(set_value(new, ("questions", "floor", "next"), "screens"), ("questions", "mat"))
    assert back == TEXT


def test_a_new_question_with_its_own_next_touches_no_other() -> None:
    """With a next it is only added; at the end where no question is named."""
    new = add_question(TEXT, "mat", None, {"ask": "A mat?", "answer": "yes-no", "next": "end"})
    assert list(read(new)["questions"])[-1] == "mat"
    assert delete(new, ("questions", "mat")) == TEXT


def test_a_question_below_one_with_routes_says_where_it_leads() -> None:
    """Which of several ways to take over is not guessed."""
    with pytest.raises(Refused, match="several routes"):
        add_question(CHAIR, "x", "who_sits", {"ask": "x", "answer": "text"})
    with pytest.raises(Refused, match="Choose the next question"):
        add_question(CHAIR, "x", None, {"ask": "x", "answer": "text"})
    with pytest.raises(Refused, match="no question 'nobody'"):
        add_question(CHAIR, "x", "nobody", {"ask": "x", "answer": "text"})


def test_a_sub_tree_is_a_step() -> None:
    """An include step takes its place in the call like a question."""
    new = add_include(CHAIR, "the_car", "car", "the_work")
    assert "    next: the_car\n\n  the_car:\n    include: car\n    next: the_desk\n" in new


def test_choices() -> None:
    """A choice goes in last; its label may be any text."""
    new = add_choice(TEXT, "floor", "lino", "Lino: old # kind")
    assert '      lino: "Lino: old # kind"\n' in new
    assert delete(new, ("questions", "floor", "choices", "lino")) == TEXT
    with pytest.raises(Refused, match="already a 'hard'"):
        add_choice(TEXT, "floor", "hard", "x")


def test_one_way_on_becomes_routes_and_is_one_again() -> None:
    """The one way becomes the otherwise, further routes go above it, and back is back."""
    one = add_route(TEXT, "floor", "floor == hard", "lenses")
    assert (
        "    next:\n      - when: floor == hard\n        go: lenses\n      - otherwise: screens\n"
    ) in one
    two = add_route(one, "floor", "floor == mixed", "end")
    assert [list(route) for route in read(two)["questions"]["floor"]["next"]] == [
        ["when", "go"],
        ["when", "go"],
        ["otherwise"],
    ]
    assert without_route(without_route(two, "floor", 1), "floor", 0) == TEXT


def test_rules_are_added_in_their_usual_order() -> None:
    """A caution, advice or need has its names in the order of the trees."""
    rule = {"say": "Mind it.", "when": "floor == hard", "source": "common_practice"}
    new = add_item(TEXT, ("cautions",), None, {**rule, "level": "note", "name": "mind"})
    assert (
        "\n\ncautions:\n  - name: mind\n    level: note\n    when: floor == hard\n"
        "    say: Mind it.\n    source: common_practice\n\nadvice:\n"
    ) in new
    assert delete(new, ("cautions", 0)) == TEXT
    for part in ("advice", "needs"):
        with_one = add_item(TEXT, (part,), None, {**rule, "name": "mind"}, 0)
        assert read(with_one)[part][0]["name"] == "mind"
        assert delete(with_one, (part, 0)) == TEXT


CALLERS = """callers: Callers
questions:
  light:
    shares: {lamp: 60, window: 30, both: 10}   # rounded
    source: invented
  signs:
    chances:
      none: 90
      fever: 5
"""


def test_a_new_choice_gets_a_share_of_the_callers() -> None:
    """The others give way in proportion and all come to 100; of several choices, each stands."""
    new = add_share(CALLERS, "light", "candle")
    assert "    shares: {lamp: 45, window: 22, both: 8, candle: 25}   # rounded\n" in new
    assert "      fever: 5\n      numb: 33\n" in add_share(CALLERS, "signs", "numb")
    assert add_share(new, "light", "candle") == new
    assert add_share(CALLERS, "heel", "high") == CALLERS
