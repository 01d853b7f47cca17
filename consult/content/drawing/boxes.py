"""A view as boxes, each with its text in lines that fit, and the links between them.

All sizes are mm of paper.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache, lru_cache
from pathlib import Path
from typing import Literal

import consult
from consult.content.drawing.view import TreeView
from consult.content.names_in_words import number_in_words, spaced
from consult.content.wording_of_conditions import in_words
from consult.tree.model import END, Question
from consult.units import to_unit
from consult.visible import visible

# -- text that has to fit: how wide it is, and its lines in a given width -------------------------
# Widths are those of DejaVu Sans, which is wider than the faces a viewer may put in its place,
# so that what fits here fits there.

_FOLDER = Path(consult.__file__).parent / "summary" / "fonts"
_FILES = {False: "DejaVuSans.ttf", True: "DejaVuSans-Bold.ttf"}
_UNHEARD_OF = 1.4
"""Width, over the size, of a sign that the face does not have: emoji are about so wide."""
ELLIPSIS = "…"
_LONGEST = 2000
"""Letters looked at: no box holds more."""
_NOT_SHOWN = re.compile("[\u200b-\u200f\u202a-\u202e\u2060-\u206f\ufdd0-\ufdef\ufffe\uffff]")
"""Marks that turn the direction of what follows, joiners, and codes that are no characters."""


def drawable_text(text: str) -> str:
    """Anybody's text on one line, without what could leave its place or cannot stand in XML."""
    line = visible(" ".join(text.split()))
    return _NOT_SHOWN.sub("", "".join(letter for letter in line if ord(letter) & 0xFFFE != 0xFFFE))


@cache
def _face(bold: bool) -> tuple[dict[int, int], int]:
    """Advance of each letter, and the units they are in."""
    from fontTools.ttLib import TTFont  # type: ignore[import-untyped]

    with TTFont(_FOLDER / _FILES[bold], lazy=True) as face:
        advances = face["hmtx"]
        widths = {code: advances[glyph][0] for code, glyph in face.getBestCmap().items()}
        return widths, face["head"].unitsPerEm


@lru_cache(maxsize=20_000)
def _word(word: str, bold: bool) -> float:
    """Width over the size."""
    widths, units = _face(bold)
    total = 0.0
    for letter in word:
        width = widths.get(ord(letter))
        if unicodedata.combining(letter):
            continue
        total += _UNHEARD_OF if width is None else width / units
    return total


def text_width(text: str, size: float, *, bold: bool = False) -> float:
    """How wide a line is, in the unit of ``size``."""
    return _word(text, bold) * size


def box_lines(text: str, room: float, size: float, most: int, *, bold: bool = False) -> list[str]:
    """The text in lines no wider than ``room``; what does not fit ends in an ellipsis."""
    words = drawable_text(text[:_LONGEST]).split()
    lines: list[str] = [""]
    for piece, joined in _pieces(words, room, size, bold):
        longer = f"{lines[-1]}{' ' if joined and lines[-1] else ''}{piece}"
        if text_width(longer, size, bold=bold) <= room:
            lines[-1] = longer
        elif len(lines) == most:
            return [*lines[:-1], _cut(longer, room, size, bold)]
        else:
            lines.append(piece)
    if len(text) > _LONGEST:
        lines[-1] = _cut(lines[-1] + ELLIPSIS, room, size, bold)
    return [line for line in lines if line]


def _pieces(words: list[str], room: float, size: float, bold: bool) -> Iterator[tuple[str, bool]]:
    """Words, those too long for a line in pieces; whether a space stands before each."""
    for word in words:
        begin, joined = 0, True
        while text_width(word[begin:], size, bold=bold) > room:
            end = begin + 1
            while text_width(word[begin : end + 1], size, bold=bold) <= room:
                end += 1
            yield word[begin:end], joined
            begin, joined = end, False
        yield word[begin:], joined


def _cut(text: str, room: float, size: float, bold: bool) -> str:
    kept = text.removesuffix(ELLIPSIS)
    while kept and text_width(kept + ELLIPSIS, size, bold=bold) > room:
        kept = kept[:-1]
    return kept.rstrip() + ELLIPSIS


# -- the text in each box of the drawing, in lines that fit ---------------------------------------
# All sizes are mm of paper.

BoxShape = Literal["question", "label", "start", "end", "stop", "topic"]

WIDE = 68.0
"""Width of a question's box."""
INSIDE = 2.5
"""Room between a box's edge and its text."""
_LABEL_WIDE = 46.0
_NAME, _SAID, _SMALL = 3.4, 3.1, 2.8
_PRIVATE = {None: "", "personal": "Personal. ", "health": "About health. "}
_LEADING = 1.3
"""Height of a line over the size of its letters."""


