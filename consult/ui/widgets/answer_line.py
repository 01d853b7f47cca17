"""The answer line: takes a paste whole, shows every character, completes names after a slash."""

from __future__ import annotations

from typing import TYPE_CHECKING, Self

from rich.text import Text
from textual.events import Key, Paste
from textual.suggester import Suggester
from textual.widgets import Input

from consult.call.by_name import completions
from consult.call.session import BY_NAME
from consult.visible import visible

if TYPE_CHECKING:
    from collections.abc import Callable

    from textual.geometry import Region

    from consult.tree.model import Tree

_ONE_CELL = str.maketrans({"\n": "↵", "\t": "␉"})
"""A line holds no line break, so one is shown as a sign; what is stored is the break itself."""


class _Names(Suggester):
    """The rest of a name that begins as typed."""

    def __init__(self, tree: Tree) -> None:
        super().__init__(use_cache=False, case_sensitive=True)
        self.tree = tree

    async def get_suggestion(self, value: str) -> str | None:
        """The first name that goes on from what is typed; None where nothing does."""
        typed = value.removeprefix(BY_NAME)
        if typed == value or not typed or typed.startswith(BY_NAME):
            return None
        found = next(iter(completions(self.tree, typed)), None)
        return BY_NAME + typed + found[len(typed) :] if found else None


class AnswerLine(Input):
    """Input that keeps what was pasted to the character."""

    def __init__(self, tree: Tree, entered: Callable[[str], None]) -> None:
        """``entered`` is called with the text for Enter, before any later key is looked at."""
        super().__init__(id="answer", suggester=_Names(tree))
        self.entered = entered

    async def _on_key(self, event: Key) -> None:
        """Keys take effect in the order they were pressed.

        A key that is left to the bindings is acted on only after it has travelled up to the
        screen; letters typed on meanwhile would go into the answer before it.
        """
        bound = self._bindings.key_to_bindings.get(event.key)
        if event.key != "enter" and not bound:
            return
        event.stop()
        event.prevent_default()
        if event.key == "enter":
            self.entered(self.value)
        elif bound:
            await self.run_action(bound[0].action)

    def refresh(
        self,
        *regions: Region,
        repaint: bool = True,
        layout: bool = False,  # noqa: ARG002
        recompose: bool = False,
    ) -> Self:
        """Its size never depends on what is typed, so nothing else need be laid out again."""
        return super().refresh(*regions, repaint=repaint, layout=False, recompose=recompose)

    @property
    def _value(self) -> Text:
        return Text(_line(self.value), no_wrap=True, overflow="ignore", end="")

    def _position_to_cell(self, position: int) -> int:
        return Text(_line(self.value[:position])).cell_len

    def _on_paste(self, event: Paste) -> None:
        """Input keeps the first line only; a caller's words may run over several."""
        event.prevent_default()
        event.stop()
        if event.text:
            self.replace(event.text, *self.selection)


def _line(text: str) -> str:
    """The text in one line, a cell or more for every character."""
    return visible(text.translate(_ONE_CELL))
