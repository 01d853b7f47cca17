"""The side view on the whole screen."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType

from consult.ui.keys import Foot
from consult.ui.page import Page
from consult.ui.widgets.picture_panel import PicturePanel

if TYPE_CHECKING:
    from consult.call.state import State


class PictureScreen(Page[None]):
    """Until Escape."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape,alt+s", "dismiss(None)", "Back")]

    def __init__(self, now: State) -> None:
        super().__init__()
        self.now = now

    def compose(self) -> ComposeResult:
        yield PicturePanel("whole-picture")
        yield Foot()

    def on_mount(self) -> None:
        self.query_one(PicturePanel).show(self.now)
