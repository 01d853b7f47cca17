"""What stands over the desk: a page that leaves once, however often its key is pressed."""

from __future__ import annotations

from textual.await_complete import AwaitComplete
from textual.screen import ModalScreen, ScreenResultType


class Page(ModalScreen[ScreenResultType]):
    """A modal screen that cannot take the desk away with it."""

    def dismiss(self, result: ScreenResultType | None = None) -> AwaitComplete:
        """Leave, unless it has left already: two quick keys would else close what lies below."""
        if not self.is_current:
            return AwaitComplete()
        return super().dismiss(result)
