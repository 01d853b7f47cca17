"""What has been said: every line can be amended."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.geometry import Size
from textual.reactive import Reactive
from textual.widgets import OptionList
from textual.widgets.option_list import Option

from consult.ui.words import step_line

if TYPE_CHECKING:
    from consult.call.state import State


class SaidList(OptionList):
    """The answers on the way, the latest at the bottom; Enter amends the one under the cursor.

    A line more moves nothing outside the list, so the screen is not laid out again for it.
    """

    virtual_size: Reactive[Size] = Reactive(Size(0, 0), layout=False)

    def on_blur(self) -> None:
        """Where there is no room for it, it was shown to amend a line, and goes again."""
        self.styles.clear_rule("display")

    def show(self, state: State) -> None:
        """Show the answered steps; only lines that changed are drawn again."""
        lines = [
            (step.question.name, step_line(step, state.call.system))
            for step in state.steps
            if step.answer is not None
        ]
        ids = [self.get_option_at_index(at).id for at in range(self.option_count)]
        if ids == [name for name, _ in lines[: len(ids)]]:
            for name, line in lines[: len(ids)]:
                if self.get_option(name).prompt != line:
                    self.replace_option_prompt(name, line)
            self.add_options([Option(line, id=name) for name, line in lines[len(ids) :]])
        else:
            self.set_options([Option(line, id=name) for name, line in lines])
        if not self.has_focus:
            self.scroll_end(animate=False)
