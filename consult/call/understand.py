"""Turn what was typed for a question into a value, or into a question back."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from datetime import date
from typing import TYPE_CHECKING

from consult.call.said import (
    bare_words,
    choice_of_doubt,
    is_yes_or_no,
    one_choice,
    parse_date,
    several_choices,
    without_lead,
    yes_no,
)
from consult.hearing.spoken import in_digits, plain
from consult.units import (
    Heard,
    Proposal,
    System,
    Unclear,
    likelier_lengths,
    likelier_masses,
    parse_count,
    parse_length,
    parse_mass,
)

if TYPE_CHECKING:
    from consult.tree.model import Question

AnswerValue = float | str | bool | date | frozenset[str]

UNKNOWN_WORDS = frozenset(
    {
        "?",
        "unknown",
        "dunno",
        "don't know",
        "dont know",
        "do not know",
        "doesn't know",
        "doesnt know",
        "does not know",
        "i don't know",
        "i dont know",
        "not known",
        "not sure",
        "unsure",
        "no idea",
    }
)

_COUNTED = re.compile(
    r"(?<![^\W\d_])(hours?|hrs?|h|days?|weeks?|years?|people|persons?|staff|chairs?"
    r"|pounds?|quid|euros?|dollars?)\b.*$",
    re.I | re.S,
)
"""What a count counts is plain from the question, so "8 hours a day" is 8 and "500 pounds" 500."""
_CURRENCY = str.maketrans("", "", "£€$")
_MAX_TEXT = 20_000
_REACHED_AT = ("caller_contact", "delivery_address")
"""What is written to and driven to; a bare yes or no is neither."""
_SHORT, _MOST = 60, 4096
"""Characters of an answer that is remembered, and how many are."""


@dataclass(frozen=True, slots=True)
class Understood:
    """A value in mm, kg, plain number, choice name(s), yes/no, text or date; None: not known."""

    value: AnswerValue | None
    spread: float = 0.0
    settled: str = field(default="", compare=False)
    """The answer with its unit, where the reading depended on the caller's units; else ''."""


_understood: dict[tuple[int, str, date, System], tuple[Question, Understood]] = {}
"""A call reads all its answers anew after each one, and many callers of a batch say the same.

The question is kept beside what was understood, so that no other can have its ``id``.
"""


def understand(question: Question, said: str, today: date, system: System = "metric") -> Understood:
    """Read ``said`` as an answer to ``question``.

    ``system`` is the caller's units, which a bare number takes when it is typed. A recorded answer
    is read without it: what depended on it was recorded with its unit.

    Raises Unclear, whose text is a question to give back, in words.
    """
    key = id(question), said, today, system
    before = _understood.get(key)
    if before is not None:
        return before[1]
    understood = _read(question, said, today, system)
    if len(said) <= _SHORT:
        if len(_understood) >= _MOST:
            _understood.clear()
        _understood[key] = question, understood
    return understood


def _read(question: Question, said: str, today: date, system: System) -> Understood:
    text = said.strip()
    if is_unknown(text):
        if text != "?" and (unsure := choice_of_doubt(question, text)):
            text = unsure
        elif not question.unknown_allowed:
            unsure = question.choices.get(question.doubt or "")
            instead = f" If they are not sure, the answer is: {unsure}." if unsure else ""
            raise Unclear(
                f"The call cannot continue without this answer. What did the caller say?{instead}"
            )
        else:
            return Understood(None)
    if not text and question.answer != "text":
        raise Unclear("Nothing was typed. If the caller does not know, answer: ?")
    match question.answer:
        case "length" | "mass":
            return _measured(question, text, system)
        case "count":
            number = _COUNTED.sub("", text.translate(_CURRENCY))
            heard = parse_count(number if number.strip() else text, question.expect)
            return Understood(heard.value, heard.spread)
        case "choice":
            return Understood(one_choice(question, text))
        case "choices":
            return Understood(several_choices(question, text))
        case "yes-no":
            return Understood(yes_no(text))
        case "date":
            return Understood(parse_date(text, today))
        case "text":
            if len(said) > _MAX_TEXT:
                raise Unclear("That is longer than 20,000 characters. Please shorten it.")
            if question.sets in _REACHED_AT and is_yes_or_no(text):
                raise Unclear(
                    "What exactly did the caller say? If they would rather not say, answer: ?"
                )
            return Understood(said)


def likelier(question: Question, said: str) -> tuple[Proposal, ...]:
    """Other readings of an unusual length or mass: the same figure in other units."""
    text = figure_in(question, said.strip())
    try:
        if question.answer == "length":
            return likelier_lengths(text, question.unit or "cm", question.expect)
        if question.answer == "mass":
            return likelier_masses(text, question.unit or "kg", question.expect)
    except Unclear:
        pass
    return ()


def is_unknown(text: str) -> bool:
    """The words an adviser types when the caller does not know."""
    return bare_words(text) in UNKNOWN_WORDS


