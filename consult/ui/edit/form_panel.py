"""The form of the piece that is chosen in the outline: its fields, its choices, its routes, and who
reads it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import TYPE_CHECKING

from textual import on
from textual.app import ComposeResult
from textual.content import Content
from textual.widget import Widget
from textual.widgets import OptionList
from textual.widgets.option_list import Option

from consult.sentence import of_thing
from consult.ui.edit.field_widgets import (
    ConditionLine,
    Control,
    DoLine,
    FieldRow,
    LineInput,
    PickLine,
    RouteRow,
    WordsInput,
)
from consult.ui.edit.fields import FIELDS, KINDS, FormField, level_of, one_line
from consult.ui.edit.sheets import PARTS, STEPS, OutlineEntry, Place, Sheets
from consult.ui.literal import literal
from consult.ui.widgets.part import ColumnBox, ScrolledPanel, TextPart

if TYPE_CHECKING:
    from consult.marked.marks import Steps


@dataclass(frozen=True, slots=True)
class Doing:
    """What the form asks the desk to do."""

    edited: Callable[[Place, str], None]
    """A value at a place was changed."""
    pick: Callable[[PickLine], object]
    build: Callable[[ConditionLine], object]
    meaning: Callable[[str, str], str]
    """What a word of a field (its key, the word) means, for the line beside it."""
    add: Callable[[str], object]
    """Add a choice, a route or a reader to what is in the form."""
    open: Callable[[Place], None]


class FormPanel(ScrolledPanel):
    """Fields of one thing; it shows what the sheets say and hands every change on."""

    def __init__(self, doing: Doing) -> None:
        super().__init__(id="e-form")
        self.doing = doing
        self.entry: OutlineEntry | None = None
        self._kinds: dict[str, ColumnBox] = {}
        self._rows: dict[str, dict[str, FieldRow]] = {}
        self._choices: list[FieldRow] = []
        self._numbers: list[FieldRow] = []
        self._routes: list[RouteRow] = []
        self._members: list[FieldRow] = []
        self._blocks = {
            name: ColumnBox(classes="block") for name in ("choices", "routes", "members", "numbers")
        }
        self._more = {
            "choices": DoLine("+ Add a choice", lambda: self._add("choice")),
            "members": DoLine("+ Add a question to the pool", lambda: self._add("member")),
            "routes": DoLine("+ Add a route with a condition", lambda: self._add("route")),
        }
        self._readers = OptionList(id="e-readers", markup=False)
        self._read_by: list[tuple[str, str]] | None = None

    def compose(self) -> ComposeResult:
        yield TextPart("e-what")
        yield TextPart("e-locked", vanishes=True)

    # -- showing ------------------------------------------------------------------------------

    def show(self, entry: OutlineEntry, sheets: Sheets, locked: str) -> None:
        """Show a thing; ``locked`` says why it cannot be changed now, or is ''."""
        fresh = self.entry is None or self.entry.place != entry.place
        if fresh:
            self.flush()
        self.entry = entry
        self.query_one("#e-what", TextPart).show(_headline(entry, sheets))
        self.query_one("#e-locked", TextPart).show(literal(f"! {locked}" if locked else ""))
        known = FIELDS.get(entry.kind)
        if known is not None and entry.kind not in self._kinds:
            self._build(entry.kind, known, sheets.thing)
        for kind, box in self._kinds.items():
            _display(box, kind == entry.kind)
        if known is None:
            return
        answer = sheets.value(entry.place, "answer")
        if entry.kind == "part":
            answer = str(entry.place.steps[0])
        for field in known:
            row = self._rows[entry.kind][field.key]
            _display(row, self._wanted(field, entry, sheets, answer))
            row.control.move((*entry.place.steps, field.key))
            row.control.show(_value(field, entry.place, sheets))
        if entry.kind == "pool":
            self._show_members(entry, sheets)
        if entry.kind == "product_part":
            numbers = sheets.numbers(entry)
            hint = "62 to 128 cm, or 80 kg"
            self._show_lines(self._numbers, "numbers", numbers, entry.place, sheets, hint)
        if entry.kind == "question":
            self._show_choices(entry.place, sheets, answer)
            self._show_routes(entry.place, sheets)
            self._show_readers(entry, sheets)
        for control in self.controls():
            if control.disabled != bool(locked):
                control.disabled = bool(locked)
        if fresh:
            self.scroll_home(animate=False)

    def _wanted(self, field: FormField, entry: OutlineEntry, sheets: Sheets, answer: str) -> bool:
        return not field.only or answer in field.only or bool(sheets.value(entry.place, field.key))

    def _build(self, kind: str, known: Sequence[FormField], thing: str) -> None:
        box = ColumnBox(classes="kind")
        said = [replace(one, hint=of_thing(one.hint, thing)) for one in known]
        rows = {one.key: FieldRow(one.label, self._control(one)) for one in said}
        self._kinds[kind], self._rows[kind] = box, rows
        self.mount(box)
        parts: list[Widget] = []
        if kind == "pool":
            parts += [self._blocks["members"], self._more["members"]]
        for one in known:
            parts.append(rows[one.key])
            if kind == "question" and one.key == "answer":
                parts += [self._blocks["choices"], self._more["choices"]]
            if kind == "product_part" and one.key == "lead_days":
                parts.append(self._blocks["numbers"])
            if kind == "question" and one.key == "exclusive":
                parts += [self._blocks["routes"], self._more["routes"]]
        if kind == "question":
            readers = DoLine("+ Add a caution, advice or need", lambda: self._add("reader"))
            parts += [self._readers, readers]
            self._readers.border_title = "Used in: Enter opens it"
        # All at once: for each that comes alone the screen is laid out again.
        box.mount(*parts)
        for row in rows.values():
            row.fill()

    def _control(self, field: FormField) -> Control:
        if field.how == "words":
            control: Control = WordsInput(field.hint)
        elif field.how == "condition":
            control = ConditionLine(field.hint, self.doing.build)
        elif field.how == "pick":
            control = self._pick(field.key, field.hint)
        else:
            control = LineInput(field.hint)
        control.begin((field.key,), self._edited)
        return control

    def _pick(self, key: str, hint: str) -> PickLine:
        control = PickLine(hint or "Enter: choose", self.doing.pick)
        control.meaning = lambda word: self.doing.meaning(key, word)
        return control

    def _add(self, kind: str) -> None:
        self.doing.add(kind)

    def _edited(self, steps: Steps, value: str) -> None:
        if self.entry is not None:
            self.doing.edited(Place(self.entry.place.file, steps), value)

    def _show_choices(self, place: Place, sheets: Sheets, answer: str) -> None:
        found = sheets.data(place.inside("choices"))
        names = list(found) if isinstance(found, dict) else []
        inside = place.inside("choices")
        hint = "what the caller hears"
        self._show_lines(self._choices, "choices", names, inside, sheets, hint)
        _display(self._more["choices"], answer in ("choice", "choices") or bool(names))

    def _show_lines(
        self,
        rows: list[FieldRow],
        block: str,
        names: Sequence[str],
        inside: Place,
        sheets: Sheets,
        hint: str,
    ) -> None:
        """A line for each of the names that stand in a place."""
        for index, name in enumerate(names):
            if index == len(rows):
                row = FieldRow(name, LineInput(hint))
                row.control.begin((), self._edited)
                rows.append(row)
                row.add_class("choice")
                _put_in(self._blocks[block], row)
            row = rows[index]
            row.call(f"  {name.replace('_', ' ') if block == 'numbers' else name}")
            row.control.move((*inside.steps, name))
            row.control.show(sheets.value(inside, name))
        for index, row in enumerate(rows):
            _display(row, index < len(names))

    def _show_members(self, pool: OutlineEntry, sheets: Sheets) -> None:
        names = sheets.members(pool)
        for index, name in enumerate(names):
            if index == len(self._members):
                control = PickLine("", self._open_member)
                control.begin((), self._edited)
                row = FieldRow(f"  {index + 1}", control)
                row.add_class("choice")
                self._members.append(row)
                _put_in(self._blocks["members"], row)
            row = self._members[index]
            own = Place(pool.place.file, ("questions", name))
            asked = sheets.value(own, "ask")
            row.control.move((*pool.place.steps, "best_of", index))
            assert isinstance(row.control, PickLine)
            row.control.meaning = partial(_asked, " ".join(asked.split()))
            row.control.show(name)
        for index, row in enumerate(self._members):
            _display(row, index < len(names))

    def _open_member(self, control: PickLine) -> None:
        """Go to the form of a question of the pool."""
        if self.entry is not None:
            self.doing.open(Place(self.entry.place.file, ("questions", control.kept)))

    def _show_routes(self, place: Place, sheets: Sheets) -> None:
        ways = _ways(sheets.data(place.inside("next")))
        for index, (when, go) in enumerate(ways):
            if index == len(self._routes):
                condition = ConditionLine(
                    "Enter: build the condition by choosing", self.doing.build
                )
                pick = self._pick("next", "Enter: choose where to")
                for control in (condition, pick):
                    control.begin((), self._edited)
                one = RouteRow(FieldRow("When", condition), FieldRow("go to", pick))
                self._routes.append(one)
                _put_in(self._blocks["routes"], one)
            row = self._routes[index]
            _display(row.when, when is not None)
            row.go.call("  go to" if when else ("Otherwise to" if len(ways) > 1 else "Then go to"))
            row.when.control.move((*place.steps, *(when or ("next", index, "when"))))
            row.go.control.move((*place.steps, *go))
            row.when.control.show(sheets.value(place, *when) if when else "")
            row.go.control.show(sheets.value(place, *go))
        for index, row in enumerate(self._routes):
            _display(row, index < len(ways))

    def _show_readers(self, entry: OutlineEntry, sheets: Sheets) -> None:
        found = sheets.readers(entry)
        lines = [
            (_id(one.place), f"{level_of(one, sheets)} {one.name}: {one.words}") for one in found
        ]
        if lines != self._read_by:
            self._read_by = lines
            options = [Option(one_line(text), id=id_) for id_, text in lines]
            self._readers.set_options(options or [Option("nothing yet", disabled=True)])

    @on(OptionList.OptionSelected, "#e-readers")
    def opened(self, event: OptionList.OptionSelected) -> None:
        """Open the form of a caution, advice or need."""
        event.stop()
        if event.option_id:
            file, part, index = event.option_id.split("|")
            self.doing.open(Place(file, (part, int(index))))

    # -- what the desk asks -------------------------------------------------------------------

    def rows(self) -> list[FieldRow]:
        """Every row in sight, from the top."""
        if self.entry is None or self.entry.kind not in self._rows:
            return []
        found = [*self._rows[self.entry.kind].values()]
        if self.entry.kind == "pool":
            found = [*self._members, *found]
        if self.entry.kind == "product_part":
            found += self._numbers
        if self.entry.kind == "question":
            found += [row for row in self._choices if row.display]
            for way in self._routes:
                if way.display:
                    found += [row for row in (way.when, way.go) if row.display]
        return [row for row in found if row.display]

    def controls(self) -> list[Control]:
        """Every field in sight."""
        return [row.control for row in self.rows()]

    def flush(self) -> None:
        """Take what was typed and not taken yet."""
        for control in self.controls():
            control.flush()

    def mark(self, told: Mapping[Steps, str]) -> None:
        """Say beside the fields what is wrong with them, by the steps to the value."""
        left = dict(told)
        for row in self.rows():
            at = row.control.at
            mine = [text for steps, text in left.items() if steps[: len(at)] == at]
            row.tell("\n".join(f"! {text}" for text in mine))

    def at(self) -> Steps | None:
        """The steps to the field the cursor is in."""
        return next((one.at for one in self.controls() if one is self.screen.focused), None)

    def focus_at(self, steps: Steps) -> bool:
        """Go to the field of a value, or of what it stands in; whether there is one."""
        for length in range(len(steps), len(self.entry.place.steps) if self.entry else 0, -1):
            for control in self.controls():
                if control.at[:length] == steps[:length] and not control.disabled:
                    self.screen.set_focus(control)
                    return True
        return False

    def focus_first(self) -> None:
        """Go to the first field."""
        for control in self.controls():
            if not control.disabled:
                self.screen.set_focus(control)
                return


def _put_in(box: ColumnBox, row: FieldRow | RouteRow) -> None:
    """A row with its parts, ready for keys in this same turn."""
    box.mount(row)
    row.fill()


def _asked(ask: str, _: str) -> str:
    """The words of a question of a pool, found under any of its names."""
    return ask


def _headline(entry: OutlineEntry, sheets: Sheets) -> Content:
    kind = of_thing(KINDS[entry.kind], sheets.thing)
    if entry.kind == "file":
        return literal(f"{kind} {entry.place.file}", "bold")
    said = literal(f"{kind} {entry.name}", "bold") + literal(f"  in {entry.place.file}", "dim")
    if entry.kind in PARTS.values():
        said += literal("  (Alt+R: another name)", "dim")
    if entry.kind in STEPS:
        before = ", ".join(sheets.comes_after(entry)) or "nothing leads here, so no call reaches it"
        said += literal(f"\nComes after: {before}", "dim")
    if entry.kind == "text":
        said += literal("\nThis file has no form. Edit it as text (Alt+N).")
    return said


def _value(field: FormField, place: Place, sheets: Sheets) -> str:
    if field.how in ("names", "list"):
        found = sheets.data(place.inside(field.key))
        if isinstance(found, list):
            return ", ".join(sheets.value(place, field.key, at) for at in range(len(found)))
    if field.how == "moves":
        found = sheets.data(place.inside(field.key))
        if isinstance(found, dict):
            return ", ".join(f"{thing} {way}" for thing, way in found.items())
    return sheets.value(place, field.key)


def _ways(following: object) -> list[tuple[Steps | None, Steps]]:
    """The ways on: steps to the condition (None: without one) and to the place to go."""
    if not isinstance(following, list):
        return [(None, ("next",))]
    found: list[tuple[Steps | None, Steps]] = []
    for index, way in enumerate(following):
        if isinstance(way, dict) and "otherwise" in way:
            found.append((None, ("next", index, "otherwise")))
        else:
            found.append((("next", index, "when"), ("next", index, "go")))
    return found


def _id(place: Place) -> str:
    return "|".join((place.file, *(str(step) for step in place.steps)))


def _display(widget: Widget, shown: bool) -> None:
    """Only where it changes: each time costs a layout of the whole screen."""
    if widget.display != shown:
        widget.display = shown
        if not shown and isinstance(widget, FieldRow):
            widget.tell("")
