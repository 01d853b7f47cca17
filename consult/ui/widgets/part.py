"""A piece of text on the screen that is drawn again only when it changed."""

from __future__ import annotations

from rich.text import Text
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.content import Content
from textual.geometry import Size
from textual.reactive import Reactive
from textual.widget import Widget
from textual.widgets import Input, Static

from consult.visible import visible


class Settled:
    """What a layout puts somewhere, and which is content with that.

    Else Textual lays the whole screen out again for everything that was new, or is of another size
    than before. Where a scroll bar comes or goes it still does.
    """

    virtual_size: Reactive[Size] = Reactive(Size(0, 0), layout=False, repaint=False)


class RowBox(Settled, Horizontal):
    """Things side by side."""


class ColumnBox(Settled, Vertical):
    """Things one below the other."""


class ScrolledPanel(Settled, VerticalScroll, can_focus=False):
    """What may be longer than its panel."""


class LiteralInput(Settled, Input):
    """A line that shows every character, a cell or more for each.

    It holds no line break, so one is shown as a sign; what is stored is the break itself.
    """

    @property
    def _value(self) -> Text:
        return Text(_line(self.value), no_wrap=True, overflow="ignore", end="")

    def _position_to_cell(self, position: int) -> int:
        return Text(_line(self.value[:position])).cell_len


def _line(text: str) -> str:
    return visible(text.translate({ord("\n"): "↵", ord("\t"): "␉"}))


class TextPart(Settled, Static):
    """Text that is never markup.

    Laying a screen out costs four times what drawing a text does, so it is done only where the
    text needs another height than it has.
    """

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
            height = self._height_for(content)
            self.update(content, layout=height != self.content_size.height)
            if height is not None and height != self.content_size.height:
                self._tell_around(height)

    def _height_for(self, content: Content) -> int | None:
        """Lines that a text takes in the width there is; None before there is one."""
        width, around = self.content_size.width, self.parent
        if not width or not isinstance(around, Widget):
            return None
        whole = self.styles.text_wrap == "nowrap"
        wrapped = content.plain.split("\n") if whole else content.wrap(width)
        lines = len(wrapped) if content.plain else 0
        # As tall as what it stands in: not as it stands now, which an earlier text may have made.
        least = around.size.height if self.styles.min_height is not None else 0
        return max(lines, least - self.gutter.height)

    def _tell_around(self, height: int) -> None:
        """A panel that scrolls shows its scroll bar as it will be, not once more after a layout."""
        around = self.parent
        if isinstance(around, VerticalScroll) and around.virtual_size.height:
            around.virtual_size = around.virtual_size.with_height(height + self.gutter.height)
            around._scroll_update(around.virtual_size)


def _same(content: Content, other: Content) -> bool:
    return content.plain == other.plain and content.spans == other.spans
