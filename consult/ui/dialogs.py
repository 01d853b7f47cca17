"""What opens over a screen: a page that closes once, however often its key is pressed.

And the small ones: a yes or no, one of some letters, a line, a text, a list.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.await_complete import AwaitComplete
from textual.binding import Binding, BindingType
from textual.containers import Vertical, VerticalScroll
from textual.content import Content
from textual.events import Key
from textual.screen import ModalScreen, ScreenResultType
from textual.timer import Timer
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option

from consult.records.errors import CannotKeep
from consult.records.place import home_path
from consult.ui.app import Program
from consult.ui.keys import Foot
from consult.ui.literal import clickable, literal


class Page(ModalScreen[ScreenResultType]):
    """A modal screen that cannot close the screen below it."""

    ALONE: frozenset[str] = frozenset()
    """Bound letters that count only when pressed alone: the s of "yes" confirms nothing."""

    EARLY_KEYS: ClassVar[bool] = True
    """Whether keys pressed before it opened are meant for it."""

    PAUSE: ClassVar[float] = 0.4
    """Seconds without another letter after which a key was pressed alone: from memory, a slow
    typist presses three letters a second."""

    stands = False
    """Whether the page is ready; keys pressed earlier wait until it is."""
    _alone = ""
    _quiet: Timer | None = None

    def on_mount(self) -> None:
        self.stands = True
        self.refresh_bindings()
        if isinstance(self.app, Program):
            self.app.ready()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool:  # noqa: ARG002
        return self.stands

    def dismiss(self, result: ScreenResultType | None = None) -> AwaitComplete:
        """Close, unless it is closed already: two quick keys would otherwise close the screen
        below."""
        if not self.is_current:
            return AwaitComplete()
        return super().dismiss(result)

    async def _on_key(self, event: Key) -> None:
        """Wait a moment after a letter: with others beside it, it belongs to a text."""
        if not self.ALONE or not event.is_printable or not self.stands:
            return
        event.stop()
        event.prevent_default()
        typing = self._quiet is not None
        if typing and event.key == self._alone:
            return  # held down
        self._alone = event.key if event.key in self.ALONE and not typing else ""
        if self._quiet is not None:
            self._quiet.stop()
        if self.PAUSE:
            self._quiet = self.set_timer(self.PAUSE, self._pressed)
        else:
            await self._pressed()

    async def _pressed(self) -> None:
        key, self._alone, self._quiet = self._alone, "", None
        if key:
            await self.alone(key)

    async def alone(self, key: str) -> None:
        """Do what a letter pressed alone is bound to."""
        for binding in self._bindings.key_to_bindings.get(key, ()):
            await self.run_action(binding.action)


class SavePage(Page[None]):
    """A page whose text can be saved under a name that may be changed; Esc goes back."""

    ENTER = ""
    """The action that Enter in the name does."""

    def __init__(self, stem: Path) -> None:
        """``stem`` is the name proposed, without an ending."""
        super().__init__()
        self.stem = stem

    def compose_saving(self) -> ComposeResult:
        """The name, what became of saving, and the keys; the last of the page."""
        yield Static(literal("Save as; endings are added:"), markup=False)
        yield Input(str(self.stem), id="save-as", placeholder="a name; Enter or F8")
        yield Static(id="save-result", markup=False)
        yield Foot()

    @on(Input.Submitted, "#save-as")
    async def name_entered(self, event: Input.Submitted) -> None:
        event.stop()
        await self.run_action(self.ENTER)

    def save_named(self, save: Callable[[Path], str]) -> None:
        """Save under the name typed; say where, or why not, and keep the name."""
        named = self.query_one("#save-as", Input).value.strip()
        if not named:
            self.tell("Please name the file.")
            return
        try:
            self.tell(save(home_path(named)))
        except CannotKeep as trouble:
            self.tell(f"! {trouble}")

    def tell(self, text: str) -> None:
        self.query_one("#save-result", Static).update(literal(text))


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


class LineScreen(Page[str | None]):
    """Asks for one line of text, such as a note; None where the adviser left."""

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


class ReadPage(Page[ScreenResultType]):
    """Text to read and scroll."""

    def __init__(self, title: str, content: Content, id_: str | None = None) -> None:
        super().__init__()
        self.text_title, self.content, self.content_id = title, content, id_

    def compose(self) -> ComposeResult:
        with VerticalScroll(classes="page") as page:
            page.border_title = self.text_title
            yield Static(self.content, id=self.content_id, markup=False)
        yield Foot()


class TextScreen(ReadPage[None]):
    """Shows a text until Escape."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape,f1", "dismiss(None)", "Back")]

    def __init__(self, title: str, text: str) -> None:
        super().__init__(title, literal(text))
        self.text = text


def having(lines: Mapping[str, str]) -> Callable[[str], Mapping[str, str]]:
    """Those lines, by id, that have in them what is typed."""

    def find(typed: str) -> Mapping[str, str]:
        return {id_: text for id_, text in lines.items() if typed.casefold() in text.casefold()}

    return find


class ChooseScreen(Page[str | None]):
    """A list that typing narrows; gives back the id of the line chosen, None for Escape."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "dismiss(None)", "Back"),
        Binding("down", "move(1)", "Down", show=False),
        Binding("up", "move(-1)", "Up", show=False),
    ]
    AUTO_FOCUS = "#narrow"

    def __init__(
        self, title: str, find: Callable[[str], Mapping[str, str]], none: str, typed: str = ""
    ) -> None:
        """``find`` gives the lines, by id, for what is typed; ``none`` is shown where there are
        none."""
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
        self._fill(event.value)

    @on(Input.Submitted, "#narrow")
    def entered(self, event: Input.Submitted) -> None:
        event.stop()
        self.query_one(OptionList).action_select()

    @on(OptionList.OptionSelected, "#lines")
    def chosen(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        if event.option_id is not None:
            self.dismiss(event.option_id)

    def action_move(self, way: int) -> None:
        """Up and down in the list while the typing stays in the line."""
        lines = self.query_one(OptionList)
        (lines.action_cursor_down if way > 0 else lines.action_cursor_up)()

    def _fill(self, typed: str) -> None:
        lines = self.query_one(OptionList)
        found = self.find(typed).items()
        options = [Option(literal(" ".join(text.split())), id=id_) for id_, text in found]
        lines.set_options(options or [Option(literal(self.none), disabled=True)])
        lines.highlighted = 0 if options else None


class LettersScreen(Page[str | None]):
    """Asks what to do: gives back the letter pressed, None for Escape; Enter means nothing."""

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
        self.dismiss(key)
