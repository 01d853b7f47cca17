"""The frame of the call screen: what a window has room for, and how it looks before the call.

The first question needs one tree file and no figures. What is typed waits for the call screen,
which comes in its place as soon as everything is loaded, and looks the same.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from textual.app import ComposeResult
from textual.content import Content
from textual.screen import Screen
from textual.widgets import Input, Static

from consult.ui.keys import Foot
from consult.ui.literal import literal
from consult.ui.widgets.part import ColumnBox, RowBox, ScrolledPanel

if TYPE_CHECKING:
    from consult.records.desk_calls import Begun


@dataclass(frozen=True, slots=True)
class FirstSight:
    """A first question to show while the rest is loaded."""

    ask: str
    begin: Callable[[], Begun | None]
    """Loads it; None where no call can begin, and the desk closes again."""


class OpeningScreen(Screen[None]):
    """Takes no keys: they wait."""

    stands = False

    def __init__(self, ask: str) -> None:
        super().__init__()
        self.ask = ask

    def compose(self) -> ComposeResult:
        self.add_class(*(name for name, there in room(*self.app.size).items() if there))
        yield Static(id="status")
        yield Static(id="chair-line", classes="filled")
        with RowBox(id="desk"):
            with ColumnBox(id="talk"):
                with ScrolledPanel(id="say"):
                    yield Static(first_asked(self.ask), id="ask", markup=False)
                yield Input(id="answer")
                yield ScrolledPanel(id="said")
            with ColumnBox(id="side"):
                with ColumnBox(id="facts"):
                    yield ScrolledPanel(id="fit-panel")
                yield ColumnBox(id="picture")
        yield Foot()


def first_asked(ask: str) -> Content:
    """The words of a question as they stand in the panel of words."""
    return literal("Say: ", "dim") + literal(ask, "bold")


# -- what a window has room for -------------------------------------------------------------------


ROOMY_WIDTH, ROOMY_HEIGHT = 100, 36
"""From here there is room for the picture beside the words."""
SLIM_WIDTH = 75
"""Below this the figures have no room beside the words; /why and /picture have them."""
WIDE_WIDTH = 150
"""From here the picture has a column of its own."""
LOW_HEIGHT = 18
"""Below this there is no room for what was said; /amend has it."""
LONG_LIST = 6
"""Choices that take the whole width of a small screen: a list read out must be seen whole."""


def room(width: int, height: int) -> dict[str, bool]:
    """Class of the screen -> whether a window of so many cells has it."""
    return {
        "narrow": width < ROOMY_WIDTH,
        "bare": height < ROOMY_HEIGHT or width < ROOMY_WIDTH,
        "slim": width < SLIM_WIDTH,
        "wide": width >= WIDE_WIDTH,
        "low": height < LOW_HEIGHT,
    }
