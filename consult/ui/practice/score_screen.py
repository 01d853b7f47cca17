"""The score page: each item hangs on a moment of the conversation, and Enter goes there."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual import on, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal
from textual.content import Content
from textual.events import Resize
from textual.screen import Screen
from textual.widgets import OptionList
from textual.widgets.option_list import Option
from textual.worker import Worker, WorkerState

from consult.practice.log import Spoke
from consult.practice.model import level_words
from consult.ui.keys import Foot
from consult.ui.literal import literal
from consult.ui.opening import ROOMY_WIDTH
from consult.ui.practice.conversation import event_lines
from consult.ui.practice.score_words import (
    behaviour_content,
    in_order,
    item_content,
    next_lines,
    verdict,
)
from consult.ui.widgets.part import TextPart

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from consult.practice.exercise import Exercise
    from consult.ui.practice.rows import Practising, ScoredExercise

Wish = str
"""What is wished for next: "callers", "again" or "next"."""


class ScoreScreen(Screen[None]):
    """What the exercise was worth, and why."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "back", "Back to the score"),
        Binding("r", "wish('again')", "Practise it again"),
        Binding("n", "wish('next')", "Next caller"),
        Binding("c", "wish('callers')", "All callers"),
        Binding("alt+c", "app.contrast", "Contrast", show=False),
        Binding("ctrl+q", "app.quit", "Quit"),
    ]
    AUTO_FOCUS = "#score"

    def __init__(
        self,
        exercise: Exercise,
        practising: Practising,
        wished: Callable[[Wish, Exercise, ScoredExercise | None], None],
    ) -> None:
        super().__init__()
        self.exercise, self.practising, self.wished = exercise, practising, wished
        self.judged: ScoredExercise | None = None
        self._verdict = TextPart("verdict")
        self._turns: dict[str, int] = {}
        """Id of a line of the score -> the turn it hangs on."""

    def compose(self) -> ComposeResult:
        yield TextPart("status")
        yield self._verdict.add_class("verdict")
        with Horizontal(id="score-body"):
            yield OptionList(id="score", markup=False)
            yield OptionList(id="moments", markup=False)
        yield Foot()

    def on_mount(self) -> None:
        log = self.exercise.log
        title = " ".join(self.exercise.persona.title.split())
        self.query_one("#status", TextPart).show(
            literal(f"PRACTICE: SCORE  |  {level_words(log.level)}  |  seed {log.seed}  |  {title}")
        )
        self._verdict.show(literal("Scoring the call ..."))
        self.query_one("#score").border_title = "Score: Enter goes to that moment"
        self.query_one("#moments").border_title = "Conversation: Esc goes back to the score"
        self._judge()

    @work(thread=True, group="score", exit_on_error=False)
    def _judge(self) -> None:
        judged = self.practising.judge(self.exercise)
        self.app.call_from_thread(self._fill, judged)

    def on_worker_state_changed(self, event: Worker.StateChanged) -> None:
        """A score that cannot be worked out must not look as if they were still coming."""
        if event.state is WorkerState.ERROR:
            told = "! The call could not be scored and is not in your record."
            self._verdict.show(literal(told))

    def on_resize(self, event: Resize) -> None:
        """Small screens show the score or the conversation, large ones both."""
        self.set_class(event.size.width < ROOMY_WIDTH, "folded")

    def _fill(self, judged: ScoredExercise) -> None:
        self.judged = judged
        self._verdict.set_class(not judged.score.passed, "failed")
        self._verdict.show(verdict(judged.score))
        self.query_one("#moments", OptionList).set_options(list(self._moments()))
        score = self.query_one("#score", OptionList)
        score.set_options(list(self._lines(judged)))
        score.action_first()

    def _lines(self, judged: ScoredExercise) -> Iterator[Option | None]:
        """What was marked, each with a line drawn below; the caller; what is next."""
        for at, item in enumerate(in_order(judged.score.items)):
            self._turns[f"item-{at}"] = item.turn
            yield Option(item_content(item), id=f"item-{at}")
            yield None
        persona, log = self.exercise.persona, self.exercise.log
        if persona.behaviours:
            yield _heading("What this caller did")
        if persona.turns_out:
            yield Option(literal(" ".join(persona.turns_out.split())), id="turns-out")
        for at, behaviour in enumerate(persona.behaviours):
            turn = next((each.number for each in log.turns if behaviour.name in each.shown), 0)
            self._turns[f"behaviour-{at}"] = turn
            yield Option(behaviour_content(behaviour, judged.score, turn), id=f"behaviour-{at}")
        today = self.practising.clock().date()
        yield _heading("What to practise next")
        for at, line in enumerate(next_lines(judged, persona, today)):
            yield Option(literal(line), id=f"next-{at}")

    def _moments(self) -> Iterator[Option]:
        for at, event in enumerate(self.exercise.log.events):
            if lines := event_lines(event):
                name = f"turn-{event.turn.number}" if isinstance(event, Spoke) else f"event-{at}"
                yield Option(Content("\n").join(lines), id=name)

    @on(OptionList.OptionSelected, "#score")
    def selected(self, event: OptionList.OptionSelected) -> None:
        """Go to the moment that a line hangs on."""
        event.stop()
        if turn := self._turns.get(event.option_id or "", 0):
            self.add_class("at-moment")
            moments = self.query_one("#moments", OptionList)
            moments.highlighted = moments.get_option_index(f"turn-{turn}")
            moments.focus()
            self.call_after_refresh(moments.scroll_to_highlight, True)

    def action_back(self) -> None:
        self.remove_class("at-moment")
        self.query_one("#score").focus()

    def action_wish(self, wish: Wish) -> None:
        self.wished(wish, self.exercise, self.judged)


def _heading(text: str) -> Option:
    return Option(literal(text, "bold"), disabled=True)
