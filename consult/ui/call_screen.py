"""The call desk: what to say, the answer, the running fit and what has been said."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from textual import on, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.events import Resize
from textual.message import Message
from textual.screen import Screen
from textual.widgets import Footer, Input, OptionList, Static
from textual.worker import Worker, WorkerState

from consult.call.offer import offer
from consult.call.state import Raised, State, state_so_far, with_chair
from consult.records.call_file import keep
from consult.summary.model import Summary, summarise
from consult.summary.render import render
from consult.ui.caution_screen import CautionScreen
from consult.ui.export import export
from consult.ui.help_text import HELP
from consult.ui.text_screen import SummaryScreen, TextScreen
from consult.ui.why_text import why_text
from consult.ui.widgets.fit_panel import FitPanel
from consult.ui.widgets.said_list import SaidList
from consult.ui.widgets.say_panel import SayPanel, how_to_answer
from consult.ui.words import caution_line, literal

if TYPE_CHECKING:
    from collections.abc import Callable

    from consult.call.basis import Basis
    from consult.call.call import Call
    from consult.tree.model import Question
    from consult.units import System

ROOMY_WIDTH, ROOMY_HEIGHT = 100, 34
LONG_LIST = 6
"""Choices that take the whole width of a small screen: a list read out must be seen whole."""
UNITS_ROUND: dict[System, System] = {"metric": "imperial", "imperial": "both", "both": "metric"}


class CallScreen(Screen[None]):
    """One call. Everything shown is drawn from ``now``; every answer makes a new one."""

    class ChairChosen(Message):
        """The chair for a state has been worked out."""

        def __init__(self, of: State, state: State) -> None:
            super().__init__()
            self.of = of
            """The state it was asked for; where that is no longer the one at hand, it is late."""
            self.state = state

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f1", "help", "Help"),
        Binding("f2", "unknown", "Not known"),
        Binding("f3", "amend", "Amend"),
        Binding("f4", "coach", "Coaching"),
        Binding("f8", "finish", "Summary"),
        Binding("f6", "cautions", "Cautions"),
        Binding("f7", "why", "Why"),
        Binding("f5", "units", "Units"),
        Binding("escape", "back", "Back", show=False),
        Binding("pageup", "scroll_say(-1)", "Scroll up", show=False),
        Binding("pagedown", "scroll_say(1)", "Scroll down", show=False),
        Binding("ctrl+q", "app.quit", "Quit"),
    ]
    AUTO_FOCUS = "#answer"

    def __init__(self, basis: Basis, call: Call, file: Path, clock: Callable[[], datetime]) -> None:
        super().__init__()
        self.basis = basis
        self.now = state_so_far(basis, call)
        self.before: State | None = None
        self.file = file
        self.clock = clock
        self.amending: Question | None = None
        self.coaching = True
        self.doubted = ""
        """The odd answer given back last; the same again means it stands."""

    def compose(self) -> ComposeResult:
        yield Static(id="status", markup=False)
        with Horizontal(id="desk"):
            with Vertical(id="talk"):
                yield Static(id="cautions", markup=False)
                yield SayPanel(id="say")
                yield Input(id="answer")
                yield Static(id="trouble", markup=False)
                yield SaidList(id="said", markup=False)
            yield FitPanel(self.basis.population)
        yield Footer(show_command_palette=False)

    def on_mount(self) -> None:
        self.query_one("#said").border_title = "Said so far (F3 to amend)"
        self._show()
        self._choose(self.now)

    @property
    def asking(self) -> Question | None:
        """The question the answer line belongs to."""
        return self.amending or self.now.current

    # -- answers ------------------------------------------------------------------------------

    @on(Input.Submitted, "#answer")
    def answer(self, event: Input.Submitted) -> None:
        """Offer what was typed; where it is given back, the text stays."""
        event.stop()
        self._offer(event.value)

    def _offer(self, said: str) -> None:
        question = self.asking
        if question is None:
            self.action_finish()
            return
        if not said.strip():
            self._say_trouble(how_to_answer(question))
            return
        stands = said == self.doubted
        offered = offer(self.basis, self.now, question, said, stands=stands, at=self.clock())
        self.doubted = said if offered.may_stand else ""
        if offered.state is None:
            self._say_trouble(offered.trouble)
            return
        self.amending = None
        self._become(offered.state)

    def _become(self, then: State) -> None:
        raised_before = {raised.caution.name for raised in self.now.cautions}
        self.before, self.now = self.now, then
        self.query_one("#answer", Input).value = ""
        trouble = self._keep()
        self._show()
        self._choose(then)
        new = [r for r in then.cautions if r.caution.name not in raised_before]
        for raised in reversed(new):
            if raised.caution.level != "note":
                self.app.push_screen(CautionScreen(raised))
        mentions = [f"Mention: {r.say}" for r in new if r.caution.level == "note"]
        self._say_trouble("\n".join([*trouble, *mentions]))

    def _keep(self) -> list[str]:
        """Put the call on disk; why that failed, where it did."""
        try:
            keep(self.file, self.basis.tree, self.now)
        except OSError as error:
            return [
                f"This call cannot be kept on disk ({error.strerror}); it goes on in memory. "
                "Export it with F8 before you quit."
            ]
        return []

    # -- drawing ------------------------------------------------------------------------------

    def _show(self) -> None:
        now, question = self.now, self.asking
        self.query_one("#status", Static).update(literal(self._status()))
        cautions = self.query_one("#cautions", Static)
        line = caution_line(now)
        cautions.display = bool(line.plain)
        cautions.update(line)
        say = self.query_one(SayPanel)
        if question is None:
            say.show_end(
                "That was the last question. Read the set-up back, then F8 for the summary."
                if now.stopped is None
                else "The call ends here. F8 for the summary."
            )
        else:
            say.show(question, question.ask, coaching=self.coaching, amending=bool(self.amending))
        self.set_class(bool(question and len(question.choices) >= LONG_LIST), "long-list")
        answer = self.query_one("#answer", Input)
        answer.placeholder = how_to_answer(question) if question else "Enter or F8: summary"
        self.query_one(FitPanel).show(now, self.before, roomy=self._roomy())
        self.query_one(SaidList).show(now)

    @work(thread=True, group="chair", exit_on_error=False)
    def _choose(self, now: State) -> None:
        """Choose the chair beside the call, so that no key waits for it."""
        if now is self.now and now.fit is not None:
            self.post_message(self.ChairChosen(now, with_chair(self.basis, now)))

    @on(ChairChosen)
    def chair_chosen(self, event: ChairChosen) -> None:
        """Show the chair, unless something was said since it was asked for."""
        if event.of is self.now:
            self.now = event.state
            self.query_one(FitPanel).show_chair(self.now)

    def on_worker_state_changed(self, event: Worker.StateChanged) -> None:
        """A chair that cannot be chosen must not end the call."""
        if event.state is WorkerState.ERROR:
            self._say_trouble("The chair could not be chosen; the set-up and the answers stand.")

    def _status(self) -> str:
        steps = self.now.steps
        done = sum(step.answer is not None for step in steps)
        parts = [self.basis.tree.title, f"{done} of {len(steps)} asked", self.now.call.system]
        if self.now.caller_name:
            parts.insert(1, " ".join(self.now.caller_name.split())[:40])
        return "  |  ".join(parts)

    def _roomy(self) -> bool:
        return self.size.width >= ROOMY_WIDTH and self.size.height >= ROOMY_HEIGHT

    def _say_trouble(self, text: str) -> None:
        trouble = self.query_one("#trouble", Static)
        trouble.display = bool(text)
        trouble.update(literal(f"! {text}" if text else ""))

    def on_resize(self, event: Resize) -> None:
        """Wide and tall screens show the bands too."""
        self.set_class(event.size.width < ROOMY_WIDTH, "narrow")
        self.query_one(FitPanel).show(self.now, self.before, roomy=self._roomy())

    # -- keys ---------------------------------------------------------------------------------

    def action_unknown(self) -> None:
        """The caller does not know."""
        self._offer("?")

    def action_amend(self) -> None:
        """Go to the list of what was said."""
        said = self.query_one(SaidList)
        if said.option_count:
            said.focus()
            if said.highlighted is None:
                said.highlighted = said.option_count - 1

    @on(OptionList.OptionSelected, "#said")
    def amend_line(self, event: OptionList.OptionSelected) -> None:
        """Ask the chosen question again with the old answer to hand."""
        step = self.now.step(event.option_id or "")
        if step is None or step.answer is None:
            return
        self.amending = step.question
        answer = self.query_one("#answer", Input)
        answer.value = step.answer.said
        answer.focus()
        self._say_trouble("Enter takes the new answer; Escape leaves the old one.")
        self._show()

    def action_back(self) -> None:
        """Leave amending, or the list, and go back to the question at hand."""
        answer = self.query_one("#answer", Input)
        if self.amending is not None:
            self.amending = None
            answer.value = ""
            self._say_trouble("")
            self._show()
        answer.focus()

    def action_coach(self) -> None:
        """Show or hide the coaching."""
        self.coaching = not self.coaching
        self._show()

    def action_units(self) -> None:
        """Metric, imperial, both."""
        call = replace(self.now.call, system=UNITS_ROUND[self.now.call.system])
        self.before, self.now = None, state_so_far(self.basis, call)
        self._show()
        self._choose(self.now)

    def action_cautions(self) -> None:
        """Every caution again, with its words."""
        lines = [self._caution_text(raised) for raised in self.now.cautions]
        text = "\n\n".join(lines) or "No caution applies to what has been said so far."
        self.app.push_screen(TextScreen("Cautions in this call", text))

    def _caution_text(self, raised: Raised) -> str:
        contact = f"\nWhom to contact: {raised.contact}" if raised.contact else ""
        return f"{raised.caution.level.upper()}: {raised.say}{contact}"

    def action_why(self) -> None:
        """Why this chair and not another."""
        if self.now.fit is None or self.basis.range is None:
            self._say_trouble("There is no chair in this call, so there is nothing to explain.")
            return
        self._explain(self.now)

    @work(thread=True, group="why", exclusive=True, exit_on_error=False)
    def _explain(self, now: State) -> None:
        found = why_text(self.basis, now if now.chosen else with_chair(self.basis, now))
        self.app.call_from_thread(self.app.push_screen, TextScreen("Why this chair", found))

    def action_scroll_say(self, way: int) -> None:
        """Scroll a long question without leaving the answer line."""
        say = self.query_one(SayPanel)
        say.scroll_relative(y=way * max(1, say.size.height - 2), animate=False)

    def action_help(self) -> None:
        """Every key, and how answers may be typed."""
        self.app.push_screen(TextScreen("Help", HELP))

    def action_finish(self) -> None:
        """The summary, whole or so far."""
        system = self.now.call.system
        text = render(self._summary(), "text", system)
        stem = Path.cwd() / f"summary-{self.clock():%Y%m%d-%H%M}"
        self.app.push_screen(SummaryScreen(text, stem, self._export))

    def _summary(self) -> Summary:
        """Of the state with its chair, chosen now where it is still being worked out."""
        whole = self.now if self.now.chosen else with_chair(self.basis, self.now)
        return summarise(self.basis, whole)

    def _export(self, stem: Path) -> str:
        return export(self._summary(), self.now.call.system, stem)
