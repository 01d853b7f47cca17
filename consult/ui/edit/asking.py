"""What the desk asks a person before it changes something: one of several, words, a condition."""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Mapping
from typing import TYPE_CHECKING, Any

from consult.content.editing import edits
from consult.content.editing.choices import (
    NO_CHOICE,
    NUMBER_FORM,
    asked_of,
    joined,
    options,
    subjects,
)
from consult.content.editing.fields import FIELDS, field_of
from consult.content.editing.session import EditResult
from consult.tree.quantities import LENGTH_UNITS, MASS_UNITS
from consult.ui.dialogs import (
    ChooseScreen,
    LettersScreen,
    LineScreen,
    SuddenScreen,
    TextScreen,
    having,
)

if TYPE_CHECKING:
    from textual.screen import Screen

    from consult.content.editing.session import EditSession
    from consult.content.editing.sheets import Place
    from consult.marked.marks import Steps

_OTHER = "another question"
"""No condition: those have no question of that name."""


class LeftOff(Exception):  # noqa: N818 - nothing is wrong
    """The person left a page, and so what it was asked for."""


class Asker:
    """The small pages, one after the other; ``LeftOff`` where the person left."""

    def __init__(self, opened: Callable[[Screen[Any]], Awaitable[str | None]]) -> None:
        """``opened`` opens a page and waits for what it gives back."""
        self._opened = opened

    async def _answer(self, page: Screen[Any]) -> str:
        answer = await self._opened(page)
        if answer is None:
            raise LeftOff
        return answer

    async def choose(self, title: str, lines: Mapping[str, str]) -> str:
        """One of several lines, by its key."""

        def find(typed: str) -> dict[str, str]:
            sought, found = typed.casefold(), having(lines)(typed).items()
            return dict(sorted(found, key=lambda pair: not pair[1].casefold().startswith(sought)))

        return await self._answer(ChooseScreen(title, find, "Nothing matches that."))

    async def line(self, title: str, help_: str, text: str = "") -> str:
        return await self._answer(LineScreen(title, help_, text, needed=True))

    async def read(self, title: str, text: str) -> None:
        await self._opened(TextScreen(title, text))

    async def letter(
        self, told: str, letters: Mapping[str, str], leave: str, *, sudden: bool = False
    ) -> str | None:
        """One of some letters, None for none; ``sudden``: it may open while somebody types."""
        page = SuddenScreen if sudden else LettersScreen
        return await self._opened(page(told, letters, leave))


class Choosing:
    """Values that are chosen: a word of a field, a condition."""

    def __init__(self, session: EditSession, ask: Asker) -> None:
        self._session, self._ask = session, ask

    async def value(self, place: Place, kept: str, *, is_word: bool) -> EditResult | None:
        """What is to stand in a field instead of what does: a word, or a condition."""
        steps = place.steps
        value = await (self.word(steps) if is_word else self.built(kept))
        if value == kept:
            return None
        if steps[-1] == "answer":
            return self.answer_becomes(value)
        self._session.type_in(place, value)
        return EditResult()

    async def word(self, steps: Steps) -> str:
        """What is to stand in a field; '' for nothing."""
        entry = self._session.entry
        field = field_of(entry.kind, steps)
        title = f"{field.label if field else 'Go to'}: which one?"
        chosen = await self._ask.choose(title, options(entry, steps, self._session.sheets))
        return "" if chosen == NO_CHOICE else chosen

    def answer_becomes(self, kind: str) -> EditResult:
        """Another kind of answer; what does not go with it leaves, a unit it needs comes."""
        entry, sheets = self._session.entry, self._session.sheets
        gone = [
            field
            for field in FIELDS["question"]
            if field.only and kind not in field.only and sheets.value(entry.place, field.key)
        ]
        units = {"length": LENGTH_UNITS, "mass": MASS_UNITS}.get(kind)

        def change(text: str) -> str:
            new = edits.set_value(text, (*entry.place.steps, "answer"), kind)
            for field in gone:
                new = edits.delete(new, (*entry.place.steps, field.key))
            if units and sheets.value(entry.place, "unit") not in units:
                new = edits.set_value(new, (*entry.place.steps, "unit"), units[0])
            return new

        self._session.change(entry.place.file, change, f"answer of {entry.name}")
        left = ", ".join(field.label.lower() for field in gone)
        return EditResult(f"Removed, because it does not fit {kind}: {left}." if gone else "")

    async def built(self, kept: str) -> str:
        """A condition put together, beside the one there is or in its place."""
        how = "anew"
        if kept.strip():
            ways = {
                "and": "and: another condition must also be true",
                "or": "or: another condition may be true instead",
                "anew": "replace: write a new condition",
            }
            how = await self._ask.choose(f"It now says: {kept}", ways)
        return joined(kept, how, await self.condition(""))

    async def condition(self, subject: str) -> str:
        """Which question, and what is to be answered."""
        sheets, file = self._session.sheets, self._session.place.file
        if not subject:
            lines = {name: f"{name}: {said}" for name, said in subjects(sheets, file)}
            subject = await self._ask.choose("Which answer does the condition depend on?", lines)
        tests = asked_of(subject, sheets, file)
        other = {_OTHER: "another question"}
        found = await self._ask.choose(f"When the answer to {subject} ...", tests | other)
        if found == _OTHER:
            return await self.condition("")
        if NUMBER_FORM not in found:
            return found
        number = await self._ask.line("Which number?", tests[found])
        return found.replace(NUMBER_FORM, number.strip())
