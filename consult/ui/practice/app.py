"""Practice as a program: choose a caller, lead the call, see the score, choose again."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual import work
from textual.worker import Worker, WorkerState

from consult.ui.ask_screen import AskScreen
from consult.ui.practice.desk_screen import PracticeScreen
from consult.ui.practice.example_screen import ExampleScreen
from consult.ui.practice.keys import KEYS
from consult.ui.practice.practising import NotReady
from consult.ui.practice.rows import Row
from consult.ui.practice.score_screen import ScoreScreen
from consult.ui.practice.start_screen import StartScreen
from consult.ui.program import Program

if TYPE_CHECKING:
    from consult.practice.exercise import Exercise, Finished
    from consult.practice.worked import Scene
    from consult.ui.practice.practising import Judged, Practising
    from consult.ui.practice.score_screen import Wish

RINGING = "The phone rings ..."
_LEAVE = "Leave this call? It will not be scored or stored."


class PractiseApp(Program):
    """One learner, one call at a time."""

    TITLE = "consult practise"
    CSS_PATH: ClassVar = ["../consult.tcss", "practice.tcss"]
    DESK_KEYS = KEYS

    def __init__(self, practising: Practising, first: Row | None = None) -> None:
        """``first`` is played at once; without it the callers are shown."""
        super().__init__()
        self.practising = practising
        self.first = first
        self.start = StartScreen(practising, self.play, self.show_example)
        self._rings = False

    def on_mount(self) -> None:
        self.push_screen(self.start)
        if self.first is not None:
            self.start.call_after_refresh(self.play, self.first)

    @property
    def desk(self) -> PracticeScreen | None:
        """The call that is being led."""
        desks = (one for one in self.screen_stack if isinstance(one, PracticeScreen))
        return next(desks, None)

    # -- from page to page --------------------------------------------------------------------

    def play(self, row: Row) -> None:
        """Begin with a caller of the list."""
        if not self._rings:
            self._rings = True
            self.start.tell(RINGING)
            self._begin(row)

    def show_example(self) -> None:
        """Play the worked example."""
        if not self._rings:
            self._rings = True
            self.start.tell(RINGING)
            self._lead_example()

    @work(thread=True, group="begin", exit_on_error=False)
    def _lead_example(self) -> None:
        try:
            scenes = self.practising.example()
        except NotReady as trouble:
            self.call_from_thread(self._not_ready, str(trouble))
        else:
            self.call_from_thread(self._watch, scenes)

    def _watch(self, scenes: tuple[Scene, ...]) -> None:
        self._rings = False
        self.start.tell("")
        self.push_screen(ExampleScreen(scenes))

    @work(thread=True, group="begin", exit_on_error=False)
    def _begin(self, row: Row) -> None:
        try:
            level = row.level or self.practising.level
            exercise = self.practising.begin(row.choice, level, row.seed)
        except NotReady as trouble:
            self.call_from_thread(self._not_ready, str(trouble))
        else:
            self.call_from_thread(self._lead, exercise)

    def on_worker_state_changed(self, event: Worker.StateChanged) -> None:
        """A call that could not begin must not look as if it were still ringing."""
        if event.state is WorkerState.ERROR and event.worker.group == "begin":
            self._not_ready(f"The call could not start: {event.worker.error}")

    def _not_ready(self, why: str) -> None:
        self._rings = False
        self.start.tell(f"! {why}")

    def _lead(self, exercise: Exercise) -> None:
        self._rings = False
        self.start.tell("")
        self.push_screen(PracticeScreen(exercise, self.practising.clock, self._ended))

    def _ended(self, finished: Finished) -> None:  # noqa: ARG002 - the exercise has it all
        desk = self.desk
        if desk is not None:
            self.switch_screen(ScoreScreen(desk.exercise, self.practising, self._wished))

    def _wished(self, wish: Wish, exercise: Exercise, judged: Judged | None) -> None:
        """From the score to whatever comes next."""
        self.pop_screen()
        log = exercise.log
        if wish == "next" and judged is not None and judged.next is not None:
            self.play(Row(judged.next, "", "", log.level))
        elif wish == "again":
            choice = self.practising.choice(exercise.persona.name)
            if choice is not None:
                self.play(Row(choice, "", "", log.level, log.seed))

    async def action_quit(self) -> None:
        """Leave a call first, asking; then the program."""
        if self.desk is None:
            self.exit()
        elif not isinstance(self.screen, AskScreen):
            self.push_screen(AskScreen(_LEAVE, "y leaves it, Esc continues."), self._left)

    def _left(self, yes: bool | None) -> None:
        while yes and self.screen is not self.start:
            self.pop_screen()
