"""The first page of practice: choosing whom to practise on."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.screen import Screen
from textual.widgets import Input, OptionList
from textual.widgets.option_list import Option

from consult.practice.model import LEVELS, level_words
from consult.ui.dialogs import TextScreen
from consult.ui.keys import Foot
from consult.ui.literal import literal
from consult.ui.practice.keys import LEVEL_DOES, PRACTICE_HELP
from consult.ui.practice.rows import WORDS_TITLE, CallerRow, Lesson, Practising, rows
from consult.ui.practice.score_words import record_text, words_text
from consult.ui.widgets.part import TextPart

_LONGEST_NAME = 30
_INTRO = (
    "Practise a call with an invented caller: ask, listen, enter what you hear, and see your score."
)


class StartScreen(Screen[None]):
    """The callers, by what is due for the learner and how it went before."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f1", "help", "Help"),
        Binding("alt+x", "example", "Example"),
        Binding("alt+k", "trade_words", "Words"),
        Binding("alt+l", "level", "Level"),
        Binding("alt+w", "record", "My record"),
        Binding("alt+c", "app.contrast", "Contrast", show=False),
        Binding("down", "move(1)", "Down", show=False),
        Binding("up", "move(-1)", "Up", show=False),
        Binding("ctrl+q", "app.quit", "Quit"),
    ]
    AUTO_FOCUS = "#narrow-callers"

    def __init__(
        self, practising: Practising, play: Callable[[CallerRow], None], example: Callable[[], None]
    ) -> None:
        """``play`` begins a call, ``example`` plays the worked one."""
        super().__init__()
        self.practising, self.play, self.example = practising, play, example
        self._rows: list[CallerRow | Lesson] = []

    def compose(self) -> ComposeResult:
        yield TextPart("status")
        yield TextPart("intro")
        yield Input(id="narrow-callers", placeholder="Enter starts it; Up, Down; type to search")
        yield OptionList(id="callers", markup=False)
        yield TextPart("told", vanishes=True)
        yield Foot()

    def on_mount(self) -> None:
        course = self.practising.course
        callers = self.query_one("#callers")
        callers.border_title = f"Course: {' '.join(course.title.split())}" if course else "Callers"
        self.refresh_rows()

    def on_screen_resume(self) -> None:
        """What was played meanwhile shows."""
        self.refresh_rows()

    def refresh_rows(self) -> None:
        practising = self.practising
        self._rows = rows(practising)
        who = " ".join(practising.learner.split())[:_LONGEST_NAME]
        self.query_one("#status", TextPart).show(literal(f"PRACTICE  |  {who}"))
        self.query_one("#intro", TextPart).show(self._intro())
        troubles = practising.record().troubles
        self.tell("\n".join(f"! {trouble}" for trouble in troubles))
        self._fill(self.query_one("#narrow-callers", Input).value)

    def tell(self, text: str) -> None:
        self.query_one("#told", TextPart).show(literal(text))

    def _intro(self) -> Content:
        if self.practising.course is not None:
            about = " ".join(self.practising.course.about.split())
            return literal(about or _INTRO)
        level = self.practising.level
        return (
            literal(f"{_INTRO}\n")
            + literal(f"Level (Alt+L): {level_words(level)}. ", "bold")
            + literal(f"{LEVEL_DOES[level].capitalize()}.")
        )

    def _fill(self, typed: str) -> None:
        callers = self.query_one(OptionList)
        at = callers.highlighted
        options = [
            Option(_row_content(row), id=str(place), disabled=row.locked)
            for place, row in enumerate(self._rows)
            if typed.casefold() in f"{row.title} {row.about}".casefold()
        ]
        callers.set_options(options or [Option(literal("No caller matches that."), disabled=True)])
        may = [place for place, option in enumerate(options) if not option.disabled]
        callers.highlighted = at if at in may else (may[0] if may else None)

    @on(Input.Changed, "#narrow-callers")
    def narrowed(self, event: Input.Changed) -> None:
        self._fill(event.value)

    @on(Input.Submitted, "#narrow-callers")
    def entered(self, event: Input.Submitted) -> None:
        event.stop()
        self.query_one(OptionList).action_select()

    @on(OptionList.OptionSelected, "#callers")
    def chosen(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        if event.option_id is None:
            return
        row = self._rows[int(event.option_id)]
        if not isinstance(row, Lesson):
            self.play(row)
            return
        # What comes after a lesson is the next line.
        self.query_one(OptionList).action_cursor_down()
        if row.action == "example":
            self.action_example()
        else:
            self.action_trade_words()

    def action_move(self, way: int) -> None:
        """Up and down in the list while the typing stays in the line."""
        callers = self.query_one(OptionList)
        (callers.action_cursor_down if way > 0 else callers.action_cursor_up)()

    def action_level(self) -> None:
        """The desk leads less, or all the way again."""
        if self.practising.course is not None:
            self.tell("The course sets the level of each call.")
            return
        level = LEVELS.index(self.practising.level) + 1
        self.practising.level = LEVELS[level % len(LEVELS)]
        self.query_one("#intro", TextPart).show(self._intro())

    def action_record(self) -> None:
        record = self.practising.record()
        text = record_text(record, self.practising.clock().date())
        self.app.push_screen(TextScreen("My record of practice", text))

    def action_example(self) -> None:
        self.example()

    def action_trade_words(self) -> None:
        self.app.push_screen(TextScreen(WORDS_TITLE, words_text()))

    def action_help(self) -> None:
        self.app.push_screen(TextScreen("Help", PRACTICE_HELP))


def _row_content(row: CallerRow | Lesson) -> Content:
    led = isinstance(row, CallerRow) and row.level is not None
    title = literal(row.title if led else " ".join(row.title.split()), "bold")
    return title + literal(f"\n{row.about}")
