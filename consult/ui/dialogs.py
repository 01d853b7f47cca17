"""Small pages over a screen: a yes or no, one of some letters, a line, a text, a list."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical, VerticalScroll
from textual.content import Content
from textual.events import Key
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option

from consult.ui.keys import Foot
from consult.ui.literal import clickable, literal
from consult.ui.page import Page


class AskScreen(Page[bool]):
    """True for yes. Neither Enter nor a stray letter is a yes."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("y", "dismiss(True)", "Yes"),
        Binding("n,escape", "dismiss(False)", "No"),
    ]
    AUTO_FOCUS = None

    def __init__(self, told: str, keys: str) -> None:
        """``keys`` says what y and Esc do."""
        super().__init__()
        self.told, self.keys = told, keys

    def compose(self) -> ComposeResult:
        with VerticalScroll(classes="box", can_focus=False):
            yield Static(literal(self.told), markup=False)
            yield Static(literal(self.keys, "bold"), markup=False)
            yes, no = clickable("[Yes]", "dismiss(True)"), clickable("[No]", "dismiss(False)")
            yield Static(yes + literal("  ") + no, id="clicks", markup=False)


# -- asks for one line of text: a note, or the reason for lifting a stop --------------------------


class LineScreen(Page[str | None]):
    """Gives the text back; None where the adviser left."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "dismiss(None)", "Back")]
    AUTO_FOCUS = "#line"

    def __init__(self, title: str, help_: str, text: str = "", *, needed: bool = False) -> None:
        super().__init__()
        self.line_title, self.help_, self.text, self.needed = title, help_, text, needed

    def compose(self) -> ComposeResult:
        with VerticalScroll(classes="box", can_focus=False):
            yield Static(literal(self.line_title, "bold"), markup=False)
            yield Static(literal(self.help_), markup=False)
            yield Input(self.text, id="line")
            yield Static(literal("Enter stores it, Esc cancels."), id="line-told", markup=False)

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Enter gives it back, unless a text is needed and the line is empty."""
        event.stop()
        if self.needed and not event.value.strip():
            self.query_one("#line-told", Static).update(literal("! Type a reason in words."))
            return
        self.dismiss(event.value)


# -- plain text to read and scroll ----------------------------------------------------------------


class TextScreen(Page[None]):
    """Shows a text until Escape."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape,f1", "dismiss(None)", "Back")]

    def __init__(self, title: str, text: str) -> None:
        super().__init__()
        self.text_title = title
        self.text = text

    def compose(self) -> ComposeResult:
        with VerticalScroll(classes="page") as page:
            page.border_title = self.text_title
            yield Static(literal(self.text), markup=False)
        yield Foot()


# -- A list to choose from: typing narrows it, Enter takes the line under the cursor --------------


@dataclass(frozen=True, slots=True)
class ChoiceLine:
    """One thing that can be chosen."""

    id: str
    text: str


class ChooseScreen(Page[str | None]):
    """Gives back the id of the line chosen; None where the adviser left."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "dismiss(None)", "Back"),
        Binding("down", "move(1)", "Down", show=False),
        Binding("up", "move(-1)", "Up", show=False),
    ]
    AUTO_FOCUS = "#narrow"

    def __init__(
        self, title: str, find: Callable[[str], Sequence[ChoiceLine]], none: str, typed: str = ""
    ) -> None:
        """``find`` gives the lines for what is typed; ``none`` is shown where there are none."""
        super().__init__()
        self.list_title, self.find, self.none, self.typed = title, find, none, typed

    def compose(self) -> ComposeResult:
        with Vertical(classes="box tall"):
            yield Static(literal(self.list_title, "bold"), markup=False)
            yield Input(
                self.typed, id="narrow", placeholder="type to search the list; Up, Down, Enter; Esc"
            )
            yield OptionList(id="lines", markup=False)

    def on_mount(self) -> None:
        self._fill(self.typed)

    @on(Input.Changed, "#narrow")
    def narrowed(self, event: Input.Changed) -> None:
        """Show what goes with the text typed."""
        self._fill(event.value)

    @on(Input.Submitted, "#narrow")
    def entered(self, event: Input.Submitted) -> None:
        """Take the line under the cursor."""
        event.stop()
        self.query_one(OptionList).action_select()

    @on(OptionList.OptionSelected, "#lines")
    def chosen(self, event: OptionList.OptionSelected) -> None:
        """Give it back."""
        event.stop()
        if event.option_id is not None:
            self.dismiss(event.option_id)

    def action_move(self, way: int) -> None:
        """Up and down in the list while the typing stays in the line."""
        lines = self.query_one(OptionList)
        if way > 0:
            lines.action_cursor_down()
        else:
            lines.action_cursor_up()

    def _fill(self, typed: str) -> None:
        lines = self.query_one(OptionList)
        found = self.find(typed)
        options = [Option(_one_line(one.text), id=one.id) for one in found]
        lines.set_options(options or [Option(literal(self.none), disabled=True)])
        lines.highlighted = 0 if options else None


def _one_line(text: str) -> Content:
    return literal(" ".join(text.split()))


# -- asks what to do, each answer a letter of its own ---------------------------------------------


class LettersScreen(Page[str | None]):
    """Gives back the letter pressed; None for Escape. Enter, too soon pressed, means nothing."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "dismiss(None)", "Back")]
    AUTO_FOCUS = "#letters"

    def __init__(self, told: str, letters: Mapping[str, str], leave: str) -> None:
        """``letters`` says what each does, ``leave`` what Esc does."""
        super().__init__()
        self.told, self.letters, self.leave = told, letters, leave

    def compose(self) -> ComposeResult:
        keys = [f"{letter}  {does}" for letter, does in self.letters.items()]
        with VerticalScroll(id="letters", classes="box"):
            yield Static(literal(self.told), markup=False)
            yield Static(literal("\n".join([*keys, f"Esc  {self.leave}"]), "bold"), markup=False)

    def on_key(self, event: Key) -> None:
        """One of the letters."""
        if self.stands and not self.ALONE and event.character in self.letters:
            event.stop()
            self.dismiss(event.character)


class SuddenScreen(LettersScreen):
    """Opens by itself, perhaps while somebody types: a letter counts only when pressed alone."""

    EARLY_KEYS = False

    def __init__(self, told: str, letters: Mapping[str, str], leave: str) -> None:
        super().__init__(told, letters, leave)
        self.ALONE = frozenset(letters)

    async def alone(self, key: str) -> None:
        """The letter is the answer."""
        self.dismiss(key)