@dataclass(frozen=True, slots=True)
class TextLine:
    """One line of text; ``at`` is how far its base line is below the top of the box."""

    text: str
    size: float
    at: float
    bold: bool = False
    rule: bool = False
    """Whether it belongs to what is marked by a rule beside it."""


@dataclass(frozen=True, slots=True)
class DrawnBox:
    """Something that has a place in the drawing."""

    shape: BoxShape
    name: str
    """The question or topic; for a label, question and number of its route; else the shape."""
    lines: tuple[TextLine, ...]
    wide: float
    high: float
    told: str
    """The full text, as the title of the box."""


def question_box(view: TreeView, name: str) -> DrawnBox:
    """A question: number and name, what is asked, the kind of answer, and what is special."""
    question = view.questions[name]
    parts = [
        (f"{view.numbers[name]} {spaced(name)}", _NAME, 2, True, False),
        (question.ask, _SAID, 3, False, False),
        (_PRIVATE[question.private] + kind_in_words(question), _SMALL, 2, False, False),
    ]
    parts += [(words, _SMALL, 3, False, False) for words in asking(view, question)]
    stops = ", ".join(spaced(caution.name) for caution in view.stops_after(name))
    if stops:
        parts.append((f"STOP possible: {stops}", _SMALL, 3, True, True))
    return _box("question", name, parts, WIDE, " — ".join(drawable_text(part[0]) for part in parts))


def asking(view: TreeView, question: Question) -> list[str]:
    """When a question that the way leads past is asked or not, in words."""
    lines = []
    if question.skip_when is not None:
        lines.append(f"Skipped when {in_words(question.skip_when, view.tree, asked=question.name)}")
    if question.ask_when is not None:
        lines.append(
            f"Asked only when {in_words(question.ask_when, view.tree, asked=question.name)}"
        )
    if question.pool is not None:
        lines.append(f"Asked while it is worth its time ({spaced(question.pool)})")
    if question.topic is not None:
        lines.append(f"Asked once the topic is open ({view.tree.topics[question.topic].title})")
    return lines


def topic_box(view: TreeView, name: str) -> DrawnBox:
    """A topic, before its first question: what it could change, and what opens it."""
    topic = view.tree.topics[name]
    parts = [
        (f"Topic: {topic.title}", _NAME, 2, True, False),
        (f"Could change: {topic.changes}", _SMALL, 2, False, False),
        *((words, _SMALL, 3, False, False) for words in topic_opening(view, name)),
    ]
    return _box("topic", name, parts, WIDE, " — ".join(drawable_text(part[0]) for part in parts))


def topic_opening(view: TreeView, name: str) -> list[str]:
    """What opens a topic, in words."""
    topic, lines = view.tree.topics[name], []
    if topic.open_when is not None:
        lines.append(f"Opens by itself when {in_words(topic.open_when, view.tree)}")
    asking = [spaced(question.name) for question in view.tree.openers if name in question.choices]
    if asking:
        lines.append(f"Opened by the answer to: {', '.join(asking)}")
    return [*lines, "Skipped unless it is open"]


def kind_in_words(question: Question) -> str:
    """The kind of answer in a few words."""
    words = "".join(_kind(question))
    return words[:1].upper() + words[1:]


def _kind(question: Question) -> Iterator[str]:
    count = len(question.choices)
    match question.answer:
        case "choice":
            yield f"one of {count} choices" if count > 1 else "one choice"
        case "choices":
            yield f"any of {count} choices"
        case "yes-no":
            yield "yes or no"
        case "text":
            yield "free text"
        case "length" | "mass":
            yield f"{question.answer} in {question.unit}"
        case _:
            yield question.answer
    if question.expect is not None:
        unit = question.unit or ""
        low, high = (round(to_unit(end, unit), 6) if unit else end for end in question.expect)
        yield f", usually {number_in_words(low, '')} to {number_in_words(high, unit)}"
    if not question.unknown_allowed:
        yield ", has to be answered"


def label_box(view: TreeView, name: str, index: int) -> DrawnBox:
    """What stands on a route: when it is taken."""
    route = view.questions[name].routes[index]
    message = "otherwise"
    if route.when is not None:
        message = f"when {in_words(route.when, view.tree, asked=name)}"
    box = _box(
        "label", f"{name}.{index}", [(message, _SMALL, 4, False, False)], _LABEL_WIDE, message
    )
    widest = max((text_width(line.text, line.size) for line in box.lines), default=0.0)
    return DrawnBox("label", box.name, box.lines, widest + 2 * INSIDE, box.high, message)


