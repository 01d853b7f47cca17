"""What may stand in a field that is one of several, and what a condition may ask; each with what it
means."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from consult.content.editing.fields import field_of
from consult.content.editing.sheets import STEPS, OutlineEntry, Place, Sheets
from consult.marked.plain import block_at, list_at
from consult.range.parts import FEATURES
from consult.sentence import CHAIR, of_thing
from consult.tree.folder import FITTING_FILE, RANGE_FILE
from consult.tree.model import END
from consult.tree.quantities import QUANTITIES, unit_named

if TYPE_CHECKING:
    from consult.marked.marks import Steps

NO_CHOICE = "leave out"
"""Chosen where the field is to be empty. Not the name of anything: those have no space."""
_TO_QUESTION = ("next", "go", "otherwise", "first", "after_stop")


def _words(entry: OutlineEntry, steps: Steps, sheets: Sheets) -> Mapping[str, str]:
    """What may stand in the field at ``steps``, and what each means."""
    key, field = str(steps[-1]), field_of(entry.kind, steps)
    if field is not None and field.options is not None:
        return {
            name: of_thing(words, sheets.thing)
            for name, words in field.options.items()
            if sheets.thing == CHAIR or not name.startswith(CHAIR)
        }
    if key in _TO_QUESTION:
        return _places(entry, key, sheets)
    if key in ("include", "topic"):
        return {
            name.removesuffix(".yaml"): sheets.value(Place(name), "title")
            for name in sheets.files
            if sheets.is_tree(name) and name != entry.place.file
        }
    if key == "exclusive":
        return sheets.choices(entry.place)
    return _contacts(sheets) if key == "contact" else _features(sheets)


def options(entry: OutlineEntry, steps: Steps, sheets: Sheets) -> dict[str, str]:
    """The lines to choose from for the field at ``steps``, by the word that each stands for; the
    last leaves the field out, where that may be."""
    words = _words(entry, steps, sheets)
    lines = {name: f"{name}: {label}" if label else name for name, label in words.items()}
    field = field_of(entry.kind, steps)
    if field is not None and not field.needed:
        lines[NO_CHOICE] = f"(leave out: {field.hint or 'nothing'})"
    return lines


def meaning(entry: OutlineEntry, key: str, sheets: Sheets, word: str) -> str:
    """What a word in a field means."""
    line = options(entry, (key,), sheets).get(word, "")
    return " ".join(line.removeprefix(f"{word}: ").split())


def _places(entry: OutlineEntry, key: str, sheets: Sheets) -> dict[str, str]:
    """Where a call may go on: this file first, then the trees asked together with it."""
    here = entry.place.file
    files = [here]
    if key != "first":
        files += [path for path in sheets.family(here) if path != here]
    words: dict[str, str] = {}
    for file in files:
        for step in sheets.entries(file):
            if step.kind in STEPS:
                message = f"the tree {step.words}" if step.kind == "include" else step.words
                words.setdefault(step.name, message)
    if key in ("next", "go", "otherwise"):
        words[END] = "the end of this tree; if another tree includes it, that one continues"
    return words


def _contacts(sheets: Sheets) -> dict[str, str]:
    from consult.tree.contacts import ABOUT, CONTACTS_FILE

    countries = block_at(sheets.data(Place(CONTACTS_FILE)), "countries")
    block = block_at(countries, next(iter(countries), ""))
    return {name: str(words) for name, words in block.items() if name not in ABOUT}


def _declared(sheets: Sheets, part: str) -> dict[str, dict[str, object]] | None:
    """The blocks of a part of what another product declares; None where nothing does."""
    blocks = sheets.data(Place(FITTING_FILE, (part,)))
    if not isinstance(blocks, dict):
        return None
    return {str(name): declared for name, declared in blocks.items() if isinstance(declared, dict)}


def _features(sheets: Sheets) -> dict[str, str]:
    """The features of the range file, or of the kinds of part of another product; every one there
    is where the folder has neither."""
    kinds = _declared(sheets, "kinds")
    if kinds is not None:
        return {str(name): "" for kind in kinds.values() for name in list_at(kind, "features")}
    if RANGE_FILE not in sheets.good:
        return dict.fromkeys(FEATURES, "")
    sections = block_at(sheets.data(Place(RANGE_FILE))).values()
    parts = (part for section in sections for part in list_at(section))
    return {str(name): "" for part in parts for name in list_at(part, "features")}


# -- A condition put together by choosing: the question, then what its answer is to be ------------

NUMBER_FORM = "{}"
"""Where the number goes in a test that needs one."""


def subjects(sheets: Sheets, file: str) -> Iterator[tuple[str, str]]:
    """Everything a condition can look at, and what it is: questions, and what the fit says."""
    for entry in sheets.steps_near(file, "question"):
        yield entry.name, " ".join(entry.words.split())
    declared = _declared(sheets, "quantities")
    for name, block in (declared or {}).items():
        if "within" in block:
            yield f"fit.{name}", f"{block.get('label', name)}, in cm"
    program = () if declared else (("fit", "what the fit works out"), ("range", "of the range"))
    for owner, what in program:
        for name, unit in QUANTITIES[owner].items():
            how = "yes or no" if unit == "yes-no" else f"in {unit}"
            yield f"{owner}.{name}", f"{what}, {how}"


def asked_of(subject: str, sheets: Sheets, file: str) -> dict[str, str]:
    """The conditions that ask something of a subject, and what each says of its answer."""
    if "." in subject:
        unit = unit_named(subject)
        return _yes_no(subject) if unit == "yes-no" else _numbers(subject, unit)
    entry = next(step for step in sheets.steps_near(file, "question") if step.name == subject)
    answer = sheets.value(entry.place, "answer")
    tests = {
        "choice": (("{0} == {1}", "is"), ("{0} != {1}", "is not")),
        "choices": (("{1} in {0}", "has"), ("{1} not in {0}", "has not")),
    }
    conditions = {
        test.format(subject, name): f"{words}: {label}"
        for test, words in tests.get(answer, ())
        for name, label in sheets.choices(entry.place).items()
    }
    if answer == "yes-no":
        conditions = _yes_no(subject)
    elif answer in ("length", "mass", "count"):
        conditions = _numbers(subject, sheets.value(entry.place, "unit"))
    return conditions | {
        f"known({subject})": "it was answered",
        f"not known({subject})": "it was not answered, or not asked",
    }


def _yes_no(subject: str) -> dict[str, str]:
    return {subject: "yes", f"not {subject}": "no"}


def _numbers(subject: str, unit: str) -> dict[str, str]:
    what = f"a number of {unit}" if unit else "a number"
    signs = {
        ">": "is more than",
        ">=": "is at least",
        "<": "is less than",
        "<=": "is at most",
        "==": "is exactly",
    }
    return {f"{subject} {sign} {NUMBER_FORM}": f"{words} {what}" for sign, words in signs.items()}


def joined(old: str, how: str, new: str) -> str:
    """Two conditions made one: ``how`` is "and", "or" or "anew"."""
    if how == "anew" or not old.strip():
        return new
    opposite = " or " if how == "and" else " and "
    kept = f"({old.strip()})" if opposite in old else old.strip()
    return f"{kept} {how} {new}"
