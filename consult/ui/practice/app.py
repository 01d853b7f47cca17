"""Practice as a program: choose a caller, lead the call, see the score, choose again.

The screens of a call are imported when one begins (``rows``).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, ClassVar, TypeVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.content import Content
from textual.worker import Worker, WorkerState

from consult.ui.app import Program
from consult.ui.dialogs import AskScreen, Page
from consult.ui.keys import Foot
from consult.ui.literal import literal
from consult.ui.practice.keys import PRACTICE_KEYS
from consult.ui.practice.rows import EXAMPLE_TITLE, CallerRow, NotReady, Practising, ScoredExercise
from consult.ui.practice.score_words import key_of
from consult.ui.practice.start_screen import StartScreen
from consult.ui.widgets.part import TextPart

if TYPE_CHECKING:
    from consult.practice.exercise import Exercise
    from consult.practice.worked import WorkedTurn
    from consult.ui.practice.desk_screen import PracticeScreen
    from consult.ui.practice.score_screen import Wish

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

    def __init__(self, scenes: Sequence[WorkedTurn]) -> None:
        super().__init__()
        self.scenes, self._played = scenes, 1

    def compose(self) -> ComposeResult:
        yield VerticalScroll(TextPart("played"), id="played-box", can_focus=False)
        with VerticalScroll(id="comment-box", can_focus=False):
            yield TextPart("comment")
        yield Foot()

    def on_mount(self) -> None:
        """The first words are heard at once."""
        super().on_mount()
        self.query_one("#comment-box").border_title = "What happens here"
        self._show()

    def action_turn(self, way: int) -> None:
        self._played = min(max(self._played + way, 1), len(self.scenes))
        self._show()

    def _show(self) -> None:
        played = self.scenes[: self._played]
        now = played[-1]
        box = self.query_one("#played-box", VerticalScroll)
        box.border_title = f"{EXAMPLE_TITLE}: turn {len(played)} of {len(self.scenes)}"
        self.query_one("#played", TextPart).show(
            Content("\n").join(line for scene in played for line in _lines(scene))
        )
        comments = [*now.comments, *([_OVER] if len(played) == len(self.scenes) else [])]
        key = key_of(now)
        pressed = literal(f"{key}. ", "bold") if key else literal("")
        self.query_one("#comment", TextPart).show(pressed + literal("\n".join(comments)))
        self.call_after_refresh(box.scroll_end, animate=False)


def _lines(scene: WorkedTurn) -> list[Content]:
    """What was said, and what was typed after it."""
    from consult.ui.practice.conversation import turn_lines

    typed = [literal(f"    typed  {said}", "reverse") for said in scene.typed]
    return [*turn_lines(scene.turn), *typed]


_T = TypeVar("_T")
RINGING = "The phone rings ..."
_LEAVE = "Leave this call? It will not be scored or stored."


class PractiseApp(Program):
    """One learner, one call at a time."""

    TITLE = "consult practise"
    CSS_PATH: ClassVar = ["../consult.tcss", "practice.tcss"]
    DESK_KEYS = PRACTICE_KEYS

    def __init__(self, practising: Practising, first: CallerRow | None = None) -> None:
        """``first`` is played at once; without it the callers are shown."""
        super().__init__()
        self.practising = practising
        self.first = first
        self.start = StartScreen(practising, self.play, self.show_example)
        self._rings = False
        self._led: PracticeScreen | None = None

    def on_mount(self) -> None:
        self.push_screen(self.start)
        if self.first is not None:
            self.start.call_after_refresh(self.play, self.first)

    @property
    def desk(self) -> PracticeScreen | None:
        return self._led if self._led in self.screen_stack else None

    # -- from page to page --------------------------------------------------------------------

    def play(self, row: CallerRow) -> None:
        level = row.level or self.practising.level
        self._ring(lambda: self.practising.begin(row.choice, level, row.seed), self._lead)

    def show_example(self) -> None:
        self._ring(self.practising.example, lambda turns: self.push_screen(ExampleScreen(turns)))

    def _ring(self, begin: Callable[[], _T], then: Callable[[_T], object]) -> None:
        """Begin something in a thread, which takes a while, and go on with it; once at a time."""
        if self._rings:
            return
        self._rings = True
        self.start.tell(RINGING)

        def work() -> None:
            try:
                found = begin()
            except NotReady as trouble:
                self.call_from_thread(self._rings_no_more, f"! {trouble}")
            else:
                self.call_from_thread(go_on, found)

        def go_on(found: _T) -> None:
            self._rings_no_more()
            then(found)

        self.run_worker(work, thread=True, group="begin", exit_on_error=False)

    def on_worker_state_changed(self, event: Worker.StateChanged) -> None:
        """A call that could not begin must not look as if it were still ringing."""
        if event.state is WorkerState.ERROR and event.worker.group == "begin":
            self._rings_no_more(f"! The call could not start: {event.worker.error}")

    def _rings_no_more(self, told: str = "") -> None:
        self._rings = False
        self.start.tell(told)

    def _lead(self, exercise: Exercise) -> None:
        from consult.ui.practice.desk_screen import PracticeScreen

        self._led = PracticeScreen(exercise, self.practising.clock, self._ended)
        self.push_screen(self._led)
        self._led.call_after_refresh(self.all_loaded)

    def _ended(self) -> None:
        from consult.ui.practice.score_screen import ScoreScreen

        desk = self.desk
        if desk is not None:
            self.switch_screen(ScoreScreen(desk.exercise, self.practising, self._wished))

    def _wished(self, wish: Wish, exercise: Exercise, judged: ScoredExercise | None) -> None:
        """From the score to whatever comes next."""
        self.pop_screen()
        log = exercise.log
        if wish == "next" and judged is not None and judged.next is not None:
            self.play(CallerRow(judged.next, "", "", log.level))
        elif wish == "again":
            choice = self.practising.choice(exercise.persona.name)
            if choice is not None:
                self.play(CallerRow(choice, "", "", log.level, log.seed))

    async def action_quit(self) -> None:
        """Leave a call first, asking; then the program."""
        if self.desk is None:
            self.exit()
        elif not isinstance(self.screen, AskScreen):
            self.push_screen(AskScreen(_LEAVE, "y leaves it, Esc continues."), self._left)

    def _left(self, yes: bool | None) -> None:
        while yes and self.screen is not self.start:
            self.pop_screen()