def end_box(view: TreeView) -> DrawnBox:
    """Where it ends, and how it goes on there where only a part is shown."""
    beyond = ", ".join(f"'{spaced(name)}'" for name in view.beyond())
    message = "End of this part" if not view.whole else "End"
    parts = [(message, _NAME, 1, True, False)]
    if beyond:
        parts.append((f"goes on with {beyond}", _SMALL, 3, False, False))
    return _box("end", "end", parts, 46.0 if beyond else 40.0, message)


def stop_box(view: TreeView) -> DrawnBox:
    """What a stop caution does, wherever it comes up."""
    goes = view.tree.after_stop
    on = f"goes on at {_place(view, goes)}" if goes else "ends"
    what = "Product advice" if view.tree.declared else "Advice on chairs"
    message = f"{what} ends; the call {on}."
    anywhere = [spaced(caution.name) for caution in view.tree.stops if caution.when.derived]
    parts = [("After a STOP", _NAME, 1, True, False), (message, _SMALL, 3, False, False)]
    if anywhere:
        parts.append((f"After any question: {', '.join(anywhere)}", _SMALL, 3, False, False))
    return _box("stop", "stop", parts, 52.0, message)


def _place(view: TreeView, name: str) -> str:
    number = view.numbers.get(name)
    return f"{number} {spaced(name)}" if number else f"'{spaced(name)}', in another part"


def _box(
    shape: BoxShape,
    name: str,
    parts: list[tuple[str, float, int, bool, bool]],
    wide: float,
    told: str,
) -> DrawnBox:
    text_lines: list[TextLine] = []
    below = INSIDE
    for text, size, most, bold, rule in parts:
        room = wide - 2 * INSIDE - (2.0 if rule else 0.0)
        if text_lines and text:
            below += 0.9
        for line in box_lines(text, room, size, most, bold=bold):
            text_lines.append(TextLine(line, size, below + 0.98 * size, bold, rule))
            below += size * _LEADING
    return DrawnBox(shape, name, tuple(text_lines), wide, below + INSIDE - 0.2, drawable_text(told))


# -- a view as a graph: every question, every route, and the stops, each once --------------------

LinkKind = Literal["start", "route", "stop", "topic"]


@dataclass(frozen=True, slots=True)
class Link:
    """A line from one box to another; a route with words on it is two, with the words between."""

    source: int
    """Place of the box among the boxes."""
    target: int
    kind: LinkKind
    name: str
    """ "desk_kind.0" is the first route of that question; a stop is named by what it leaves."""
    arrow: bool = True
    """Whether it ends in an arrowhead; not before words."""


@dataclass(frozen=True, slots=True)
class Graph:
    """Boxes, links and which sub-tree each box belongs to."""

    boxes: tuple[DrawnBox, ...]
    links: tuple[Link, ...]
    groups: tuple[str, ...]
    """Beside each box the sub-tree's title; empty for none."""


def graph_of(view: TreeView) -> Graph:
    """Every question, every route, and the stops, each once."""
    start = _box("start", "start", [("Start", _NAME, 1, True, False)], 24.0, "The call begins")
    boxes = [start, *(question_box(view, name) for name in view.questions)]
    groups = ["", *map(view.group, view.questions)]
    at = {name: place for place, name in enumerate(view.questions, 1)}
    at[END] = len(boxes)
    boxes.append(end_box(view))
    groups.append("")
    # Every way to the first question of a topic leads through the topic's own box.
    before = dict(at)
    links: list[Link] = []
    for name, topic in view.topics():
        links.append(Link(len(boxes), at[name], "topic", topic))
        before[name] = len(boxes)
        boxes.append(topic_box(view, topic))
        groups.append(groups[at[name]])
    links.insert(0, Link(0, before[view.first], "start", "start"))
    for name, question in view.questions.items():
        for index, route in enumerate(question.routes):
            key, target = f"{name}.{index}", before[view.place(route.go)]
            if route.when is None and len(question.routes) == 1:
                links.append(Link(at[name], target, "route", key))
                continue
            links += [
                Link(at[name], len(boxes), "route", key, arrow=False),
                Link(len(boxes), target, "route", key),
            ]
            boxes.append(label_box(view, name, index))
            groups.append(groups[at[name]])
    stopping = [name for name in view.questions if view.stops_after(name)]
    if stopping:
        links += [Link(at[name], len(boxes), "stop", name) for name in stopping]
        links.append(Link(len(boxes), before[view.after_stop], "stop", "stop"))
        boxes.append(stop_box(view))
        groups.append("")
    return Graph(tuple(boxes), tuple(links), tuple(groups))
