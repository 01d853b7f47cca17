"""What the desk asks a person before it changes something: one of several, words, a condition."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from textual import work

from consult.content.editing import edits
from consult.range.parts import FEATURES
from consult.sentence import CHAIR, of_thing
from consult.tree.contacts import ABOUT
from consult.tree.contacts import FILE as CONTACTS_FILE
from consult.tree.folder import FITTING_FILE
from consult.tree.model import END
from consult.tree.quantities import LENGTH_UNITS, MASS_UNITS, QUANTITIES, unit_named
from consult.ui.dialogs import ChoiceLine, ChooseScreen, LineScreen
from consult.ui.edit.field_widgets import ConditionLine, PickLine
from consult.ui.edit.fields import FIELDS
from consult.ui.edit.panes import Panes
from consult.ui.edit.sheets import STEPS, OutlineEntry, Place, Sheets

if TYPE_CHECKING:
    from textual.screen import Screen

    from consult.marked.marks import Steps


class Asking(Panes):
    """Fields that are chosen, and the small pages that choose."""

    # -- fields that are chosen ---------------------------------------------------------------

    def meaning(self, key: str, word: str) -> str:
        """What a word in a field means."""
        for line in options(self.entry, (key,), self.sheets):
            if line.id == word:
                return " ".join(line.text.removeprefix(f"{word}: ").split())
        return ""

    @work(group="flow", exclusive=True)
    async def pick_asked(self, control: PickLine) -> None:
        """Choose what stands in a field."""
        lines = options(self.entry, control.at, self.sheets)
        key = str(control.at[-1])
        field = next((one for one in FIELDS.get(self.entry.kind, ()) if one.key == key), None)
        title = f"{field.label if field else 'Go to'}: which one?"
        chosen = await self.choose(title, lines)
        if chosen is None:
            return
        value = "" if chosen == NOTHING else chosen
        if key == "answer":
            self._answer_becomes(value)
        else:
            control.choose(value)

    def _answer_becomes(self, kind: str) -> None:
        """Another kind of answer; what does not go with it leaves, a unit it needs comes."""
        entry = self.entry
        gone = [
            one
            for one in FIELDS["question"]
            if one.only and kind not in one.only and self.sheets.value(entry.place, one.key)
        ]

        units = {"length": LENGTH_UNITS, "mass": MASS_UNITS}.get(kind)

        def change(text: str) -> str:
            new = edits.set_value(text, (*entry.place.steps, "answer"), kind)
            for one in gone:
                new = edits.delete(new, (*entry.place.steps, one.key))
            if units and self.sheets.value(entry.place, "unit") not in units:
                new = edits.set_value(new, (*entry.place.steps, "unit"), units[0])
            return new

        if self.try_edit(entry.place.file, change, f"answer of {entry.name}") and gone:
            left = ", ".join(one.label.lower() for one in gone)
            self.tell(f"Removed, because it does not fit {kind}: {left}.", "")

    # -- conditions ---------------------------------------------------------------------------

    @work(group="flow", exclusive=True)
    async def build_asked(self, control: ConditionLine) -> None:
        """Put a condition together."""
        how = "anew"
        if control.kept.strip():
            found = await self.choose(
                f"It now says: {control.kept}",
                [
                    ChoiceLine("and", "and: another condition must also be true"),
                    ChoiceLine("or", "or: another condition may be true instead"),
                    ChoiceLine("anew", "replace: write a new condition"),
                ],
            )
            if found is None:
                return
            how = found
        new = await self.ask_condition("")
        if new is not None:
            control.put(joined(control.kept, how, new))
            control.typing()
            control.flush()

    async def ask_condition(self, subject: str) -> str | None:
        """Which question, and what is to be answered; None where the person left."""
        if not subject:
            lines = [
                ChoiceLine(name, f"{name}: {said}")
                for name, said in subjects(self.sheets, self.place.file)
            ]
            found = await self.choose("Which answer does the condition depend on?", lines)
            if found is None:
                return None
            subject = found
        tests = asked_of(subject, self.sheets, self.place.file)
        lines = [ChoiceLine(str(at), one.words) for at, one in enumerate(tests)]
        lines.append(ChoiceLine("other", "another question"))
        found = await self.choose(f"When the answer to {subject} ...", lines)
        if found is None:
            return None
        if found == "other":
            return await self.ask_condition("")
        condition = tests[int(found)].condition
        if NUMBER in condition:
            number = await self.line("Which number?", tests[int(found)].words)
            return condition.replace(NUMBER, number.strip()) if number else None
        return condition

    # -- the small pages ----------------------------------------------------------------------

    async def choose(self, title: str, lines: list[ChoiceLine]) -> str | None:
        """One of several lines."""

        def find(typed: str) -> list[ChoiceLine]:
            sought = typed.casefold()
            found = [one for one in lines if sought in one.text.casefold()]
            return sorted(found, key=lambda one: not one.text.casefold().startswith(sought))

        page: Screen[str | None] = ChooseScreen(title, find, "Nothing matches that.")
        return await self.app.push_screen_wait(page)

    async def line(self, title: str, help_: str) -> str | None:
        """One line of words."""
        title = of_thing(title, self.sheets.thing)
        said = await self.app.push_screen_wait(LineScreen(title, help_, needed=True))
        return said.strip() if said is not None else None


# -- what may stand in a field that is one of several, with what each means -----------------------

NOTHING = "leave out"
"""Chosen where the field is to be empty. Not the name of anything: those have no space."""
RANGE_FILE = "range.yaml"
_TO_QUESTION = ("next", "go", "otherwise", "first", "after_stop")


def options(entry: OutlineEntry, steps: Steps, sheets: Sheets) -> list[ChoiceLine]:
    """The lines to choose from, for the field at ``steps``."""
    key = str(steps[-1])
    field = next((one for one in FIELDS.get(entry.kind, ()) if one.key == key), None)
    if field is not None and field.options is not None:
        words = {
            name: of_thing(said, sheets.thing)
            for name, said in field.options.items()
            if sheets.thing == CHAIR or not name.startswith(CHAIR)
        }
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
    lines = [ChoiceLine(name, f"{name}: {said}" if said else name) for name, said in words.items()]
    if field is not None and not field.needed:
        lines.append(ChoiceLine(NOTHING, f"(leave out: {field.hint or 'nothing'})"))
    return lines


def _places(entry: OutlineEntry, key: str, sheets: Sheets) -> dict[str, str]:
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


def _declared(sheets: Sheets, part: str) -> dict[str, dict[str, object]] | None:
    """The blocks of a part of what another product declares; None where nothing does."""
    found = sheets.data(Place(FITTING_FILE, (part,))) if FITTING_FILE in sheets.good else None
    if not isinstance(found, dict):
        return None
    return {str(name): one for name, one in found.items() if isinstance(one, dict)}


def _features(sheets: Sheets) -> dict[str, str]:
    """The features of the range file, or of the kinds of part of another product; every one there
    is where the folder has neither."""
    kinds = _declared(sheets, "kinds")
    if kinds is not None:
        able = (kind.get("features") for kind in kinds.values())
        return {str(name): "" for names in able if isinstance(names, list) for name in names}
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


# -- A condition put together by choosing: the question, then what its answer is to be ------------

NUMBER = "{}"
"""Where the number goes in a test that needs one."""


@dataclass(frozen=True, slots=True)
class Askable:
    """One thing a condition may ask."""

    condition: str
    """As the file has it; with ``NUMBER`` in it where a number is still to be given."""
    words: str


def subjects(sheets: Sheets, file: str) -> Iterator[tuple[str, str]]:
    """Everything a condition can look at, and what it is: questions, and what the fit says."""
    for one in sheets.steps_near(file, "question"):
        yield one.name, " ".join(one.words.split())
    declared = _declared(sheets, "quantities")
    for name, block in (declared or {}).items():
        if "within" in block:
            yield f"fit.{name}", f"{block.get('label', name)}, in cm"
    program = () if declared else (("fit", "what the fit works out"), ("range", "of the range"))
    for owner, what in program:
        for name, unit in QUANTITIES[owner].items():
            how = "yes or no" if unit == "yes-no" else f"in {unit}"
            yield f"{owner}.{name}", f"{what}, {how}"


def asked_of(subject: str, sheets: Sheets, file: str) -> list[Askable]:
    """What may be asked about a subject."""
    if "." in subject:
        unit = unit_named(subject)
        return _yes_no(subject) if unit == "yes-no" else _numbers(subject, unit)
    entry = next(one for one in sheets.steps_near(file, "question") if one.name == subject)
    answer = sheets.value(entry.place, "answer")
    known = [
        Askable(f"known({subject})", "it was answered"),
        Askable(f"not known({subject})", "it was not answered, or not asked"),
    ]
    choices = sheets.data(entry.place.inside("choices"))
    names = {
        name: sheets.value(entry.place, "choices", name)
        for name in (choices if isinstance(choices, dict) else ())
    }
    if answer == "choice":
        found = [Askable(f"{subject} == {name}", f"is: {label}") for name, label in names.items()]
        found += [
            Askable(f"{subject} != {name}", f"is not: {label}") for name, label in names.items()
        ]
    elif answer == "choices":
        found = [Askable(f"{name} in {subject}", f"has: {label}") for name, label in names.items()]
        found += [
            Askable(f"{name} not in {subject}", f"has not: {label}")
            for name, label in names.items()
        ]
    elif answer == "yes-no":
        found = _yes_no(subject)
    elif answer in ("length", "mass", "count"):
        found = _numbers(subject, sheets.value(entry.place, "unit"))
    else:
        found = []
    return [*found, *known]


def _yes_no(subject: str) -> list[Askable]:
    return [Askable(subject, "yes"), Askable(f"not {subject}", "no")]


def _numbers(subject: str, unit: str) -> list[Askable]:
    what = f"a number of {unit}" if unit else "a number"
    return [
        Askable(f"{subject} {sign} {NUMBER}", f"{words} {what}")
        for sign, words in {
            ">": "is more than",
            ">=": "is at least",
            "<": "is less than",
            "<=": "is at most",
            "==": "is exactly",
        }.items()
    ]


def joined(old: str, how: str, new: str) -> str:
    """Two conditions made one: ``how`` is "and", "or" or "anew"."""
    if how == "anew" or not old.strip():
        return new
    other = " or " if how == "and" else " and "
    kept = f"({old.strip()})" if other in old else old.strip()
    return f"{kept} {how} {new}"
