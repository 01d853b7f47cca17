"""A piece of text on the screen that is drawn again only when it changed."""

from __future__ import annotations

from textual.content import Content
from textual.widgets import Static


class Part(Static):
    """Text that is never markup; without text it takes no room."""

    def __init__(self, id_: str) -> None:
        super().__init__(id=id_, markup=False)
        self.shown: Content | None = None

    def show(self, content: Content) -> None:
        """Show a text. What did not change costs no layout and cannot flicker."""
        if self.shown is not None and _same(self.shown, content):
            return
        self.shown = content
        self.display = bool(content.plain)
        self.update(content)


def _same(one: Content, other: Content) -> bool:
    return one.plain == other.plain and one.spans == other.spans
