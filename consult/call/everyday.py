"""Answers without a figure that everybody understands: "trainers", "a normal desk", "a size 14".

Each has its value in mm with an honest margin, and where it comes from.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from consult.hearing.spoken import in_digits, plain
from consult.units import Heard

if TYPE_CHECKING:
    from consult.tree.model import Question

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
_LEADING = re.compile(
    r"^(?:(?:i|we|she|he|they|it|it's|i'm|am|is|are|that's|just|only|usually|mostly|wear|wearing|wears"
    r"|in|my|her|his|a|an|the|got|have|i've|about|probably|erm|um|oh|well)[ ,]+)+"
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
    words = _LEADING.sub("", " ".join(plain(text).strip(" .,!").split()))
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
    found = _SIZE.fullmatch(words)
    sizes = [int(size) for size in found.groups() if size] if found else []
    if not sizes or any(size not in _SIZES for size in sizes):
        return None
    middle = sum(sizes) / len(sizes)
    margin = _SIZE_MARGIN + _PER_SIZE * (max(sizes) - min(sizes)) / 2
    return Heard(_SIZE_14 + _PER_SIZE * (middle - 14), margin)
