"""The fields of a form: several lines, one line, a condition, one of several.

Each tells once the typing pauses, and gives what was typed when it is asked (before undo or save).
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, ClassVar

from rich.text import Text
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.events import Click, Paste
from textual.message import Message
from textual.timer import Timer
from textual.widget import Widget
from textual.widgets import Input, Static, TextArea

from consult.ui.literal import literal
from consult.ui.widgets.part import ColumnBox, LiteralInput, RowBox, Settled
from consult.visible import visible

if TYPE_CHECKING:
    from consult.marked.marks import Steps

_AROUND = (
    Binding("down", "app.focus_next", show=False),
    Binding("up", "app.focus_previous", show=False),
)
PAUSE = 0.3
"""Seconds without a key after which what was typed is taken."""


class FieldMessage(Message):
    """What a field has to tell."""

    def __init__(self, field: Control) -> None:
        super().__init__()
        self.field = field


class Control(Widget):
    """What all fields share: where the value belongs, and what stands there now."""

    class Typed(FieldMessage):
        """Something was typed, and nothing more for a while."""

    class Asked(FieldMessage):
        """The person wants to choose what the field is to say."""

    at: Steps = ()
    """The steps from the file to the value."""
    kept = ""
    """The value as the file has it."""
    _shown = ""
    """What the field held when the file had that value; another text in it was typed."""
    _waiting: Timer | None = None
    _own = False
    """What is being shown now comes from here."""

    def move(self, at: Steps) -> None:
        """Belong to the value at another place; what was typed for the old one was taken."""
        if self.at != at:
            self.at = at
            self.kept = "\0"
            self._shown = self.typed

    def show(self, value: str) -> None:
        """Show a value of the file; what is being typed here stays as it is typed."""
        if not (self.pending or self._own) and (value != self.kept or value != self.typed):
            self.kept = value
            self.put(value)
            self._shown = self.typed

    @property
    def pending(self) -> bool:
        """Whether something was typed that is not taken yet, however lately."""
        return self.typed != self._shown

    @property
    def typed(self) -> str:
        """What stands in the field."""
        return self.kept

    def put(self, value: str) -> None:
        """Put a value into the field."""
        raise NotImplementedError

    def typing(self) -> None:
        """Something was typed: tell of it at the next pause."""
        self._wait_no_more()
        if self.pending:
            self._waiting = self.set_timer(PAUSE, self.tell)

    def tell(self) -> None:
        """Tell now of what was typed."""
        self._wait_no_more()
        if self.pending:
            self.post_message(self.Typed(self))

    def taken(self, take: Callable[[str], None]) -> None:
        """Give what was typed, if anything was; what comes of it is not shown over it."""
        self._wait_no_more()
        if self.pending:
            self.kept = self._shown = self.typed
            self._own = self.has_focus
            try:
                take(self.kept)
            finally:
                self._own = False

    def _wait_no_more(self) -> None:
        if self._waiting is not None:
            self._waiting.stop()
            self._waiting = None

    def on_blur(self) -> None:
        self.tell()


class Lines(TextArea, Control):
    """A text of several lines, shown to the character."""

    def get_line(self, line_index: int) -> Text:
        """A line with control characters as signs."""
        line: str = self.document.get_line(line_index)
        return Text(visible(line), end="", no_wrap=True)

    @property
    def typed(self) -> str:
        return self.text

    def on_text_area_changed(self, event: TextArea.Changed) -> None:
        event.stop()
        self.typing()


class WordsInput(Lines):
    """Words to be said; Up in its first line and Down in its last go to the next field."""

    def __init__(self, hint: str = "") -> None:
        super().__init__(soft_wrap=True, highlight_cursor_line=False, placeholder=literal(hint))

    def put(self, value: str) -> None:
        """Put a value into the field; the cursor stays where somebody types, else it is last."""
        at = self.cursor_location if self.has_focus else self.document.end
        with self.prevent(TextArea.Changed):
            self.load_text(value)
        last = self.document.end
        self.move_cursor(min(at, last) if self.has_focus else last)
        if not self.has_focus:
            # A text is read from its beginning, but typed on at its end.
            self.call_after_refresh(self.scroll_home, animate=False)

    def on_focus(self) -> None:
        self.scroll_cursor_visible()

    def action_delete_to_start_of_line(self) -> None:
        """Ctrl+U empties the whole field: where a line wraps means nothing in these texts."""
        self.delete(self.document.start, self.document.end)

    def action_cursor_up(self, select: bool = False) -> None:
        """Up, or to the field before."""
        if not select and self.wrapped_document.location_to_offset(self.cursor_location).y == 0:
            self.screen.focus_previous()
            return
        super().action_cursor_up(select)

    def action_cursor_down(self, select: bool = False) -> None:
        """Down, or to the field after."""
        last = self.wrapped_document.height - 1
        if not select and self.wrapped_document.location_to_offset(self.cursor_location).y >= last:
            self.screen.focus_next()
            return
        super().action_cursor_down(select)


class LineInput(LiteralInput, Control):
    """One line; Enter and Down go to the next field, Up to the one before."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("down,enter", "app.focus_next", show=False),
        Binding("up", "app.focus_previous", show=False),
    ]

    def __init__(self, hint: str = "") -> None:
        super().__init__(placeholder=hint, select_on_focus=False)

    @property
    def typed(self) -> str:
        return self.value

    def put(self, value: str) -> None:
        at = self.cursor_position if self.has_focus else len(value)
        with self.prevent(Input.Changed):
            self.value = value
        self.cursor_position = min(at, len(value))

    def _on_paste(self, event: Paste) -> None:
        """What is pasted into one line becomes one line, all of it."""
        event.prevent_default()
        event.stop()
        if event.text:
            self.replace(" ".join(event.text.split()), *self.selection)

    def on_input_changed(self, event: Input.Changed) -> None:
        event.stop()
        self.typing()

    def action_delete_left_all(self) -> None:
        """Ctrl+U empties the whole field, wherever the cursor is."""
        self.value = ""


