"""The draft as the adviser will see it: one question, or a rehearsal that keeps nothing."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING, ClassVar, cast

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical

from consult.call.call import Call
from consult.call.session import Session
from consult.records.desk_calls import DeskCalls
from consult.tree.model import Question, Tree
from consult.ui.call_screen import CallScreen
from consult.ui.dialogs import Page
from consult.ui.keys import Foot
from consult.ui.literal import literal
from consult.ui.widgets.answer_line import AnswerInput
from consult.ui.widgets.panels import SaidList, SayPanel
from consult.ui.widgets.part import TextPart
from consult.ui.words import how_to_answer

if TYPE_CHECKING:
    from datetime import datetime
    from pathlib import Path

    from consult.call.basis import Basis
    from consult.call.state import State
    from consult.content.editing.sheets import Place, Sheets
    from consult.tree.model import AnswerKind

_NAME = "rehearsal"
_COUNTRY = "GB"


class NothingKept(DeskCalls):
    """Stands where the records are at a real desk."""

    def __init__(self, editor: str) -> None:
        self.adviser = editor
        self.notices = []

    def keep(self, name: str, now: State) -> str:  # noqa: ARG002
        return ""

    def reference(self, name: str) -> str:
        return name

    def note_summary(self, name: str, path: Path) -> str:  # noqa: ARG002
        return ""


class RehearsalScreen(CallScreen):
    """The call desk; Escape from the answer line goes back to the content desk."""

    def on_mount(self) -> None:
        told = "This is a rehearsal: nothing is stored. Esc or Ctrl+Q goes back to the editor."
        self.call_after_refresh(self.tell, told, "")

    def action_back(self) -> None:
        """Leave a list or an amendment first, then the rehearsal."""
        amending = self.session.amending is not None
        if amending or self.query_one(SaidList).has_focus:
            super().action_back()
        else:
            self.app.pop_screen()


def rehearsal(
    basis: Basis, question: str, clock: Callable[[], datetime], editor: str
) -> RehearsalScreen:
    """A call that begins at a question and goes on from there as a real one would."""
    now = clock()
    if question in basis.tree.questions:
        basis = replace(basis, tree=replace(basis.tree, first=question))
    session = Session(basis, Call(now.date(), "metric", _COUNTRY), now)
    return RehearsalScreen(session, NothingKept(editor), _NAME, clock)


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
        question = self.question
        tree = Tree(question.name, "", "", question.name, {question.name: question}, (), (), ())
        with Vertical(classes="box tall"):
            yield SayPanel(id="say")
            yield AnswerInput(tree, lambda _: None)
            yield TextPart("e-preview-note")
        yield Foot()

    def on_mount(self) -> None:
        answer = self.query_one(AnswerInput)
        answer.placeholder = how_to_answer(self.question, "metric")
        answer.can_focus = False
        self.query_one("#e-preview-note", TextPart).show(literal(self.note))
        self._show()

    def _show(self) -> None:
        panel = self.query_one(SayPanel)
        panel.show(self.question, "metric", coaching=self.coaching, amending=False)

    def action_coach(self) -> None:
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