def _measured(question: Question, text: str, system: System) -> Understood:
    """A length or mass: a figure, or an everyday answer such as "trainers"."""
    plain = heard_in_words(question, text)
    if plain is not None:
        return Understood(plain.value, plain.spread)
    figure = figure_in(question, text)
    heard = _figure(question, figure, system)
    if system == "metric" or _is_heard(question, figure, heard):
        return Understood(heard.value, heard.spread)
    with_unit = f"{figure} {heard.said.rsplit(' ', 1)[-1]}"
    settled = with_unit if _is_heard(question, with_unit, heard) else heard.said
    return Understood(heard.value, heard.spread, settled)


def _is_heard(question: Question, text: str, heard: Heard) -> bool:
    """Whether a text means the same without the caller's units."""
    try:
        return _figure(question, text, "metric") == heard
    except Unclear:
        return False


def _figure(question: Question, text: str, system: System) -> Heard:
    if question.answer == "mass":
        return parse_mass(text, question.unit or "kg", question.expect, system)
    return parse_length(text, question.unit or "cm", question.expect, system)


# -- everyday -------------------------------------------------------------------------------------
# Answers without a figure that everybody understands: "trainers", "a normal desk", "a size 14".
#
# Each has its value in mm with an honest margin, and where it comes from.

_HEELS = {
    "barefoot|bare feet|socks|stockings|tights|no shoes|no heels?(?: at all)?|none": (0.0, 0.0),
    "slippers|flats|flat shoes|flat|pumps|ballerinas|plimsolls|ballet flats": (10.0, 10.0),
    "sandals|flip flops|clogs": (15.0, 10.0),
    "trainers|sneakers|running shoes": (25.0, 10.0),
    "(?:ordinary|normal|usual|office|work|smart|lace up) shoes|brogues|loafers": (25.0, 10.0),
    "boots|(?:work|safety|walking|ankle) boots": (30.0, 10.0),
    "(?:low|small|little|block) heels?": (35.0, 15.0),
    "kitten heels": (40.0, 10.0),
    "heels": (60.0, 25.0),
    "(?:high|big) heels|stilettos": (75.0, 25.0),
}
"""Shoes -> heel height and margin. 25 mm is the shoe allowance of Parvez et al. 2018, table 5, and
of the British figures for men (45 for women's shoes); Gouvali and Boudolos 2006 take 20. The other
kinds are common practice, no source; their margins are as wide as the kinds vary."""
_DESK = (725.0, 25.0)
"""720 (BG Bau), 720 to 740 (Irish guidance for fixed desks), 710 (an ergonomics page on footrests);
the margin takes in tables made for eating."""
_TOP = (25.0, 10.0)
"""Boards of 15 to 35 mm; common practice, no source."""
_SIZE_14, _PER_SIZE, _SIZE_MARGIN = 400.0, 10.0, 40.0
"""Seated hip breadth of a British dress size 14, and how much more each number up: hips of 102 to
104 cm around, 5 cm more for every two sizes, and 4 mm of breadth to 10 mm around; all from memory.
The margin is one size either way, for makers differ, and what one body differs from another."""

_NORMAL = re.compile(
    r"(?:the |a |an )?(?:normal|standard|usual|ordinary|regular|average)"
    r"(?: (?:desk|table|office desk|height|desk height|one|thickness|board))*"
)
_SHOES = re.compile(
    r"\b(?:high |low |small )?(?:heels?|shoes?|trainers|boots|slippers|sandals|sneakers)\b"
)
_SIZE = re.compile(
    r"(?:uk |british )?(?:dress |clothes )?size (\d{1,2})(?: ?(?:or|to|-|/) ?(\d{1,2}))?"
)
_SIZES = range(4, 37, 2)


def heard_in_words(question: Question, text: str) -> Heard | None:
    """The value of an everyday answer; None for any other answer or question."""
    words = without_lead(" ".join(plain(text).strip(" .,!").split()))
    if question.sets == "heel":
        return next(
            (Heard(mm, margin) for kind, (mm, margin) in _HEELS.items() if _is(kind, words)), None
        )
    if question.measures == "hip_breadth_sitting":
        return _dress_size(in_digits(words))
    if question.sets == "desk_height" and _NORMAL.fullmatch(words):
        return Heard(*_DESK)
    if question.sets == "desk_thickness" and _NORMAL.fullmatch(words):
        return Heard(*_TOP)
    return None


def figure_in(question: Question, text: str) -> str:
    """The text without the shoes of "two inch heels", whose figure is the answer."""
    return _SHOES.sub(" ", plain(text)) if question.sets == "heel" else text


def _is(kind: str, words: str) -> bool:
    return re.fullmatch(kind, words) is not None


def _dress_size(words: str) -> Heard | None:
    match = _SIZE.fullmatch(words)
    sizes = [int(size) for size in match.groups() if size] if match else []
    if not sizes or any(size not in _SIZES for size in sizes):
        return None
    middle = sum(sizes) / len(sizes)
    margin = _SIZE_MARGIN + _PER_SIZE * (max(sizes) - min(sizes)) / 2
    return Heard(_SIZE_14 + _PER_SIZE * (middle - 14), margin)
