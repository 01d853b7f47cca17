"""Changes of shape: a question, choice, route or caution more, one less, one further up.

Each gives back the new text; ``Refused`` says in words why not.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from consult.content.editing import edits
from consult.content.editing.edits_questions import single_next
from consult.marked.plain import plain_value
from consult.ui.edit.sheets import PARTS, STEPS, Kind, OutlineEntry, Place, Sheets

if TYPE_CHECKING:
    from consult.marked.marks import Steps


def changed_value(text: str, place: Place, value: str, *, needed: bool) -> str:
    """A field set, or taken out where it is empty and may be."""
    if value.strip() or needed:
        return edits.set_value(text, place.steps, value)
    return edits.delete(text, place.steps)


def question_after(
    text: str, sheets: Sheets, after: OutlineEntry, name: str, ask: str
) -> tuple[str, Place]:
    """A question put in behind another: that one leads to it, and it leads on as that one did."""
    names = list(sheets.questions(after.place.file))
    at = names.index(after.name) + 1 if after.name in names else len(names)
    way = _plain_way(after, sheets)
    onward = sheets.value(after.place, *way) if way else "end"
    fields = {"ask": ask, "answer": "yes-no", "next": onward or "end"}
    new = edits.add_item(text, ("questions",), name, fields, at)
    if way:
        new = edits.set_value(new, (*after.place.steps, *way), name)
    return new, Place(after.place.file, ("questions", name))


def _plain_way(entry: OutlineEntry, sheets: Sheets) -> Steps | None:
    """The way on that has no condition."""
    if entry.kind not in STEPS:
        return None
    following = sheets.data(entry.place.inside("next"))
    if isinstance(following, str):
        return ("next",)
    if isinstance(following, list):
        for index, way in enumerate(following):
            if isinstance(way, dict) and "otherwise" in way:
                return ("next", index, "otherwise")
    return None


def route_less(text: str, place: Place, sheets: Sheets, index: int) -> str:
    """A way on taken out; where only the one without a condition is left, it is written plainly."""
    following = sheets.data(place.inside("next"))
    left = [way for at, way in enumerate(following) if at != index]
    if len(left) == 1 and isinstance(left[0], dict) and "otherwise" in left[0]:
        return single_next(text, str(place.steps[-1]), str(left[0]["otherwise"]))
    return edits.delete(text, (*place.steps, "next", index))


def names_set(text: str, place: Place, typed: str) -> str:
    """Short names, given with commas between them."""
    names = list(dict.fromkeys(" ".join(one.split()) for one in typed.split(",")))
    names = [one for one in names if one]
    if len(names) > 1:
        return edits.set_data(text, place.steps, names)
    return changed_value(text, place, names[0] if names else "", needed=False)


def plain_set(text: str, place: Place, typed: str, *, needed: bool, listed: bool) -> str:
    """A figure, a word or a list of a part, as YAML reads it without quotes."""
    if not typed.strip() and not needed:
        return edits.delete(text, place.steps)
    words = [one.strip() for one in typed.split(",") if one.strip()]
    return edits.set_data(text, place.steps, words if listed else plain_value(typed.strip()))


def moves_set(text: str, place: Place, typed: str) -> str:
    """Things and ways, "seat lower, footrest add"; half a pair stands as typed, to be told of."""
    pairs = [one.replace(":", " ").split() for one in typed.split(",") if one.strip()]
    if pairs and all(len(pair) == 2 for pair in pairs):
        return edits.set_data(text, place.steps, dict(pairs))
    return changed_value(text, place, typed.strip(), needed=False)


def rerouted(text: str, sheets: Sheets, entry: OutlineEntry, onward: str) -> str:
    """Whatever leads to a step of this file leads on to where that one led."""
    file = entry.place.file
    marked = sheets.good[file]
    new = text
    for steps in marked.values:
        leads = steps == ("first",) or steps[-1:] in (("next",), ("go",), ("otherwise",))
        if leads and marked.raw(*steps) == entry.name:
            new = edits.set_value(new, steps, onward)
    return new


def part_more(
    text: str, file: str, sheets: Sheets, part: str, fields: Mapping[str, object]
) -> tuple[str, Place]:
    """A caution, a piece of advice or a need at the end of its list."""
    found = sheets.data(Place(file, (part,)))
    at = len(found) if isinstance(found, list) else 0
    new = edits.add_item(text, (part,), None, fields, None)
    return new, Place(file, (part, at))


PART_OF = {kind: part for part, kind in PARTS.items()}
"""What stands in a list -> the name of the list."""


def as_kind(word: str) -> Kind:
    """A word chosen from a list of kinds, as one."""
    return next(kind for kind in PARTS.values() if kind == word)
