"""What may stand in a field that is one of several, with what each means."""

from __future__ import annotations

from typing import TYPE_CHECKING

from consult.fit.range_model import FEATURES
from consult.tree.contacts import ABOUT
from consult.tree.contacts import FILE as CONTACTS_FILE
from consult.tree.model import END
from consult.ui.choose_screen import Line
from consult.ui.edit.fields import FIELDS
from consult.ui.edit.sheets import STEPS, Entry, Place, Sheets

if TYPE_CHECKING:
    from consult.marked.marks import Steps

NOTHING = "leave out"
"""Chosen where the field is to be empty. Not the name of anything: those have no space."""
RANGE_FILE = "range.yaml"
_TO_QUESTION = ("next", "go", "otherwise", "first", "after_stop")


def options(entry: Entry, steps: Steps, sheets: Sheets) -> list[Line]:
    """The lines to choose from, for the field at ``steps``."""
    key = str(steps[-1])
    field = next((one for one in FIELDS.get(entry.kind, ()) if one.key == key), None)
    if field is not None and field.options is not None:
        words = dict(field.options)
    elif key in _TO_QUESTION:
        words = _places(entry, key, sheets)
    elif key in ("include", "topic"):
        words = {
            name.removesuffix(".yaml"): sheets.value(Place(name), "title")
            for name in sheets.files
            if sheets.is_tree(name) and name != entry.place.file
        }
    elif key == "exclusive":
        names = sheets.data(entry.place.inside("choices"))
        words = {
            name: sheets.value(entry.place, "choices", name)
            for name in (names if isinstance(names, dict) else ())
        }
    elif key == "contact":
        words = _contacts(sheets)
    else:
        words = _features(sheets)
    lines = [Line(name, f"{name}: {said}" if said else name) for name, said in words.items()]
    if field is not None and not field.needed:
        lines.append(Line(NOTHING, f"(leave out: {field.hint or 'nothing'})"))
    return lines


def _places(entry: Entry, key: str, sheets: Sheets) -> dict[str, str]:
    """Where a call may go on: this file first, then the trees asked together with it."""
    here = entry.place.file
    files = [here]
    if key != "first":
        files += [one for one in sheets.family(here) if one != here]
    words: dict[str, str] = {}
    for file in files:
        for one in sheets.entries(file):
            if one.kind in STEPS:
                said = f"the tree {one.words}" if one.kind == "include" else one.words
                words.setdefault(one.name, said)
    if key in ("next", "go", "otherwise"):
        words[END] = "the end of this tree; if another tree includes it, that one continues"
    return words


def _contacts(sheets: Sheets) -> dict[str, str]:
    countries = sheets.data(Place(CONTACTS_FILE, ("countries",)))
    first = next(iter(countries.values()), None) if isinstance(countries, dict) else None
    block = first if isinstance(first, dict) else {}
    return {name: str(said) for name, said in block.items() if name not in ABOUT}


def _features(sheets: Sheets) -> dict[str, str]:
    """The features of the range file; every one there is where the folder has no range."""
    if RANGE_FILE not in sheets.good:
        return dict.fromkeys(FEATURES, "")
    found: dict[str, str] = {}
    top = sheets.data(Place(RANGE_FILE))
    for section in top.values() if isinstance(top, dict) else ():
        for part in section if isinstance(section, list) else ():
            names = part.get("features") if isinstance(part, dict) else None
            for name in names if isinstance(names, list) else ():
                found.setdefault(str(name), "")
    return found
