"""What opens over the call screen: a page that closes once, however often its key is pressed."""

from __future__ import annotations

from typing import ClassVar

from textual.await_complete import AwaitComplete
from textual.events import Key
from textual.screen import ModalScreen, ScreenResultType
from textual.timer import Timer

from consult.ui.program import Program


class Page(ModalScreen[ScreenResultType]):
    """A modal screen that cannot close the screen below it."""

    ALONE: ClassVar[frozenset[str]] = frozenset()
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
        for binding in self._bindings.key_to_bindings.get(key, ()):
            await self.run_action(binding.action)
