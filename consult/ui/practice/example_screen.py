"""The worked example on the screen: Enter plays the next turn, and the commentary stands below."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.content import Content

from consult.ui.keys import Foot
from consult.ui.page import Page
from consult.ui.practice.conversation import turn_lines
from consult.ui.practice.lessons import EXAMPLE_TITLE, key_of
from consult.ui.widgets.part import Part
from consult.ui.words import literal

if TYPE_CHECKING:
    from consult.practice.worked import Scene

_OVER = (
    "That was the call. Esc goes back: read the words of the trade, then take your own first call."
)


class ExampleScreen(Page[None]):
    """A call that plays itself, as far as it was played."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter,space,down", "turn(1)", "Next turn"),
        Binding("backspace,up", "turn(-1)", "One back"),
        Binding("escape", "dismiss(None)", "Back"),
    ]

    def __init__(self, scenes: Sequence[Scene]) -> None:
        super().__init__()
        self.scenes, self._played = scenes, 1

    def compose(self) -> ComposeResult:
        yield VerticalScroll(Part("played"), id="played-box", can_focus=False)
        with VerticalScroll(id="comment-box", can_focus=False):
            yield Part("comment")
        yield Foot(show_command_palette=False)

    def on_mount(self) -> None:
        """The first words are heard at once."""
        super().on_mount()
        self.query_one("#comment-box").border_title = "What happens here"
        self._show()

    def action_turn(self, way: int) -> None:
        """One turn on or back."""
        self._played = min(max(self._played + way, 1), len(self.scenes))
        self._show()

    def _show(self) -> None:
        played = self.scenes[: self._played]
        now = played[-1]
        box = self.query_one("#played-box", VerticalScroll)
        box.border_title = f"{EXAMPLE_TITLE}: turn {len(played)} of {len(self.scenes)}"
        self.query_one("#played", Part).show(
            Content("\n").join(line for scene in played for line in _lines(scene))
        )
        comments = [*now.comments, *([_OVER] if len(played) == len(self.scenes) else [])]
        key = key_of(now)
        pressed = literal(f"{key}. ", "bold") if key else literal("")
        self.query_one("#comment", Part).show(pressed + literal("\n".join(comments)))
        self.call_after_refresh(box.scroll_end, animate=False)


def _lines(scene: Scene) -> list[Content]:
    """What was said, and what was typed after it."""
    typed = [literal(f"    typed  {said}", "reverse") for said in scene.typed]
    return [*turn_lines(scene.turn), *typed]
