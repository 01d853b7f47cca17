"""A choice by the words a caller uses: a bare yes or no is never guessed to be another answer."""

from __future__ import annotations

import pytest

from consult.call.understand import understand
from consult.tree.model import Question
from consult.units import Unclear
from tests.call.calls import TODAY, question
from tests.long import every_case

ARMS = question(
    "choice",
    choices={
        "rested": "Yes, much of the day",
        "seldom": "Now and then",
        "never": "Never, or they're in the way",
    },
)
CARE = question(
    "choices",
    choices={
        "none": "None of these",
        "operation": "An earlier operation",
        "pregnant": "You're pregnant",
        "not_long": "Not for long",
    },
    exclusive="none",
)
STEP = question("choice", choices={"done": "Yes", "not_found": "I can't find it", "stuck": "Stuck"})
BETTER = question(
    "choice",
    choices={"helped": "Yes, better", "same": "The same, or not sure"},
    unknown_allowed=False,
)
SIGNS = question(
    "choices",
    choices={
        "none": "None of these",
        "numb": "Numb between the legs",
        "face": "A drooping face, or one side suddenly limp or asleep",
        "hands": "Asleep hands",
        "not_sure": "Not sure about one of these",
    },
    exclusive="none",
    doubt="not_sure",
    signs={"numb": ("saddle_numbness",)},
    unknown_allowed=False,
)
FLOOR = question(
    "choice", choices={"carpet": "Carpet", "hard": "Wood, tile or stone", "mixed": "Some of each"}
)
ACHES = question(
    "choices",
    choices={"none": "Nowhere", "neck": "Neck", "upper": "Upper back", "lower": "Lower back"},
    exclusive="none",
)


def chosen(asked: Question, said: str) -> object:
    """The name of the choice; None where it is asked back."""
    try:
        found = understand(asked, said, TODAY).value
    except Unclear:
        return None
    return sorted(found) if isinstance(found, frozenset) else found


@every_case(
    [
        (ARMS, "no", "never"),  # not "Now and then"
        (ARMS, "n", "never"),
        (ARMS, "no, never", "never"),
        (ARMS, "now", "seldom"),
        (ARMS, "yes please", "rested"),
        (CARE, "y", None),  # not "You're pregnant"
        (CARE, "yes", None),
        (CARE, "no", ["none"]),
        (CARE, "no thanks", ["none"]),
        (CARE, "nothing else", ["none"]),
        (CARE, "none of those", ["none"]),
        (CARE, "an operation", ["operation"]),
        (STEP, "y", "done"),
        (STEP, "no", None),  # not the choice named not_found
        (STEP, "n", None),
        (SIGNS, "no", ["none"]),
        (SIGNS, "my numb", None),
        (SIGNS, "nothing much", None),
        (SIGNS, "none of those", ["none"]),
        (SIGNS, "no, none", ["none"]),
        (SIGNS, "no thanks", None),  # they may not want to hear the list
        (SIGNS, "not sure", ["not_sure"]),
        (SIGNS, "don't know", ["not_sure"]),
        (SIGNS, "?", None),
        (SIGNS, "asleep", None),  # begins one sign and stands within another
        (SIGNS, "face", ["face"]),
        (BETTER, "not sure", "same"),
        (BETTER, "don't know", None),
        (ACHES, "neck, nothing else", ["neck"]),
        (ACHES, "neck and that’s all", ["neck"]),
        (ACHES, "neck, nothing", None),  # which of the two?
        (ACHES, "nothing else", ["none"]),
        (FLOOR, "carpet, a carpet", "carpet"),
        (FLOOR, "carpet, stone", None),
    ]
)
def test_what_a_word_means(asked: Question, said: str, name: object) -> None:
    """Yes and no mean the one choice that says so, or are asked back."""
    assert chosen(asked, said) == name


def test_a_yes_that_does_not_say_which() -> None:
    """It is told so."""
    with pytest.raises(Unclear, match="does not say which"):
        understand(CARE, "yes", TODAY)


def test_a_word_of_two_labels() -> None:
    """Both are named, as they are for first letters."""
    asked = question("choice", choices={"upper": "Upper back", "lower": "Lower back"})
    with pytest.raises(Unclear, match="could be Upper back or Lower back"):
        understand(asked, "back", TODAY)


@every_case(
    [
        (FLOOR, "wooden boards", ["2"]),
        (FLOOR, "tiles", ["2"]),
        (FLOOR, "each room another", ["3"]),
        (FLOOR, "carpets", ["1"]),
        (FLOOR, "crapet", ["1"]),
        (FLOOR, "parquet", []),  # no slip of carpet
        (FLOOR, "not wooden", []),
        (FLOOR, "nothing like tiles", []),
        (FLOOR, "it isn't carpeted", []),
        (ACHES, "a bit in the neck", ["2"]),
        (ACHES, "lower back, a stiff neck, upper back", ["lower back, 2, upper back"]),
        (ACHES, "back", ["3", "4"]),
        (ACHES, "a backache", []),  # in two of them, so it tells neither
        (SIGNS, "legs feel asleep", []),  # a sign is never guessed
        (SIGNS, "asleep", []),
    ]
)
def test_what_is_proposed(asked: Question, said: str, proposed: list[str]) -> None:
    """A choice that shares a telling word with the answer is proposed, and never simply taken."""
    with pytest.raises(Unclear) as caught:
        understand(asked, said, TODAY)
    assert [one.said for one in caught.value.proposals] == proposed
    for one in caught.value.proposals:
        assert one.words in asked.choices.values()
        understand(asked, one.said, TODAY)


def test_not_known_at_the_signs() -> None:
    """Nobody is left without the answer for who is not sure."""
    with pytest.raises(Unclear, match="the answer is: Not sure about one of these"):
        understand(SIGNS, "?", TODAY)
