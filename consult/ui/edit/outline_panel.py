"""The trees as an outline: typing finds, the cursor shows, Enter goes to the form."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Set
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.events import Key, Paste
from textual.widgets import Input, OptionList
from textual.widgets.option_list import Option

from consult.ui.edit.fields import outline_line
from consult.ui.edit.sheets import OutlineEntry, Place, Sheets
from consult.ui.literal import literal
from consult.ui.widgets.part import ColumnBox

MOST = 400
"""Lines shown at once while something is being found."""


class OutlineList(OptionList):
    """The lines. A letter typed here begins to find, Backspace takes one back."""

    def __init__(self, typed: Callable[[str], None], begun: Callable[[], bool]) -> None:
        """``begun``: something is being found, so that a space belongs to it."""
        super().__init__(id="e-lines", markup=False)
        self.typed_letter, self.begun = typed, begun

    def on_key(self, event: Key) -> None:
        """Letters go to the line above."""
        if event.is_printable and event.character and (event.character != " " or self.begun()):
            event.stop()
            event.prevent_default()
            self.typed_letter(event.character)
        elif event.key == "backspace" and self.begun():
            event.stop()
            self.typed_letter("")

    def on_paste(self, event: Paste) -> None:
        """What is pasted is sought too."""
        event.stop()
        if pasted := " ".join(event.text.split()):
            self.typed_letter(pasted)


class FindLine(Input):
    """What to find: Enter opens the nearest match, Down goes to the list, Escape empties it."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("down", "to_lines", show=False),
        Binding("enter", "open", show=False),
    ]

    def __init__(self, to_lines: Callable[[], None], enter: Callable[[], None]) -> None:
        super().__init__(
            id="e-find",
            placeholder="type to find; Enter opens it",
            compact=True,
            select_on_focus=False,
        )
        self.to_lines, self.enter = to_lines, enter

    def action_to_lines(self) -> None:
        """Go to the lines."""
        self.to_lines()

    def action_open(self) -> None:
        """Open what was found."""
        self.enter()


class OutlinePanel(ColumnBox):
    """The file at hand is open, and the tree that it is a topic of; others are one line each."""

    def __init__(self, show: Callable[[Place], None], enter: Callable[[], None]) -> None:
        """``show`` is called for the line under the cursor, ``enter`` when it is chosen."""
        super().__init__(id="e-outline")
        self._show, self._enter = show, enter
        self._shown: list[OutlineEntry] = []
        self._lines: list[Content] = []
        self._place: Place | None = None
        self._nearest: tuple[str, Place] | None = None

    def compose(self) -> ComposeResult:
        yield FindLine(self._to_lines, self._open)
        yield OutlineList(self._begin_find, lambda: bool(self.sought))

    @property
    def lines(self) -> OutlineList:
        """The list itself."""
        return self.query_one(OutlineList)

    @property
    def sought(self) -> str:
        """What is being looked for."""
        return self.query_one(FindLine).value.strip()

    def fill(
        self, sheets: Sheets, at: Place, wrong: Mapping[Place, int], changed: Set[str]
    ) -> None:
        """Show the lines, the cursor on a place."""
        found: list[OutlineEntry] = []
        inside: set[Place] = set()
        sought = self.sought.casefold()
        # What is in a topic is shown in the tree around it, which so stays open.
        around = sheets.around(at.file)
        for name in sheets.files:
            entries = sheets.entries(name)
            if sought:
                found += [one for one in entries if sought in f"{one.name} {one.words}".casefold()]
            elif name == around:
                grouped = sheets.grouped(name)
                found += [one for one, _ in grouped]
                inside |= {one.place for one, is_in in grouped if is_in}
            else:
                own = entries if name == at.file else entries[:1]
                found += [one for one in own if one.place not in inside]
        found = found[:MOST]
        lines = [
            outline_line(
                one,
                sheets,
                _count(one, wrong),
                open_=one.place.file in (at.file, around),
                changed=one.place.file in changed,
                found=bool(sought),
                inside=one.place in inside,
            )
            for one in found
        ]
        if not found:
            lines = [literal("Nothing matches that.")]
        self._draw(found, lines)
        if sought and found:
            # What is called so comes before what only mentions it.
            nearest = min(range(len(found)), key=lambda at: _distance(found[at], sought))
            if self._nearest != (sought, found[nearest].place):
                self._nearest = (sought, found[nearest].place)
                self.lines.highlighted = nearest
                return
        self._put(sheets.entry(at))

    def _draw(self, found: list[OutlineEntry], lines: list[Content]) -> None:
        old = self._lines
        self._shown, self._lines = found, lines
        if len(old) == len(lines) and found:
            for index, (one, other) in enumerate(zip(old, lines, strict=True)):
                if one.plain != other.plain:
                    self.lines.replace_option_prompt_at_index(index, other)
        else:
            options = [Option(line, disabled=not found) for line in lines]
            self.lines.set_options(options)

    def _put(self, entry: OutlineEntry | None) -> None:
        """The cursor on a line, without saying that it was moved."""
        places = [one.place for one in self._shown]
        if entry is None or entry.place not in places:
            return
        index = places.index(entry.place)
        self._place = entry.place
        if self.lines.highlighted != index:
            self.lines.highlighted = index

    @on(OptionList.OptionHighlighted, "#e-lines")
    def moved(self, event: OptionList.OptionHighlighted) -> None:
        """Show what the cursor is on."""
        event.stop()
        if event.option_index >= len(self._shown) or event.option_index != self.lines.highlighted:
            return
        place = self._shown[event.option_index].place
        if place != self._place:
            self._place = place
            self._show(place)

    @on(OptionList.OptionSelected, "#e-lines")
    def chosen(self, event: OptionList.OptionSelected) -> None:
        """Go to its form."""
        event.stop()
        self._open()

    def _open(self) -> None:
        """The form of the line under the cursor; what was sought is done with."""
        if self._shown:
            place = self._shown[self.lines.highlighted or 0].place
            self.query_one(FindLine).value = ""
            self._place = place
            self._show(place)
            self._enter()

    def _begin_find(self, letter: str) -> None:
        find = self.query_one(FindLine)
        self.screen.set_focus(find)
        find.value = find.value + letter if letter else find.value[:-1]
        find.cursor_position = len(find.value)

    def _to_lines(self) -> None:
        if self._shown:
            self.screen.set_focus(self.lines)
            if self.sought:
                place = self._shown[self.lines.highlighted or 0].place
                self._place = place
                self._show(place)


def _distance(entry: OutlineEntry, sought: str) -> int:
    """0 for what is called so, 1 for what begins so, 2 for the rest."""
    name, words = entry.name.casefold(), entry.words.casefold()
    return 2 - max(2 * (name == sought), name.startswith(sought) or words.startswith(sought))


def _count(entry: OutlineEntry, wrong: Mapping[Place, int]) -> int:
    if entry.kind in ("file", "text"):
        return sum(many for place, many in wrong.items() if place.file == entry.place.file)
    return wrong.get(entry.place, 0)
