"""The worked example, and the words that come before a first call."""

from __future__ import annotations

from functools import cache

from consult.picture.measures import MEASURES
from consult.practice.log import Again, Close, Coach
from consult.practice.worked import EXAMPLE, MEASURED, WorkedTurn, worked_example
from tests.call.calls import basis_of
from tests.practice.callers import shipped
from tests.practice.trainees import BEGAN


@cache
def scenes() -> tuple[WorkedTurn, ...]:
    """The example as it is shipped."""
    return worked_example(basis_of("seating"), shipped(EXAMPLE, 1), BEGAN)


def scene(about: str, act: type | None = None) -> WorkedTurn:
    """The first turn about a question."""
    return next(
        one
        for one in scenes()
        if one.turn.about == about and (act is None or isinstance(one.turn.act, act))
    )


def test_the_whole_call_is_played() -> None:
    """From the first words to goodbye, every turn with something to learn."""
    assert scenes()[0].turn.act is None
    assert isinstance(scenes()[-1].turn.act, Close)
    assert [one.turn.number for one in scenes()] == list(range(1, len(scenes()) + 1))
    assert all(one.comments for one in scenes())


def test_what_is_typed_is_what_an_adviser_types() -> None:
    """Numbers of choices, y, figures as said; what was said early by its name."""
    assert scene("who_sits").typed == ("1",)
    assert scene("consent").typed == ("y",)
    assert scene("reasons").typed == ("1", "/floor 2")
    assert scene("delivery_address").typed == ("?",)


def test_an_error_is_shown_and_put_right() -> None:
    """The shoes are heard, nothing is entered, and the height is asked once more."""
    first, then = scene("stature"), scene("stature", Again)
    assert first.typed == ()
    assert any("shoes are in the figure" in one for one in first.comments)
    assert then.turn.number == first.turn.number + 1
    assert then.typed == ("159 cm",)


def test_nothing_is_explained_twice() -> None:
    """Where the tape starts and ends is explained the first time that one is needed."""
    taped = [one for one in scenes() if isinstance(one.turn.act, Coach)]
    assert len(taped) >= 3
    assert ["where the tape starts" in " ".join(one.comments) for one in taped] == [
        True,
        *[False] * (len(taped) - 1),
    ]


def test_every_drawn_measure_has_its_words() -> None:
    """No drawing without a word, no word without a drawing."""
    assert set(MEASURED) == set(MEASURES)
