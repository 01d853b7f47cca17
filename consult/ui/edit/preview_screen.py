"""The question exactly as the adviser will see it."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar, cast

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical

from consult.tree.model import Question, Tree
from consult.ui.answer_words import how_to_answer
from consult.ui.keys import Foot
from consult.ui.page import Page
from consult.ui.widgets.answer_line import AnswerLine
from consult.ui.widgets.part import Part
from consult.ui.widgets.say_panel import SayPanel
from consult.ui.words import literal

if TYPE_CHECKING:
    from consult.tree.model import AnswerKind
    from consult.ui.edit.sheets import Place, Sheets


class PreviewScreen(Page[None]):
    """The question, its choices, its coaching and the answer line, as at the call desk."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,alt+v", "dismiss(None)", "Back"),
        Binding("f4", "coach", "Coaching"),
    ]
    AUTO_FOCUS = None

    def __init__(self, question: Question, note: str) -> None:
        """``note`` is said below: what no preview can show."""
        super().__init__()
        self.question, self.note = question, note
        self.coaching = True

    def compose(self) -> ComposeResult:
        one = self.question
        tree = Tree(one.name, "", "", one.name, {one.name: one}, (), (), ())
        with Vertical(classes="box tall"):
            yield SayPanel(id="say")
            yield AnswerLine(tree, lambda _: None)
            yield Part("e-preview-note")
        yield Foot(show_command_palette=False)

    def on_mount(self) -> None:
        answer = self.query_one(AnswerLine)
        answer.placeholder = how_to_answer(self.question, "metric")
        answer.can_focus = False
        self.query_one("#e-preview-note", Part).show(literal(self.note))
        self._show()

    def _show(self) -> None:
        panel = self.query_one(SayPanel)
        panel.show(self.question, "metric", coaching=self.coaching, amending=False)

    def action_coach(self) -> None:
        """Show or hide the coaching, as F4 does at the call desk."""
        self.coaching = not self.coaching
        self._show()


def previewed(place: Place, sheets: Sheets) -> Question:
    """The question of a form as far as it is written, whatever is still wrong with the tree."""
    marked = sheets.good[place.file]
    choices = sheets.data(place.inside("choices"))
    return Question(
        name=str(place.steps[-1]),
        where=marked.key(*place.steps),
        ask=sheets.value(place, "ask"),
        answer=cast("AnswerKind", sheets.value(place, "answer") or "text"),
        routes=(),
        coach=sheets.value(place, "coach"),
        choices={
            name: sheets.value(place, "choices", name)
            for name in (choices if isinstance(choices, dict) else ())
        },
        unit=sheets.value(place, "unit") or None,
        unknown_allowed=sheets.value(place, "unknown") != "refused",
    )
