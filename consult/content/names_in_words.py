"""Names of a tree in the words of a reader: questions, choices, and what the fit works out."""

from __future__ import annotations

from decimal import Decimal

from consult.tree.model import Tree
from consult.tree.quantities import QUANTITIES, unit_named

YES_NO: dict[str, tuple[str, str]] = {
    "footrest_needed": ("a footrest is needed", "no footrest is needed"),
    "desk_too_high": ("the desk is too high", "the desk is not too high"),
    "desk_too_low": ("the desk is too low", "the desk is not too low"),
    "thigh_room_short": ("the thighs lack room", "the thighs have room"),
    "arms_meet_desk": ("the armrests would meet the desk", "the armrests would clear the desk"),
    "seat_out_of_reach": ("no seat sold goes low or high enough", "a seat sold suits in height"),
    "desk_out_of_reach": ("the desk does not move far enough", "the desk moves far enough"),
    "footrest_out_of_reach": (
        "no footrest sold is high enough",
        "a footrest sold is high enough",
    ),
    "seat_kept_up": ("the seat may not be lowered", "the seat may be lowered"),
    "settled": (
        "no further measure would change the chair",
        "a further measure could change the chair",
    ),
}
"""``fit.<quantity>`` that is yes or no -> what the fit says when it is so, and when it is not."""


OUTCOME_WORDS: dict[str, tuple[str, str]] = {
    "call": ("a stop holds", "no stop holds"),
    "caution": ("the caution {} comes up", "the caution {} does not come up"),
    "advice": ("the advice {} is given", "the advice {} is not given"),
    "need": ("the need {} counts", "the need {} does not count"),
    "asked": ("{} is asked", "{} is not asked"),
}
"""What is known once the call is over: owner of the name -> where it is so, where it is not."""


def spaced(name: str) -> str:
    """A name without its underscores."""
    return name.replace("_", " ")


def quote(name: str) -> str:
    """A name in quotes, so that it can be found."""
    return f"'{spaced(name)}'"


def choice_in_words(name: str, question: str | None, tree: Tree) -> str:
    """The label of a choice as the caller hears it; its name where there is none.

    Two choices of one question that are labelled alike are told apart by their names.
    """
    asked = tree.questions.get(question) if question is not None else None
    labels = (
        {choice: " ".join(text.split()) for choice, text in asked.choices.items()} if asked else {}
    )
    label = labels.get(name, "")
    if not label:
        return f"“{spaced(name)}”"
    twins = sum(text == label for text in labels.values())
    return f"“{label}” ({spaced(name)})" if twins > 1 else f"“{label}”"


def is_yes_no(name: str) -> bool:
    """Whether a dotted name is answered by yes or no: by the fit, or by how the call went."""
    owner, _, rest = name.partition(".")
    return owner in OUTCOME_WORDS or QUANTITIES.get(owner, {}).get(rest) == "yes-no"


def yes_no_in_words(name: str, *, so: bool) -> str:
    """A sentence that is true where a dotted name is so, or is not so (see ``is_yes_no``)."""
    owner, _, rest = name.partition(".")
    if owner in OUTCOME_WORDS:
        return OUTCOME_WORDS[owner][not so].format(quote(rest))
    if owner == "range":
        return f"the range has {'a' if so else 'no'} chair that is {spaced(rest)}"
    if rest in YES_NO:
        return f"the fit says {YES_NO[rest][not so]}"
    return f"the fit says {'yes' if so else 'no'} to '{spaced(rest)}'"


def quantity_in_words(name: str) -> str:
    """A dotted name as the subject of a sentence."""
    owner, _, rest = name.partition(".")
    if owner == "body":
        return f"the estimated {spaced(rest)}"
    if owner == "range" and not is_yes_no(name):
        return f"the {spaced(rest)} of the range"
    if is_yes_no(name):
        return f"whether {YES_NO[rest][0] if rest in YES_NO else yes_no_in_words(name, so=True)}"
    return f"the worked-out {spaced(rest)}"


def unit_of(name: str, tree: Tree) -> str:
    """The unit a condition reads a name in; empty where it has none."""
    if "." not in name:
        question = tree.questions.get(name)
        return (question.unit or "") if question else ""
    unit = unit_named(name)
    return "" if unit == "yes-no" else unit


def number_in_words(value: float, unit: str) -> str:
    """A number as people write it, with its unit."""
    digits = format(Decimal(repr(value)), "f")
    if "." in digits:
        digits = digits.rstrip("0").rstrip(".")
    return f"{digits} {unit}" if unit else digits
