"""The answer line: takes a paste whole, shows every character, completes names after a slash."""

from __future__ import annotations

import re
from itertools import chain
from typing import TYPE_CHECKING, Self

from textual.content import Content
from textual.events import Key, Paste
from textual.suggester import Suggester

from consult.call.by_name import BY_NAME, completions
from consult.call.offer import LETTERS
from consult.ui.app import Program
from consult.ui.literal import clickable
from consult.ui.widgets.part import LiteralInput

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Sequence

    from textual.geometry import Region

    from consult.tree.model import Question, Tree
    from consult.units import Proposal


ENTER = ("enter", "ctrl+j")
"""Enter as a terminal sends it, and as it comes out where it was pressed before we were ready."""

_FOR_THE_SCREEN = ("up", "down", "pageup", "pagedown")
"""Keys that scroll a widget of several lines; this is one, and the screen has uses for them."""


class _Names(Suggester):
    """The rest of a word or name that begins as typed."""

    def __init__(self, tree: Tree, words: Collection[str]) -> None:
        super().__init__(use_cache=False, case_sensitive=True)
        self.tree, self.words = tree, words

    async def get_suggestion(self, value: str) -> str | None:
        """The first name that goes on from what is typed; None where nothing does."""
        typed = value.removeprefix(BY_NAME)
        if typed == value or not typed or typed.startswith(BY_NAME):
            return None
        begun = (word for word in self.words if word.startswith(typed.casefold()))
        found = next(chain(begun, completions(self.tree, typed)), None)
        return BY_NAME + typed + found[len(typed) :] if found else None


class AnswerInput(LiteralInput):
    """Input that keeps what was pasted to the character."""

    def __init__(
        self,
        tree: Tree,
        entered: Callable[[str], None],
        other: Callable[[], bool] = lambda: False,
        words: Collection[str] = (),
    ) -> None:
        """``entered`` is called with the text for Enter, before any later key is looked at;
        ``other`` for Tab, and tells whether there was another reading to take. ``words`` are
        actions that may follow a slash."""
        super().__init__(id="answer", suggester=_Names(tree, words))
        self.entered, self.other = entered, other
        for key in _FOR_THE_SCREEN:
            self._bindings.key_to_bindings.pop(key, None)

    async def _on_key(self, event: Key) -> None:
        """Keys take effect in the order they were pressed.

        A key that is left to the bindings is acted on only after it has travelled up to the
        screen; letters typed on meanwhile would go into the answer before it.
        """
        app, key = self.app, event.key
        bound = self._bindings.key_to_bindings.get(key)
        if isinstance(app, Program) and not self.screen.is_current:
            app.wait(event)  # typed on while a caution opened
        elif key in ENTER:
            self.entered(self.value)
        elif bound:
            await self.run_action(bound[0].action)
        elif key != "tab" or not self.other():
            return
        event.stop()
        event.prevent_default()

    def refresh(
        self,
        *regions: Region,
        repaint: bool = True,
        layout: bool = False,  # noqa: ARG002
        recompose: bool = False,
    ) -> Self:
        """Its size never depends on what is typed, so nothing else need be laid out again."""
        return super().refresh(*regions, repaint=repaint, layout=False, recompose=recompose)

    def _on_paste(self, event: Paste) -> None:
        """Input keeps the first line only; a caller's words may run over several."""
        event.prevent_default()
        event.stop()
        if event.text:
            self.replace(event.text, *self.selection)


# -- what can be clicked around it: short answers, readings, and Enter itself ---------------------


def answer_clicks(question: Question | None) -> Content:
    """Yes, no and not known where they are answers, and Enter, side by side."""
    said = []
    if question is not None and question.answer == "yes-no":
        said += [("Yes", "answer('y')"), ("No", "answer('n')")]
    if question is not None and question.unknown_allowed:
        said.append(("Not known", "answer('?')"))
    said.append(("Enter", "enter"))
    return Content(" ").join(clickable(f"[{label}]", action) for label, action in said)


def turned(typed: str, number: int) -> str:
    """The numbers typed, with one more, or without it where it stood there already."""
    numbers = re.findall(r"\d+", typed)
    others = [one for one in numbers if one != str(number)]
    return ", ".join(others if str(number) in numbers else [*others, str(number)])


def readings(proposals: Sequence[Proposal]) -> Content:
    """Which key takes which reading of an answer, as a line of its own; a click does, too."""
    if not proposals:
        return Content("")
    keys = ("Enter", "Tab", *LETTERS[2:])
    lines = (
        clickable(f"{keys[at]}: {proposal.words}", f"take_reading({at})")
        for at, proposal in enumerate(proposals)
    )
    return Content("\n") + Content("   ").join(lines)
