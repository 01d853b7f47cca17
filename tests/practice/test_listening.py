"""What was entered against what was said, in words that somebody new understands."""

from __future__ import annotations

from dataclasses import replace

from consult.practice.log import Entered
from consult.practice.score import as_it_should_be, score_of
from consult.practice.scoring.points import ScoreItem
from tests.practice.callers_by_hand import caller
from tests.practice.trainees import BEGAN


def item(question: str, said: str, criterion: str) -> ScoreItem:
    """What is said of one other entry in an otherwise perfect call."""
    basis, persona = caller("plain")
    log = as_it_should_be(basis, persona, 1, BEGAN.date()).log
    events = tuple(
        replace(one, said=f"/{question.replace('_', ' ')}: {said}", recorded=said)
        if isinstance(one, Entered) and one.question == question
        else one
        for one in log.events
    )
    found = score_of(replace(log, events=events), persona, basis)
    return next(one for one in found.of(criterion) if one.got < one.of)


def test_choices_are_named_as_the_list_has_them() -> None:
    """Neither a number nor a name of the files: the label."""
    wrong = item("reasons", "2", "heard")
    said = (
        "“Seat presses behind the knees” was entered, and the caller said “Old chair is worn out”."
    )
    assert wrong.why == said


def test_a_figure_typed_wrongly_is_not_one_measured_wrongly() -> None:
    """Who types another figure than the caller said hears that, and not how to hold a tape."""
    wrong = item("stature", "150 cm", "measures")
    assert wrong.better.startswith("The caller said “1")
    assert wrong.better.endswith("Say back each figure as you type it.")


def test_a_figure_that_nobody_said_is_half_right_where_it_happens_to_be_near() -> None:
    """Within what careful measuring allows, and still not the 73 cm that the caller said."""
    wrong = item("desk_height", "74.5 cm", "measures")
    assert wrong.got == wrong.of / 2
    assert wrong.why.endswith("the caller said something else.")
