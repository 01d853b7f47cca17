"""The trees as an outline: typing finds, the cursor shows, Enter goes to the form."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Set
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.events import Key, Paste
from textual.message import Message
from textual.widgets import Input, OptionList
from textual.widgets.option_list import Option

from consult.content.editing.sheets import OutlineEntry, Place, Sheets
from consult.ui.literal import literal
from consult.ui.widgets.part import ColumnBox, Settled

_MOST = 400
"""Lines shown at once while something is being found."""


class FindLine(Settled, Input):
    """What to find."""


class OutlineList(Settled, OptionList):
    """The lines. A letter typed here begins to find, Backspace takes one back."""

    class Letter(Message):
        """A letter, or a text pasted; '' takes the last one back."""

        def __init__(self, text: str) -> None:
            super().__init__()
            self.text = text

    finding = False
    """Something is being found, so that a space belongs to it."""

    def on_key(self, event: Key) -> None:
        """Letters go to the line above."""
        letter = (event.is_printable and event.character) or ""
        begins, goes_on = letter.strip(), letter or event.key == "backspace"
        if begins or (self.finding and goes_on):
            event.stop()
            event.prevent_default()
            self.post_message(self.Letter(letter))

    def on_paste(self, event: Paste) -> None:
        event.stop()
        if pasted := " ".join(event.text.split()):
            self.post_message(self.Letter(pasted))


class PlaceMessage(Message):
    """Something happened at a place."""

    def __init__(self, place: Place) -> None:
        super().__init__()
        self.place = place


class OutlinePanel(ColumnBox):
    """The file at hand is open, and the tree that it is a topic of; others are one line each."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("down", "to_lines", show=False)]

    class Moved(PlaceMessage):
        """The cursor went to a line."""

    class Opened(PlaceMessage):
        """A line was chosen."""

    def __init__(self) -> None:
        super().__init__(id="e-outline")
        self.border_title = "Outline"
        hint = "type to find; Enter opens it"
        self.find = FindLine(id="e-find", placeholder=hint, compact=True, select_on_focus=False)
        self.lines = OutlineList(id="e-lines", markup=False)
        self._shown: list[OutlineEntry] = []
        self._lines: list[Content] = []
        self._place: Place | None = None
        self._nearest: tuple[str, Place] | None = None
        self._filled: tuple[Sheets, Place, Mapping[Place, int], Set[str]] | None = None

    def compose(self) -> ComposeResult:
        yield self.find
        yield self.lines

    def fill(
        self, sheets: Sheets, at: Place, wrong: Mapping[Place, int], changed: Set[str]
    ) -> None:
        """Show the lines, the cursor on a place."""
        self._filled = sheets, at, wrong, changed
        found: list[OutlineEntry] = []
        inside: set[Place] = set()
        sought = self.find.value.strip().casefold()
        self.lines.finding = bool(sought)
        # What is in a topic is shown in the tree around it, which so stays open.
        around = sheets.around(at.file)
        for name in sheets.files:
            entries = sheets.entries(name)
            if sought:
                found += [
                    entry for entry in entries if sought in f"{entry.name} {entry.words}".casefold()
                ]
            elif name == around:
                grouped = sheets.grouped(name)
                found += [entry for entry, _ in grouped]
                inside |= {entry.place for entry, is_in in grouped if is_in}
            else:
                own = entries if name == at.file else entries[:1]
                found += [entry for entry in own if entry.place not in inside]
        found = found[:_MOST]
        opened = (at.file, around)
        lines = [
            _file_line(entry.place.file, wrong, opened, changed)
            if entry.kind in ("file", "text")
            else _line(entry, sheets, wrong, is_found=bool(sought), is_inside=entry.place in inside)
            for entry in found
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

    def _draw(self, entries: list[OutlineEntry], lines: list[Content]) -> None:
        old = self._lines
        self._shown, self._lines = entries, lines
        if len(old) != len(lines) or not entries:
            self.lines.set_options([Option(line, disabled=not entries) for line in lines])
            return
        for index, (content, other) in enumerate(zip(old, lines, strict=True)):
            if content.plain != other.plain:
                self.lines.replace_option_prompt_at_index(index, other)

    def _put(self, entry: OutlineEntry | None) -> None:
        """The cursor on a line, without saying that it was moved."""
        places = [one.place for one in self._shown]
        if entry is None or entry.place not in places:
            return
        index = places.index(entry.place)
        self._place = entry.place
        if self.lines.highlighted != index:
            self.lines.highlighted = index

    @on(OptionList.OptionHighlighted)
    def moved(self, event: OptionList.OptionHighlighted) -> None:
        event.stop()
        if event.option_index < len(self._shown) and event.option_index == self.lines.highlighted:
            self._move()

    @on(Input.Changed)
    def sought(self, event: Input.Changed) -> None:
        event.stop()
        if self._filled is not None:
            self.fill(*self._filled)

    @on(OptionList.OptionSelected)
    @on(Input.Submitted)
    def chosen(self, event: Message) -> None:
        """The form of the line under the cursor; what was sought is done with."""
        event.stop()
        if self._shown:
            self.find.value = ""
            self._place = self._at_cursor
            self.post_message(self.Opened(self._place))

    @on(OutlineList.Letter)
    def begin_to_find(self, event: OutlineList.Letter) -> None:
        find = self.find
        self.screen.set_focus(find)
        find.value = find.value + event.text if event.text else find.value[:-1]
        find.cursor_position = len(find.value)

    def action_to_lines(self) -> None:
        """From what to find to what was found."""
        if self._shown:
            self.screen.set_focus(self.lines)
            if self.lines.finding:
                self._move()

    @property
    def _at_cursor(self) -> Place:
        return self._shown[self.lines.highlighted or 0].place

    def _move(self) -> None:
        if self._at_cursor != self._place:
            self._place = self._at_cursor
            self.post_message(self.Moved(self._place))


def _distance(entry: OutlineEntry, sought: str) -> int:
    """0 for what is called so, 1 for what begins so, 2 for the rest."""
    name, words = entry.name.casefold(), entry.words.casefold()
    return 2 - max(2 * (name == sought), name.startswith(sought) or words.startswith(sought))


# -- its lines, as literal text -------------------------------------------------------------------

_SIGNS = {
    **{"question": "?", "include": "→", "pool": "◇", "topic": "◆"},
    **{"caution": "!", "advice": "·", "need": "+", "always": "="},
    **{"part": "▪", "product_part": "▪", "quantity": "≈", "country": "☎"},
}
"""Beside the words of each kind, so that no colour is needed to tell them apart."""


def one_line(text: str) -> Content:
    return literal(" ".join(text.split())[:300])


def level_of(entry: OutlineEntry, sheets: Sheets) -> str:
    """Which kind of reader it is: the level of a caution, else its kind."""
    if entry.kind == "caution":
        return sheets.value(entry.place, "level").upper()
    return entry.kind


def _file_line(
    file: str, wrong: Mapping[Place, int], opened: Collection[str], changed: Set[str]
) -> Content:
    arrow, star = "▾" if file in opened else "▸", " *" * (file in changed)
    many = sum(many for place, many in wrong.items() if place.file == file)
    return literal(f"{arrow} {file}{star}", "bold") + _sign_of(many)


def _line(
    entry: OutlineEntry,
    sheets: Sheets,
    wrong: Mapping[Place, int],
    *,
    is_found: bool,
    is_inside: bool,
) -> Content:
    """Its sign, its name, what it says, and how much is wrong in it.

    One that was found says its file too; one inside a pool or topic is set in.
    """
    level = f"{level_of(entry, sheets)} " if entry.kind == "caution" else ""
    name = literal(f"  {'  ' * is_inside}{_SIGNS[entry.kind]} {level}{entry.name}")
    file = entry.place.file.removesuffix(".yaml")
    where = literal(f"  {file}", "italic") if is_found else Content("")
    words = literal("  " + " ".join(entry.words.split())[:120], "dim")
    return name + _sign_of(wrong.get(entry.place, 0)) + where + words


def _sign_of(wrong: int) -> Content:
    return literal(f" ✗{wrong}", "bold") if wrong else Content("")
