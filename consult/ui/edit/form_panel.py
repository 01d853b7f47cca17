"""The form of the piece that is chosen in the outline: its fields, its choices, its routes, and who
reads it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

from textual import on
from textual.app import ComposeResult
from textual.content import Content
from textual.widget import Widget
from textual.widgets import OptionList
from textual.widgets.option_list import Option

from consult.content.editing.choices import meaning
from consult.content.editing.fields import FIELDS, KINDS, FormField, shown
from consult.content.editing.sheets import PARTS, STEPS, OutlineEntry, Place, Sheets
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
from consult.ui.edit.outline_panel import PlaceMessage, level_of, one_line
from consult.ui.literal import literal
from consult.ui.widgets.part import ColumnBox, ScrolledPanel, TextPart

if TYPE_CHECKING:
    from consult.marked.marks import Steps


_HINTS = {"choices": "what the caller hears", "numbers": "62 to 128 cm, or 80 kg"}
"""Blocks of lines that are typed -> what an empty one shows."""


_AFTER = {
    ("pool", ""): "members",
    ("question", "answer"): "choices",
    ("question", "exclusive"): "routes",
    ("product_part", "lead_days"): "numbers",
}
"""Kind and field -> the block that stands below it; '' is the head of the form."""


class FormPanel(ScrolledPanel):
    """Fields of one thing; it shows what the sheets say, and its fields tell what was typed."""

    class Opened(PlaceMessage):
        """A question of the pool, or something that reads the question, was chosen."""

    def __init__(self) -> None:
        super().__init__(id="e-form")
        self.border_title = "Form"
        self.entry: OutlineEntry | None = None
        self._kinds: dict[str, ColumnBox] = {}
        self._rows: dict[str, dict[str, FieldRow]] = {}
        self._lines: dict[str, list[FieldRow]] = {name: [] for name in (*_HINTS, "members")}
        self._routes: list[RouteRow] = []
        self._blocks = {name: ColumnBox(classes="block") for name in ("routes", *self._lines)}
        self._more = {
            "choices": DoLine("+ Add a choice", "choice"),
            "members": DoLine("+ Add a question to the pool", "member"),
            "routes": DoLine("+ Add a route with a condition", "route"),
        }
        self._readers = OptionList(id="e-readers", markup=False)
        self._read_by: list[str] | None = None
        self._reading: list[Place] = []

    def compose(self) -> ComposeResult:
        yield TextPart("e-what")
        yield TextPart("e-locked", vanishes=True)

    # -- showing ------------------------------------------------------------------------------

    def show(self, entry: OutlineEntry, sheets: Sheets, locked: str) -> None:
        """Show a thing; ``locked`` says why it cannot be changed now, or is ''."""
        fresh = self.entry is None or self.entry.place != entry.place
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
            filled = bool(sheets.value(entry.place, field.key))
            _display(row, not field.only or answer in field.only or filled)
            if isinstance(row.control, PickLine):
                row.control.meaning = partial(meaning, entry, field.key, sheets)
            row.control.move((*entry.place.steps, field.key))
            row.control.show(shown(field, entry.place, sheets))
        match entry.kind:
            case "pool":
                self._show_members(entry, sheets)
            case "product_part":
                self._show_numbers(entry, sheets)
            case "question":
                self._show_choices(entry.place, sheets, answer)
                self._show_routes(entry, sheets)
                self._show_readers(entry, sheets)
        for control in self.controls():
            if control.disabled != bool(locked):
                control.disabled = bool(locked)
        if fresh:
            self.scroll_home(animate=False)

    def _build(self, kind: str, known: Sequence[FormField], thing: str) -> None:
        box = ColumnBox(classes="kind")
        said = [replace(field, hint=of_thing(field.hint, thing)) for field in known]
        rows = {field.key: FieldRow(field.label, _control(field)) for field in said}
        self._kinds[kind], self._rows[kind] = box, rows
        self.mount(box)
        parts: list[Widget] = []
        for key in ("", *rows):
            block = _AFTER.get((kind, key), "")
            here = (rows.get(key), self._blocks.get(block), self._more.get(block))
            parts += [part for part in here if part is not None]
        if kind == "question":
            parts += [self._readers, DoLine("+ Add a caution, advice or need", "reader")]
            self._readers.border_title = "Used in: Enter opens it"
        # All at once: for each that comes alone the screen is laid out again.
        box.mount(*parts)
        for row in rows.values():
            row.fill()

    def _show_choices(self, place: Place, sheets: Sheets, answer: str) -> None:
        choices = sheets.choices(place)
        lines = [(name, ("choices", name), label) for name, label in choices.items()]
        self._show_lines("choices", place, lines)
        _display(self._more["choices"], answer in ("choice", "choices") or bool(choices))

    def _show_numbers(self, part: OutlineEntry, sheets: Sheets) -> None:
        names, place = sheets.numbers(part), part.place
        lines = [(name.replace("_", " "), (name,), sheets.value(place, name)) for name in names]
        self._show_lines("numbers", place, lines)

    def _show_members(self, pool: OutlineEntry, sheets: Sheets) -> None:
        file = pool.place.file

        def asked(name: str) -> str:
            return " ".join(sheets.value(Place(file, ("questions", name)), "ask").split())

        members = enumerate(sheets.members(pool))
        lines = [(str(at + 1), ("best_of", at), name) for at, name in members]
        self._show_lines("members", pool.place, lines, asked)

    def _show_lines(
        self,
        block: str,
        place: Place,
        lines: Sequence[tuple[str, Steps, str]],
        means: Callable[[str], str] = str,
    ) -> None:
        """Each is a label, the steps to a value, and the value; ``means`` says more of a word."""
        rows = self._lines[block]
        for index, (label, steps, value) in enumerate(lines):
            if index == len(rows):
                new = LineInput(_HINTS[block]) if block in _HINTS else PickLine("")
                rows.append(FieldRow(label, new, "choice"))
                _put_in(self._blocks[block], rows[-1])
            control = rows[index].control
            if isinstance(control, PickLine):
                control.meaning = means
            rows[index].call(f"  {label}")
            control.move((*place.steps, *steps))
            control.show(value)
        for index, row in enumerate(rows):
            _display(row, index < len(lines))

    def _show_routes(self, entry: OutlineEntry, sheets: Sheets) -> None:
        place = entry.place
        ways = _ways(sheets.data(place.inside("next")))
        for index, (when, go) in enumerate(ways):
            if index == len(self._routes):
                condition = ConditionLine("Enter: build the condition by choosing")
                pick = PickLine("Enter: choose where to")
                route_row = RouteRow(FieldRow("When", condition), FieldRow("go to", pick))
                self._routes.append(route_row)
                _put_in(self._blocks["routes"], route_row)
            row = self._routes[index]
            assert isinstance(row.go.control, PickLine)
            row.go.control.meaning = partial(meaning, entry, "next", sheets)
            _display(row.when, when is not None)
            row.go.call("  go to" if when else ("Otherwise to" if len(ways) > 1 else "Then go to"))
            row.when.control.move((*place.steps, *(when or ("next", index, "when"))))
            row.go.control.move((*place.steps, *go))
            row.when.control.show(sheets.value(place, *when) if when else "")
            row.go.control.show(sheets.value(place, *go))
        for index, row in enumerate(self._routes):
            _display(row, index < len(ways))

    def _show_readers(self, entry: OutlineEntry, sheets: Sheets) -> None:
        entries = sheets.readers(entry)
        self._reading = [one.place for one in entries]
        lines = [f"{level_of(one, sheets)} {one.name}: {one.words}" for one in entries]
        if lines != self._read_by:
            self._read_by = lines
            options = [Option(one_line(text)) for text in lines]
            self._readers.set_options(options or [Option("nothing yet", disabled=True)])

    @on(OptionList.OptionSelected)
    def reader_chosen(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        self.post_message(self.Opened(self._reading[event.option_index]))

    @on(Control.Asked)
    def member_chosen(self, event: Control.Asked) -> None:
        """Open the form of a question of the pool; of any other field the desk knows more."""
        if self.entry is not None and "best_of" in event.field.at:
            event.stop()
            place = Place(self.entry.place.file, ("questions", event.field.kept))
            self.post_message(self.Opened(place))

    # -- what the desk asks -------------------------------------------------------------------

    def rows(self) -> list[FieldRow]:
        """Every row in sight, from the top."""
        if self.entry is None or self.entry.kind not in self._rows:
            return []
        kind, field_rows = self.entry.kind, [*self._rows[self.entry.kind].values()]
        if kind == "pool":
            field_rows = [*self._lines["members"], *field_rows]
        if kind == "product_part":
            field_rows += self._lines["numbers"]
        if kind == "question":
            field_rows += self._lines["choices"]
            field_rows += [row for way in self._routes if way.display for row in (way.when, way.go)]
        return [row for row in field_rows if row.display]

    def controls(self) -> list[Control]:
        return [row.control for row in self.rows()]

    def place_of(self, field: Control) -> Place:
        assert self.entry is not None, "a field that was typed in"
        return Place(self.entry.place.file, field.at)

    def mark(self, told: Mapping[Steps, str]) -> None:
        """Say beside the fields what is wrong with them, by the steps to the value."""
        left = dict(told)
        for row in self.rows():
            at = row.control.at
            mine = [text for steps, text in left.items() if steps[: len(at)] == at]
            row.tell("\n".join(f"! {text}" for text in mine))

    def at(self) -> Steps | None:
        """The steps to the field the cursor is in."""
        return next(
            (control.at for control in self.controls() if control is self.screen.focused), None
        )

    def focus_at(self, steps: Steps) -> bool:
        """Go to the field of a value, or of what it stands in; whether there is one."""
        own = len(self.entry.place.steps) if self.entry else 0
        nearest = (steps[:length] for length in range(len(steps), own, -1))
        return any(self._focus(one) for one in nearest)

    def focus_first(self) -> None:
        self._focus(())

    def _focus(self, within: Steps) -> bool:
        """Go to the first field of what stands at some steps; whether there is one."""
        controls = (one for one in self.controls() if one.at[: len(within)] == within)
        control = next((one for one in controls if not one.disabled), None)
        if control is not None:
            self.screen.set_focus(control)
        return control is not None


def _control(field: FormField) -> Control:
    if field.how == "words":
        return WordsInput(field.hint)
    if field.how == "pick":
        return PickLine(field.hint or "Enter: choose")
    return (ConditionLine if field.how == "condition" else LineInput)(field.hint)


def _put_in(box: ColumnBox, row: FieldRow | RouteRow) -> None:
    """A row with its parts, ready for keys in this same turn."""
    box.mount(row)
    row.fill()


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


def _ways(following: object) -> list[tuple[Steps | None, Steps]]:
    """The ways on: steps to the condition (None: without one) and to the place to go."""
    if not isinstance(following, list):
        return [(None, ("next",))]
    return [
        (None, ("next", index, "otherwise"))
        if isinstance(way, dict) and "otherwise" in way
        else (("next", index, "when"), ("next", index, "go"))
        for index, way in enumerate(following)
    ]


def _display(widget: Widget, shown: bool) -> None:
    """Only where it changes: each time costs a layout of the whole screen."""
    if widget.display != shown:
        widget.display = shown
        if not shown and isinstance(widget, FieldRow):
            widget.tell("")
