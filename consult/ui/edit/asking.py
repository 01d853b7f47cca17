"""What the desk asks a person before it changes something: one of several, words, a condition."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual import work

from consult.content.editing import edits
from consult.tree.quantities import LENGTH_UNITS, MASS_UNITS
from consult.ui.choose_screen import ChooseScreen, Line
from consult.ui.edit.choosing import NOTHING, options
from consult.ui.edit.condition_choices import NUMBER, asked_of, joined, subjects
from consult.ui.edit.field_widgets import ConditionLine, PickLine
from consult.ui.edit.fields import FIELDS
from consult.ui.edit.panes import Panes
from consult.ui.line_screen import LineScreen

if TYPE_CHECKING:
    from textual.screen import Screen


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
                    Line("and", "and: another condition must also be true"),
                    Line("or", "or: another condition may be true instead"),
                    Line("anew", "replace: write a new condition"),
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
                Line(name, f"{name}: {said}")
                for name, said in subjects(self.sheets, self.place.file)
            ]
            found = await self.choose("Which answer does the condition depend on?", lines)
            if found is None:
                return None
            subject = found
        tests = asked_of(subject, self.sheets, self.place.file)
        lines = [Line(str(at), one.words) for at, one in enumerate(tests)]
        lines.append(Line("other", "another question"))
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

    async def choose(self, title: str, lines: list[Line]) -> str | None:
        """One of several lines."""

        def find(typed: str) -> list[Line]:
            sought = typed.casefold()
            found = [one for one in lines if sought in one.text.casefold()]
            return sorted(found, key=lambda one: not one.text.casefold().startswith(sought))

        page: Screen[str | None] = ChooseScreen(title, find, "Nothing matches that.")
        return await self.app.push_screen_wait(page)

    async def line(self, title: str, help_: str) -> str | None:
        """One line of words."""
        said = await self.app.push_screen_wait(LineScreen(title, help_, needed=True))
        return said.strip() if said is not None else None
