"""What opens over the call screen: a page that closes once, however often its key is pressed."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.await_complete import AwaitComplete
from textual.events import Key
from textual.screen import ModalScreen, ScreenResultType
from textual.timer import Timer
from textual.widgets import Input, Static

from consult.records.errors import CannotKeep
from consult.records.place import home_path
from consult.ui.keys import Foot
from consult.ui.literal import literal
from consult.ui.program import Program


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
        """Accept keys from now on."""
        self.stands = True
        self.refresh_bindings()
        if isinstance(self.app, Program):
            self.app.ready()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool:  # noqa: ARG002
        """Keys count once the page is open."""
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


# -- A page whose text can be saved under a name that the adviser may change ----------------------


class SavePage(Page[None]):
    """Esc goes back to the call, which stays as it is."""

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
        """Enter in the name saves."""
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
        """Say something below the name."""
        self.query_one("#save-result", Static).update(literal(text))
