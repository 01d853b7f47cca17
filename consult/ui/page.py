"""What stands over the desk: a page that leaves once, however often its key is pressed."""

from __future__ import annotations

from textual.await_complete import AwaitComplete
from textual.screen import ModalScreen, ScreenResultType


class Page(ModalScreen[ScreenResultType]):
    """A modal screen that cannot take the desk away with it."""

    stands = False
    """Everything is on the screen; keys pressed before that are for nobody."""

    def on_mount(self) -> None:
        """Take keys from now on."""
        self.stands = True
        self.refresh_bindings()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool:  # noqa: ARG002
        """A page just opened has its keys once it is there."""
        return self.stands

    def dismiss(self, result: ScreenResultType | None = None) -> AwaitComplete:
        """Leave, unless it has left already: two quick keys would else close what lies below."""
        if not self.is_current:
            return AwaitComplete()
        return super().dismiss(result)
