"""A practice desk under test, driven by keys as a trainee drives it."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from dataclasses import replace
from functools import cache
from pathlib import Path

from textual import events
from textual.pilot import Pilot
from textual.widgets import Input, OptionList, Static

from consult.call.basis import Basis
from consult.practice.catalogue import CallerChoice, choices_in, tree_of
from consult.practice.learner.store import Learners
from consult.practice.model import Guidance, Persona
from consult.ui.practice.app import PractiseApp
from consult.ui.practice.desk_screen import PracticeScreen
from consult.ui.practice.rows import CallerRow, Practising
from consult.ui.practice.score_screen import ScoreScreen
from consult.ui.widgets.part import TextPart
from tests.call.calls import basis_of
from tests.ui.desk import Clock, draw_last

LEARNER = "Ann"
CALLERS = Path(__file__).with_name("callers")


@cache
def choices() -> tuple[CallerChoice, ...]:
    """Callers of the tests, whose behaviours stay as they are."""
    return tuple(choices_in(CALLERS)[0])


@cache
def without_chairs(tree: str) -> Basis:
    """A shipped tree with no range, where no test looks at a chair: choosing one takes long."""
    return replace(basis_of(tree), range=None)


class PracticeDesk:
    """The program and its pilot."""

    def __init__(self, pilot: Pilot[None], practising: Practising, clock: Clock) -> None:
        self.pilot, self.practising, self.clock = pilot, practising, clock

    @property
    def app(self) -> PractiseApp:
        """The program."""
        assert isinstance(self.pilot.app, PractiseApp)
        return self.pilot.app

    @property
    def desk(self) -> PracticeScreen:
        """The call that is being led."""
        assert self.app.desk is not None
        return self.app.desk

    @property
    def score(self) -> ScoreScreen:
        """The score page on top."""
        assert isinstance(self.app.screen, ScoreScreen)
        return self.app.screen

    @property
    def persona(self) -> Persona:
        """The caller on the line."""
        return self.desk.exercise.persona

    async def settle(self) -> None:
        """Wait for what works in threads, and for the screen after it."""
        await self.app.workers.wait_for_complete()
        await self.pilot.pause()
        await self.pilot.pause()

    async def play(
        self, name: str, level: Guidance = "guided", seed: int = 1, *, chairs: bool = False
    ) -> None:
        """Begin with a caller, as if chosen from the list."""
        (choice,) = (one for one in choices() if one.name == name)
        basis = basis_of if chairs else without_chairs
        self.practising.bases[tree_of(choice)] = basis(choice.tree)
        self.app.play(CallerRow(choice, "", "", level, seed))
        await self.settle()

    async def press(self, *keys: str) -> None:
        """Press keys and let the screen settle."""
        await self.pilot.press(*keys)

    async def type(self, text: str) -> None:
        """Type over what stands in the line, and Enter."""
        line = self.app.screen.query_one(Input)
        line.clear()
        self.app.screen.post_message(events.Paste(text))
        await self.pilot.pause()
        await self.press("enter")

    async def end(self) -> None:
        """F8, close, and wait for the score."""
        await self.press("f8", "c")
        await self.pilot.pause()
        await self.settle()

    def part(self, name: str) -> str:
        """What a piece of text on top shows."""
        shown = self.app.screen.query_one(f"#{name}", TextPart).shown
        return shown.plain if shown else ""

    def part_text(self, selector: str) -> str:
        """What any other piece of text on top shows."""
        return str(self.app.screen.query_one(selector, Static).content)

    @property
    def words(self) -> str:
        """What the panel of words shows."""
        shown = self.desk.query_one("#ask", TextPart).shown
        return shown.plain if shown else ""

    @property
    def spoken(self) -> str:
        """The conversation as it is shown."""
        shown = self.desk.query_one("#spoken", TextPart).shown
        return shown.plain if shown else ""

    def options(self, name: str) -> list[str]:
        """The lines of a list on top."""
        return [
            str(one.prompt) for one in self.app.screen.query_one(f"#{name}", OptionList).options
        ]


@asynccontextmanager
async def practice(
    folder: Path,
    size: tuple[int, int] = (80, 24),
    learner: str = LEARNER,
    level: Guidance = "guided",
) -> AsyncIterator[PracticeDesk]:
    """The program with the list of callers on top; the record is kept in ``folder``."""
    clock = Clock()
    practising = Practising(choices(), Learners(folder), learner, clock, level=level)
    app = PractiseApp(practising)
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        yield PracticeDesk(pilot, practising, clock)
        draw_last(app)
