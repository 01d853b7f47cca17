"""Edits of a file that leave every other line as it is, byte for byte.

Text in, text out. What cannot be done raises ``Refused`` with a sentence for the user. After
every edit the new text is read again and must say exactly what was asked for, or it is refused.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from consult.content.editing import writing
from consult.content.editing.patching import (
    FILE_SECTIONS,
    LineUnit,
    Patch,
    Refused,
    blank_run,
    changed,
    data_with,
    in_usual_order,
    newline,
    piece_called,
    shares_line,
    spans_of,
    unit,
    usual_place,
)
from consult.content.editing.writing import in_brackets, replaced, same_style
from consult.marked.marks import Steps
from consult.marked.plain import plain_value
from consult.marked.spans import Spans

__all__ = ["Refused", "add_item", "delete", "move", "set_data", "set_value"]


def set_value(text: str, steps: Steps, value: str) -> str:
    """The value at ``steps`` replaced, in the style it had; a name not there yet is added.

    A list or block that stands there is replaced as a whole.
    """
    spans = spans_of(text)
    if steps in spans.pieces and steps:
        new = _as_read(spans, steps, value)
        lines = same_style(spans, steps, value)
        try:
            return _with_lines(text, steps, lines, new)
        except Refused:
            # A comment below, as far in as the text, would become part of a folded one.
            return _with_lines(text, steps, [f" {writing.inline(value)}"], new)
    name = _new_name(spans, steps)
    return _added(text, steps[:-1], name, value, None)


def set_data(text: str, steps: Steps, value: object) -> str:
    """A list, block, number or truth value in the place of what is at ``steps``, or added."""
    spans = spans_of(text)
    new = _as_data(value)
    if steps in spans.pieces and steps:
        return _with_value(text, steps, new)
    name = _new_name(spans, steps)
    return _added(text, steps[:-1], name, new, None)


def delete(text: str, steps: Steps) -> str:
    """A name with its value, a list item or a whole question taken out.

    The last thing in a list or block takes the empty list or block with it.
    """
    spans = spans_of(text)
    if steps not in spans.pieces or not steps:
        raise Refused(f"There is no {piece_called(steps)} to delete.")
    while len(spans.inside(steps[:-1])) == 1:
        if steps[:-1] == ("questions",):
            raise Refused("A tree needs at least one question, and this is the only one.")
        if len(steps) == 3 and steps[0] == "questions":
            raise Refused("This is all the question contains. Delete the question instead.")
        if len(steps) == 1:
            raise Refused("This is all the file contains, so it cannot be deleted.")
        steps = steps[:-1]
    cut = _cut_in_brackets if in_brackets(spans, steps) else _cut
    return changed(
        text,
        [cut(spans, steps)],
        data_with(spans.data, steps[:-1], lambda holder: _without(holder, steps[-1])),
    )


def move(text: str, steps: Steps, by: int) -> str:
    """A question, choice or list item moved up (``by`` below 0) or down among its like."""
    spans = spans_of(text)
    if steps not in spans.pieces or not steps:
        raise Refused(f"There is no {piece_called(steps)} to move.")
    siblings = spans.inside(steps[:-1])
    index = siblings.index(steps)
    to = index + by
    if not 0 <= to < len(siblings):
        end, way = ("first", "up") if by < 0 else ("last", "down")
        last = index == (0 if by < 0 else len(siblings) - 1)
        message = f"This is the {end} one already." if last else f"It cannot move that far {way}."
        raise Refused(message)
    order = [*siblings[:index], *siblings[index + 1 :]]
    order.insert(to, steps)
    names = [sibling[-1] for sibling in order]
    wanted = data_with(spans.data, steps[:-1], lambda holder: _sorted(holder, names))
    return changed(text, _reordered(spans, order), wanted)


def add_item(
    text: str,
    steps: Steps,
    key: str | None,
    fields: Mapping[str, object] | str,
    at: int | None = None,
) -> str:
    """Something new in the list (``key`` None) or block at ``steps``, at a position or last.

    ``fields`` is a block, whose names are put in their usual order, or one text. A list or block
    that is not there yet is begun, in its usual place.
    """
    spans = spans_of(text)
    value: object = fields
    if isinstance(fields, Mapping):
        value = _as_data(in_usual_order((*steps, 0 if key is None else key), fields))
    fresh: object = [value] if key is None else {key: value}
    current, piece = spans.at(steps), spans.pieces.get(steps)
    if piece is None:
        return _added(text, steps[:-1], _new_name(spans, steps), fresh, None)
    if isinstance(current, str) and key is None and isinstance(value, str):
        return _with_value(text, steps, [current, value])
    if current is None or current in ([], {}):
        return _with_value(text, steps, fresh)
    wanted = list if key is None else dict
    if not isinstance(current, wanted):
        raise Refused(f"Nothing can be added to {piece_called(steps)}.")
    if key is not None and key in current:
        raise Refused(f"There is already a '{key}'. Choose another name.")
    return _added(text, steps, key, value, at)


def with_key(text: str, steps: Steps, new: str) -> str:
    """What stands at ``steps`` under another name, in the same place."""
    spans = spans_of(text)
    piece = spans.pieces[steps]
    wanted = data_with(
        spans.data,
        steps[:-1],
        lambda block: {new if name == steps[-1] else name: value for name, value in block.items()},
    )
    return changed(text, [Patch(piece.head, piece.key_end, writing.key_text(new))], wanted)


def _new_name(spans: Spans, steps: Steps) -> str:
    above = spans.at(steps[:-1])
    if not steps or not isinstance(steps[-1], str) or not isinstance(above, dict):
        raise Refused(f"There is no {piece_called(steps) or 'such piece'} to change.")
    return steps[-1]


def _added(text: str, above: Steps, name: str | None, value: object, at: int | None) -> str:
    """Something more in a block, or in a list where it has no ``name``."""
    spans = spans_of(text)
    there = [str(member) for member in spans.at(above)]
    usual = len(there) if name is None else usual_place(above, there, name)
    place = usual if at is None else max(0, min(at, len(there)))

    def with_it(holder: Any) -> object:
        if name is None:
            return [*holder[:place], value, *holder[place:]]
        entries = list(holder.items())
        return dict([*entries[:place], (name, value), *entries[place:]])

    if spans.pieces[above].style == "{" or in_brackets(spans, above):
        key = "" if name is None else f"{writing.key_text(name)}: "
        message = f"{key}{writing.inline(value, brackets=True)}"
        patch = _into_brackets(spans, above, place, message)
    else:
        column, step = spans.column(spans.pieces[spans.inside(above)[0]].head), _step(spans)
        if name is None:
            lines = writing.item_lines(value, column, step=step)
        else:
            lines = writing.entry_lines(name, value, column, step=step)
        gap = int(name in FILE_SECTIONS) if above == () else _gap(spans, above)
        patch = _into_block(spans, above, place, lines, gap)
    return changed(text, [patch], data_with(spans.data, above, with_it))


def _with_value(text: str, steps: Steps, value: object) -> str:
    spans = spans_of(text)
    piece = spans.pieces[steps]
    lines = [f" {writing.inline(value, brackets=True)}"]
    if not in_brackets(spans, steps):
        indent = spans.column(piece.head) + writing.INDENT
        lines = writing.value_lines(value, indent, spans.column(piece.head_end))
    return _with_lines(text, steps, lines, value)


def _with_lines(text: str, steps: Steps, lines: list[str], value: object) -> str:
    spans = spans_of(text)
    wanted = data_with(spans.data, steps, lambda _: value)
    return changed(text, [replaced(spans, steps, lines)], wanted)


def _into_block(spans: Spans, above: Steps, at: int, lines: list[str], gap: int) -> Patch:
    nl = newline(spans.text)
    siblings = spans.inside(above)
    if at:
        end = unit(spans, siblings[at - 1]).end
        return Patch(end, end, nl * (1 + gap) + nl.join(lines))
    first = spans.pieces[siblings[0]]
    inserted = nl.join(lines) + nl * (1 + gap)
    if shares_line(spans, first):
        pad = " " * spans.column(first.head)
        return Patch(first.head, first.head, inserted.lstrip(" ") + pad)
    start = unit(spans, siblings[0]).start
    return Patch(start, start, inserted)


def _into_brackets(spans: Spans, above: Steps, at: int, inserted: str) -> Patch:
    siblings = spans.inside(above)
    if at:
        end = spans.pieces[siblings[at - 1]].end
        return Patch(end, end, f", {inserted}")
    start = spans.pieces[siblings[0]].head if siblings else spans.pieces[above].start + 1
    return Patch(start, start, f"{inserted}, " if siblings else inserted)


def _step(spans: Spans) -> int:
    """By how much the file indents: as far as its first question does."""
    questions = spans.pieces.get(("questions",))
    if questions is None or questions.kind != "block" or questions.style:
        return writing.INDENT
    return max(1, spans.column(questions.start) - spans.column(questions.head))


def _gap(spans: Spans, above: Steps) -> int:
    """Empty lines between things in a block: one if any are there, or between questions."""
    siblings = spans.inside(above)
    if len(siblings) == 1:
        return int(above == ("questions",))
    if shares_line(spans, spans.pieces[siblings[0]]):
        return 0
    return int(
        any(blank_run(spans, unit(spans, sibling).first - 1, -1) for sibling in siblings[1:])
    )


def _cut(spans: Spans, steps: Steps) -> Patch:
    siblings = spans.inside(steps[:-1])
    index = siblings.index(steps)
    own = unit(spans, steps)
    if index:
        above = own.first - blank_run(spans, own.first - 1, -1) - 1
        return Patch(spans.end_of(above), own.end, "")
    piece = spans.pieces[steps]
    below = own.last + 1
    below += blank_run(spans, below, 1)
    start = spans.start_of(below)
    if shares_line(spans, piece):
        line = spans.line(below)
        return Patch(piece.head, start + len(line) - len(line.lstrip(" ")), "")
    return Patch(own.start, start, "")


def _cut_in_brackets(spans: Spans, steps: Steps) -> Patch:
    siblings = spans.inside(steps[:-1])
    index = siblings.index(steps)
    if index:
        return Patch(spans.pieces[siblings[index - 1]].end, spans.pieces[steps].end, "")
    return Patch(spans.pieces[steps].head, spans.pieces[siblings[1]].head, "")


def _reordered(spans: Spans, order: list[Steps]) -> list[Patch]:
    siblings = spans.inside(order[0][:-1])
    if spans.pieces[order[0][:-1]].style == "{" or in_brackets(spans, order[0]):
        pieces = {sibling: spans.pieces[sibling] for sibling in siblings}
        slots = {sibling: (piece.head, piece.end) for sibling, piece in pieces.items()}
    else:
        if len(siblings) > 1 and shares_line(spans, spans.pieces[siblings[0]]):
            raise Refused("The order of these does not matter, so they cannot be moved.")
        units: dict[Steps, LineUnit] = {sibling: unit(spans, sibling) for sibling in siblings}
        slots = {sibling: (own.start, own.end) for sibling, own in units.items()}
    return [
        Patch(*slots[old], spans.text[slice(*slots[new])])
        for old, new in zip(siblings, order, strict=True)
        if old != new
    ]


def _as_read(spans: Spans, steps: Steps, value: str) -> object:
    """A number put in the place of one without quotes is read as a number again."""
    piece = spans.pieces[steps]
    number = piece.kind == "scalar" and not isinstance(spans.at(steps), (str, type(None)))
    read = plain_value(value)
    return read if number and not isinstance(read, (str, type(None))) else value


def _as_data(value: object) -> object:
    """What the reader makes of a value: blocks and lists, whatever kinds they were given as."""
    if isinstance(value, Mapping):
        return {str(name): _as_data(item) for name, item in value.items()}
    if isinstance(value, (list, tuple)):
        return [_as_data(item) for item in value]
    return value


def _without(holder: Any, step: str | int) -> Any:
    left = holder.copy()
    del left[step]
    return left


def _sorted(holder: Any, names: list[str | int]) -> Any:
    if isinstance(holder, list):
        return [holder[int(name)] for name in names]
    return {name: holder[name] for name in names}
