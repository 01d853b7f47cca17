"""A content desk without a screen: what its keys do, and what a person answers to its pages."""

from __future__ import annotations

from collections.abc import Awaitable
from contextlib import suppress
from pathlib import Path
from typing import Any, TypeVar, cast

from textual.screen import Screen

from consult.content.editing.fields import FIELDS, shown
from consult.content.editing.folder import DraftFolder
from consult.content.editing.session import EditResult, EditSession
from consult.ui.dialogs import ChooseScreen, LettersScreen, LineScreen, TextScreen
from consult.ui.edit.adding import Adding
from consult.ui.edit.asking import Asker, Choosing, LeftOff
from consult.ui.edit.changing import Changing
from consult.ui.edit.keeping import Keeping

_T = TypeVar("_T")


class Below:
    """The session, what works on it, and the answers a person will give."""

    def __init__(self, folder: Path) -> None:
        self.path = folder
        self.clock = 0.0
        self.session = EditSession(DraftFolder.open(folder), lambda: self.clock)
        ask = Asker(self._answered)
        self.choosing = Choosing(self.session, ask)
        self.adding = Adding(self.session, ask, self.choosing)
        self.complaints: list[str] = []
        self.changing = Changing(self.session, ask, self.complaints.append)
        self.keeping = Keeping(self.session, ask, lambda: 120)
        self.pages: list[str] = []
        """What each page said, and the lines that it offered."""
        self._answers: list[str | None] = []

    async def _answered(self, page: Screen[Any]) -> str | None:
        """What the person answers next: None leaves the page, a list takes its first match."""
        answer = self._answers.pop(0)
        if isinstance(page, ChooseScreen):
            lines = page.find("").values()
            self.pages.append("\n".join([page.list_title, *lines]))
            return next(iter(page.find(answer))) if answer is not None else None
        if isinstance(page, LineScreen):
            self.pages.append(f"{page.line_title}\n{page.help_}\n{page.text}")
            return answer
        if isinstance(page, LettersScreen):
            self.pages.append("\n".join([page.told, *page.letters.values(), page.leave]))
            assert answer is None or answer in page.letters
            return answer
        assert isinstance(page, TextScreen)
        self.pages.append(f"{page.text_title}\n{page.text}")
        return None

    async def answering(self, doing: Awaitable[_T], *answers: str | None) -> _T:
        """Do something, all that it asks being answered; it asks that often and no more."""
        self._answers = list(answers)
        done = cast(_T, None)  # where the person left
        with suppress(LeftOff):
            done = await doing
        assert not self._answers, "was not asked for"
        if isinstance(done, EditResult) and done.place is not None:
            self.session.go(done.place)
        return done

    async def add(self, *answers: str | None) -> EditResult | None:
        """Add what the first answer says to what the session is at."""
        return await self.answering(self.adding.anything(), *answers)

    def go(self, name: str) -> None:
        """Go to what is called so."""
        (found,) = [one for one in self.session.sheets.steps_of() if one.name == name]
        assert self.session.go(found.place)

    def type_in(self, typed: str, *steps: str | int) -> None:
        """Type into a field of the form of what the session is at."""
        self.session.type_in(self.session.place.inside(*steps), typed)

    def at(self, *steps: str | int) -> tuple[str | int, ...]:
        """The steps to a field of what the session is at."""
        return self.session.place.inside(*steps).steps

    def value(self, *steps: str | int) -> str:
        """What a field of the form shows."""
        entry = self.session.entry
        field = next((one for one in FIELDS.get(entry.kind, ()) if steps == (one.key,)), None)
        if field is not None:
            return shown(field, entry.place, self.session.sheets)
        return self.session.sheets.value(entry.place, *steps)

    def members(self, pool: str) -> list[str]:
        """The questions of a pool."""
        every = self.session.sheets.steps_of()
        (found,) = [one for one in every if one.kind == "pool" and one.name == pool]
        return self.session.sheets.members(found)

    def text(self, file: str) -> str:
        """A file as edited now."""
        return self.session.folder.texts[file]

    @property
    def mistakes(self) -> list[str]:
        """What is wrong, without what is only a warning."""
        problems = self.session.folder.problems()
        return [one.message for one in problems if one.severity == "error"]