class ConditionLine(LineInput):
    """A condition: typed, or put together by choosing."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("enter", "build", show=False)]

    def action_build(self) -> None:
        self.post_message(self.Asked(self))


class PickLine(Settled, Static, Control, can_focus=True):
    """One of several: Enter, Space or a click shows them with what each means."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter,space", "pick", show=False),
        *_AROUND,
    ]

    meaning: Callable[[str], str]
    """What a word means, for the line beside it."""

    def __init__(self, hint: str) -> None:
        super().__init__(markup=False)
        self.hint = hint

    def on_mount(self) -> None:
        self.put(self.kept)

    def put(self, value: str) -> None:
        """Show the word and what it means."""
        meaning = self.meaning(value) if value else ""
        shown = literal(value, "bold") if value else literal(self.hint, "dim")
        more = literal(f"  {meaning}" if meaning else "", "dim")
        self.update(Content("▾ ") + shown + more, layout=False)

    def on_click(self, event: Click) -> None:
        event.stop()
        self.action_pick()

    def action_pick(self) -> None:
        if not self.disabled:
            self.post_message(self.Asked(self))


class DoLine(Settled, Static, can_focus=True):
    """A line that adds something: Enter or a click."""

    class Pressed(Message):
        """What to add."""

        def __init__(self, kind: str) -> None:
            super().__init__()
            self.kind = kind

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter,space", "do", show=False),
        *_AROUND,
    ]

    def __init__(self, text: str, kind: str) -> None:
        super().__init__(literal(text), markup=False)
        self.kind = kind

    def on_click(self, event: Click) -> None:
        event.stop()
        self.action_do()

    def action_do(self) -> None:
        self.post_message(self.Pressed(self.kind))


class FieldLabel(Settled, Static):
    """What a field is called."""


class FieldRow(RowBox):
    """A field with its label before it and what is wrong with it below."""

    def __init__(self, label: str, control: Control, *classes: str) -> None:
        super().__init__(classes=" ".join(("field", *classes)))
        self.control = control
        self.label = label
        self._before = FieldLabel(literal(label), classes="label", markup=False)
        self._wrong: Static | None = None
        self._told = ""

    def fill(self) -> None:
        """Put its parts in. Not composed, which is later: the focus may go to the control now."""
        self.mount(self._before, self.control)

    def call(self, label: str) -> None:
        if label != self.label:
            self.label = label
            self._before.update(literal(label), layout=False)

    def tell(self, text: str) -> None:
        """Say below what is wrong here; nothing where nothing is."""
        if text == self._told or not isinstance(self.parent, Widget):
            return
        self._told = text
        if self._wrong is None:
            # Most fields are never wrong, and every widget has its price.
            self._wrong = Static(classes="wrong", markup=False)
            self.parent.mount(self._wrong, after=self)
        self._wrong.display = bool(text)
        self._wrong.update(literal(text))


class RouteRow(ColumnBox):
    """A way on: when, and where to. The last has no condition."""

    def __init__(self, when: FieldRow, go: FieldRow) -> None:
        super().__init__()
        self.when, self.go = when, go

    def fill(self) -> None:
        self.mount(self.when, self.go)
        self.when.fill()
        self.go.fill()
