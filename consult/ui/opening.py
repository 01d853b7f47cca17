"""The call screen before the call is there: its first question, and the frames of all the rest.

It needs one tree file and no figures. What is typed waits for the call screen, which comes in its
place as soon as everything is loaded, and looks the same.
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
from consult.ui.room import room
from consult.ui.widgets.part import ColumnBox, RowBox, ScrolledPanel

if TYPE_CHECKING:
    from datetime import datetime

    from consult.call.basis import Basis
    from consult.call.call import Call
    from consult.records.call_trees import FirstCalls, LiveTrees
    from consult.records.desk_calls import DeskCalls


@dataclass(frozen=True, slots=True)
class Begun:
    """What the call desk begins with.

    ``live`` knows what new calls begin with; where there is none, as a tree was named, every call
    at the desk is led with ``basis``.
    """

    basis: Basis
    call: Call
    kept: DeskCalls
    clock: Callable[[], datetime]
    open_first: str = ""
    """The reference of a stored call to continue."""
    firsts: FirstCalls | None = None
    """Looks at the calls that others follow."""
    live: LiveTrees | None = None


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
