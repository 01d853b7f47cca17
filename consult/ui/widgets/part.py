"""A piece of text on the screen that is drawn again only when it changed."""

from __future__ import annotations

from textual.content import Content
from textual.geometry import Size
from textual.reactive import Reactive
from textual.widget import Widget
from textual.widgets import Static


class TextPart(Static):
    """Text that is never markup.

    Laying a screen out costs four times what drawing a text does, so it is done only where the
    text needs another height than it has; never again because it then has that height.
    """

    virtual_size: Reactive[Size] = Reactive(Size(0, 0), layout=False)

    def __init__(self, id_: str, *, vanishes: bool = False) -> None:
        """``vanishes``: without text it takes no room."""
        super().__init__(id=id_, markup=False)
        self.vanishes = vanishes
        self.shown: Content | None = None

    def show(self, content: Content) -> None:
        """Show a text. What did not change costs nothing and cannot flicker."""
        if self.shown is not None and _same(self.shown, content):
            return
        self.shown = content
        if self.vanishes and self.display != bool(content.plain):
            self.display = bool(content.plain)
            self.update(content)
        else:
            self.update(content, layout=not self._fits(content))

    def _fits(self, content: Content) -> bool:
        """Whether the text stands in the room there is, no more and no less."""
        width, height = self.content_size
        around = self.parent
        if not width or not isinstance(around, Widget):
            return False
        whole = self.styles.text_wrap == "nowrap"
        wrapped = content.plain.split("\n") if whole else content.wrap(width)
        lines = len(wrapped) if content.plain else 0
        # As tall as what it stands in: not as it stands now, which an earlier text may have made.
        least = around.size.height if self.styles.min_height is not None else 0
        return max(lines, least - self.gutter.height) == height


def _same(one: Content, other: Content) -> bool:
    return one.plain == other.plain and one.spans == other.spans
