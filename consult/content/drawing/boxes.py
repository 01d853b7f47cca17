"""The text in each box of the drawing, in lines that fit.

All sizes are mm of paper.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from consult.content.drawing.letters import lines, plain, width
from consult.content.names_in_words import number_in_words, spaced
from consult.content.wording_of_conditions import in_words
from consult.units import to_unit

if TYPE_CHECKING:
    from consult.content.drawing.view import View
    from consult.tree.model import Question

Shape = Literal["question", "label", "start", "end", "stop", "topic"]

WIDE = 68.0
"""Width of a question's box."""
INSIDE = 2.5
"""Room between a box's edge and its text."""
_LABEL_WIDE = 46.0
_NAME, _SAID, _SMALL = 3.4, 3.1, 2.8
_LEADING = 1.3
"""Height of a line over the size of its letters."""


@dataclass(frozen=True, slots=True)
class Line:
    """One line of text; ``at`` is how far its base line is below the top of the box."""

    text: str
    size: float
    at: float
    bold: bool = False
    rule: bool = False
    """Whether it belongs to what is marked by a rule beside it."""


@dataclass(frozen=True, slots=True)
class Box:
    """Something that has a place in the drawing."""

    shape: Shape
    name: str
    """The question or topic; for a label, question and number of its route; else the shape."""
    lines: tuple[Line, ...]
    wide: float
    high: float
    told: str
    """The full text, as the title of the box."""


def question_box(view: View, name: str) -> Box:
    """A question: number and name, what is asked, the kind of answer, and what is special."""
    one = view.questions[name]
    parts = [
        (f"{view.numbers[name]} {spaced(name)}", _NAME, 2, True, False),
        (one.ask, _SAID, 3, False, False),
        (_private(one) + kind_in_words(one), _SMALL, 2, False, False),
    ]
    parts += [(each, _SMALL, 3, False, False) for each in asking(view, one)]
    stops = ", ".join(spaced(each.name) for each in view.stops_after(name))
    if stops:
        parts.append((f"STOP possible: {stops}", _SMALL, 3, True, True))
    return _box("question", name, parts, WIDE, " — ".join(plain(part[0]) for part in parts))


def asking(view: View, one: Question) -> list[str]:
    """When a question that the way leads past is asked or not, in words."""
    found = []
    if one.skip_when is not None:
        found.append(f"Skipped when {in_words(one.skip_when, view.tree, asked=one.name)}")
    if one.ask_when is not None:
        found.append(f"Asked only when {in_words(one.ask_when, view.tree, asked=one.name)}")
    if one.pool is not None:
        found.append(f"Asked while it is worth its time ({spaced(one.pool)})")
    if one.topic is not None:
        found.append(f"Asked once the topic is open ({view.tree.topics[one.topic].title})")
    return found


def topic_box(view: View, name: str) -> Box:
    """A topic, before its first question: what it could change, and what opens it."""
    one = view.tree.topics[name]
    parts = [
        (f"Topic: {one.title}", _NAME, 2, True, False),
        (f"Could change: {one.changes}", _SMALL, 2, False, False),
        *((said, _SMALL, 3, False, False) for said in opening(view, name)),
    ]
    return _box("topic", name, parts, WIDE, " — ".join(plain(part[0]) for part in parts))


def opening(view: View, name: str) -> list[str]:
    """What opens a topic, in words."""
    one, found = view.tree.topics[name], []
    if one.open_when is not None:
        found.append(f"Opens by itself when {in_words(one.open_when, view.tree)}")
    asking = [spaced(each.name) for each in view.tree.openers if name in each.choices]
    if asking:
        found.append(f"Opened by the answer to: {', '.join(asking)}")
    return [*found, "Skipped unless it is open"]


def _private(question: Question) -> str:
    if question.private == "health":
        return "About health. "
    return "Personal. " if question.private else ""


def kind_in_words(question: Question) -> str:
    """The kind of answer in a few words."""
    said = "".join(_kind(question))
    return said[:1].upper() + said[1:]


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


def label_box(view: View, name: str, index: int) -> Box:
    """What stands on a route: when it is taken."""
    route = view.questions[name].routes[index]
    said = "otherwise"
    if route.when is not None:
        said = f"when {in_words(route.when, view.tree, asked=name)}"
    found = _box("label", f"{name}.{index}", [(said, _SMALL, 4, False, False)], _LABEL_WIDE, said)
    widest = max((width(one.text, one.size) for one in found.lines), default=0.0)
    return Box("label", found.name, found.lines, widest + 2 * INSIDE, found.high, said)


def start_box() -> Box:
    """Where a call begins."""
    return _box("start", "start", [("Start", _NAME, 1, True, False)], 24.0, "The call begins")


def end_box(view: View) -> Box:
    """Where it ends, and how it goes on there where only a part is shown."""
    beyond = ", ".join(f"'{spaced(name)}'" for name in view.beyond())
    said = "End of this part" if not view.whole else "End"
    parts = [(said, _NAME, 1, True, False)]
    if beyond:
        parts.append((f"goes on with {beyond}", _SMALL, 3, False, False))
    return _box("end", "end", parts, 46.0 if beyond else 40.0, said)


def stop_box(view: View) -> Box:
    """What a stop caution does, wherever it comes up."""
    goes = view.tree.after_stop
    on = f"goes on at {_place(view, goes)}" if goes else "ends"
    said = f"Advice on chairs ends; the call {on}."
    anywhere = [
        spaced(one.name)
        for one in view.tree.cautions
        if one.level == "stop" and any("." in name for name in one.when.names)
    ]
    parts = [("After a STOP", _NAME, 1, True, False), (said, _SMALL, 3, False, False)]
    if anywhere:
        parts.append((f"After any question: {', '.join(anywhere)}", _SMALL, 3, False, False))
    return _box("stop", "stop", parts, 52.0, said)


def _place(view: View, name: str) -> str:
    number = view.numbers.get(name)
    return f"{number} {spaced(name)}" if number else f"'{spaced(name)}', in another part"


def _box(
    shape: Shape, name: str, parts: list[tuple[str, float, int, bool, bool]], wide: float, told: str
) -> Box:
    found: list[Line] = []
    below = INSIDE
    for text, size, most, bold, rule in parts:
        room = wide - 2 * INSIDE - (2.0 if rule else 0.0)
        if found and text:
            below += 0.9
        for line in lines(text, room, size, most, bold=bold):
            found.append(Line(line, size, below + 0.98 * size, bold, rule))
            below += size * _LEADING
    return Box(shape, name, tuple(found), wide, below + INSIDE - 0.2, plain(told))
