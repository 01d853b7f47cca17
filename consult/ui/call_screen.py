"""The call screen: what to say, the answer, the running fit and what has been said.

What a page of its own needs is imported when it is opened, so that the first question appears
quickly.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.content import Content
from textual.events import Resize
from textual.screen import Screen
from textual.widgets import OptionList
from textual.widgets.input import Selection

from consult.call.by_name import BY_NAME
from consult.call.chair_lines import chair_line
from consult.call.offer import LETTERS
from consult.sentence import of_thing
from consult.ui import pages
from consult.ui.app import Program
from consult.ui.chair_work import ChairChosen, at_once, choose_chair
from consult.ui.dialogs import TextScreen
from consult.ui.keys import (
    CALL_FOOT,
    CALL_HELP,
    CALL_KEYS,
    SLASH_WORDS,
    Foot,
    actions_by_word,
    bindings,
)
from consult.ui.literal import literal
from consult.ui.opening import LONG_LIST, room
from consult.ui.widgets.answer_line import AnswerInput, answer_clicks, readings, turned
from consult.ui.widgets.panels import AheadPanel, FitPanel, PicturePanel, SaidList, SayPanel
from consult.ui.widgets.part import ColumnBox, RowBox, TextPart
from consult.ui.words import (
    NOT_STORED,
    caution_line,
    head_line,
    how_to_answer,
    to_hand,
)

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from datetime import datetime

    from textual.geometry import Size

    from consult.call.offer import Reply
    from consult.call.raised import Raised
    from consult.call.session import Session
    from consult.call.state import State
    from consult.records.call_trees import FirstCalls
    from consult.records.desk_calls import DeskCalls
    from consult.tree.model import Question

_NOTHING = Content("")
AFTER_LAST = "That was the last question. Press F8 to read the set-up back."
AFTER_STOP = "The call ends here. Press F8 for the closing words and the summary."
TICK = 10
"""Seconds after which the minutes are shown again."""


class CallScreen(Screen[None]):
    """One call. Everything shown is drawn from the session; every answer changes that alone."""

    BINDINGS: ClassVar[list[BindingType]] = [*bindings(CALL_KEYS, CALL_FOOT)]
    WORDS: ClassVar[Mapping[str, str]] = actions_by_word(CALL_KEYS, SLASH_WORDS)
    """What may be typed after a slash -> the action it does."""
    HELP = CALL_HELP
    AUTO_FOCUS = "#answer"

    def __init__(
        self,
        session: Session,
        kept: DeskCalls,
        name: str,
        clock: Callable[[], datetime],
        firsts: FirstCalls | None = None,
    ) -> None:
        """``name`` is what the call is kept under; ``firsts`` looks at the call it follows."""
        super().__init__()
        self.firsts = firsts
        self.session: Session = session
        self.kept = kept
        self.kept_as = name
        self.clock: Callable[[], datetime] = clock
        self.coaching = True
        self.stands = False
        """Whether the screen is ready; keys pressed earlier wait until it is."""
        self._drawn_for: Size | None = None

    @property
    def reference(self) -> str:
        """The reference by which a caller who rings again asks for the call."""
        return self.kept.reference(self.kept_as)

    @property
    def now(self) -> State:
        return self.session.now

    def compose(self) -> ComposeResult:
        # Before there are parts: each class that comes later is a look at the styles of them all.
        basis = self.session.basis
        self.set_class(not basis.tree.fits, "no-chair")
        self._have_room(self.app.size)
        yield TextPart("status")
        # Its place is kept from the first: the question would move down when the chair is known.
        has_line = basis.tree.fits and basis.range is not None
        yield TextPart("chair-line").set_class(has_line, "filled")
        with RowBox(id="desk"):
            with ColumnBox(id="talk"):
                yield from self.talk()
            with ColumnBox(id="side"):
                with ColumnBox(id="facts"):
                    yield FitPanel()
                    yield AheadPanel(id="ahead")
                yield PicturePanel("picture")
        yield Foot()

    def talk(self) -> ComposeResult:
        """The column of words, from top to bottom."""
        yield TextPart("cautions", vanishes=True)
        yield SayPanel(id="say")
        yield AnswerInput(self.session.basis.tree, self._offer, self._take_reading, self.WORDS)
        yield TextPart("trouble", vanishes=True)
        yield SaidList(id="said", markup=False)

    def on_mount(self) -> None:
        self.stands = True
        self.refresh_bindings()
        self.set_focus(self.query_one(AnswerInput))
        self._show()
        choose_chair(self)
        pages.load_first(self)
        pages.interrupt(self)
        self.set_interval(TICK, self._show_head)

    def on_screen_resume(self) -> None:
        """What was typed while another screen was open or opening comes now."""
        if self.stands and isinstance(self.app, Program):
            self.app.ready()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool:  # noqa: ARG002
        return self.stands

    def _offer(self, said: str) -> None:
        """Offer what was typed; where it is given back, the text stays to be replaced."""
        if pages.do_word(self, said):
            return
        question = self.session.asking
        if not said.strip() and question is not None and self.session.proposed is None:
            self.tell(how_to_answer(question, self.now.call.system))
        elif question is None and not said.startswith(BY_NAME):
            self.action_finish()
        else:
            self.take(self.enter(said))

    def enter(self, said: str) -> Reply:
        return self.session.offer(said, self.clock())

    def take(self, reply: Reply) -> None:
        answer = self.query_one(AnswerInput)
        told = "\n".join(line for line in (reply.tell, reply.noted) if line)
        if reply.taken or reply.left:
            answer.value = reply.left
            self.changed(told, "" if reply.taken else "! ", readings(reply.proposals))
        else:
            self.tell(told, readings=readings(reply.proposals))
        # Selected, so that typing replaces it and an arrow key goes into it.
        if reply.left:
            answer.selection = Selection(*reply.selected)
        elif not reply.taken:
            answer.select_all()

    def _take_reading(self, at: int = 1) -> bool:
        """Take a reading of what was given back, by Tab the second; whether there is one."""
        proposed = self.session.proposed
        if there := proposed is not None and 0 <= at < len(proposed.proposals):
            self.take(self.enter(LETTERS[at]))
        return there

    def changed(self, tell: str = "", sign: str = "", readings: Content = _NOTHING) -> None:
        """Keep the call, show it, say what must be said."""
        lost = self.kept.keep(self.kept_as, self.now)
        chosen = at_once(self, self.now)
        with self.app.batch_update():
            self._show()
            told = "\n".join(line for line in (lost, tell) if line)
            self.tell(told, "! " if lost else sign, readings)
            if chosen:
                self._tell_change()
        if not chosen:
            choose_chair(self)
        pages.load_first(self)
        pages.interrupt(self)

    def say(self, raised: Raised) -> None:
        self.session.said(raised, self.clock())

    # -- drawing ------------------------------------------------------------------------------

    def _show(self) -> None:
        now = self.now
        self._show_head()
        self.query_one("#cautions", TextPart).show(caution_line(now))
        self.show_words(self.query_one(SayPanel), self.query_one(AnswerInput))
        self.query_one(FitPanel).show(now, self.session.before, self.session.change)
        if now.chosen is not None or now.fit is None or self.session.basis.range is None:
            self.query_one(PicturePanel).show(now)
        if self.session.worked is not None and self.session.worked.state is now:
            self.query_one(AheadPanel).show(self.session)
        self.query_one(SaidList).show(now)
        self.show_why(self.query_one(SayPanel))

    def show_words(self, say: SayPanel, answer: AnswerInput) -> None:
        """What stands in the panel of words, and in the answer line while it is empty."""
        question, system = self.session.asking, self.now.call.system
        if question is None:
            say.show_end(AFTER_LAST if self.now.stopped is None else AFTER_STOP)
        else:
            amending, card = self.session.amending is not None, self.session.card_words(question)
            say.show(question, system, coaching=self.coaching, amending=amending, card=card)
        answer.border_title = answer_clicks(question)
        # Only a small screen looks different for it; a class costs as much as a layout.
        long = question is not None and len(question.choices) >= LONG_LIST
        self.set_class(long and self.has_class("narrow"), "long-list")
        how = how_to_answer(question, system) if question else "Enter or F8: finish"
        answer.placeholder = how

    def show_why(self, say: SayPanel) -> None:
        """Why this question is asked now, in the frame of its words."""
        say.border_title = literal(self.session.why_next)

    def _show_head(self) -> None:
        """The minutes, whose call it is, and the chair: in sight at every size."""
        if not self.stands:
            return
        self.query_one("#status", TextPart).show(literal(self._status()))
        # While a chair is being worked out, the last one stays.
        if line := chair_line(self.now, self.session.basis.range, self.size.width - 2):
            self.query_one("#chair-line", TextPart).add_class("filled").show(literal(line))

    def _status(self) -> str:
        pace = self.session.pace(self.clock())
        return head_line(pace, self.reference, self.session, self.size.width - 2)

    @on(ChairChosen)
    def chair_chosen(self, event: ChairChosen) -> None:
        """Show the chair, unless something was said since it was asked for."""
        if self.session.take_in(event.of, event.worked):
            with self.app.batch_update():
                self._show()
                self._tell_change()

    def _tell_change(self) -> None:
        """What the last answer changed in the chair, where no panel beside the words says it."""
        if self.session.change and not self.query_one("#side").display:
            lines = [line for line in self.told.split("\n") if line and not line.startswith("»")]
            self.tell("\n".join([*lines, f"» {self.session.change}"]), "")

    def tell(self, text: str, sign: str = "! ", readings: Content = _NOTHING) -> None:
        """Say something to the adviser below the answer line; nothing where there is nothing."""
        if self.stands:
            told = literal(f"{sign}{text}" if text else "")
            self.query_one("#trouble", TextPart).show(told + readings)

    @property
    def told(self) -> str:
        shown = self.query_one("#trouble", TextPart).shown if self.stands else None
        return shown.plain if shown else ""

    def on_resize(self, event: Resize) -> None:
        """Wide screens have a column for the picture, small ones none."""
        if event.size != self._drawn_for:  # at a start the same size comes twice
            self._drawn_for = event.size
            self._have_room(event.size)
            self.call_after_refresh(self._show)

    def _have_room(self, size: Size) -> None:
        has = room(*size)
        self.remove_class(*(name for name, there in has.items() if not there))
        self.add_class(*(name for name, there in has.items() if there))

    # -- keys ---------------------------------------------------------------------------------

    def action_unknown(self) -> None:
        self._offer("?")

    def action_amend(self) -> None:
        said = self.query_one(SaidList)
        if said.option_count:
            said.display = True
            said.focus()
            if said.highlighted is None:
                said.highlighted = said.option_count - 1

    @on(OptionList.OptionSelected, "#said")
    def amend_line(self, event: OptionList.OptionSelected) -> None:
        """Ask the chosen question again with the old answer to hand."""
        step = self.now.step(event.option_id or "")
        if step is not None:
            self.ask(step.question)

    def ask(self, question: Question) -> None:
        """Ask a question out of turn, with the answer it has to hand."""
        self.session.ask(question)
        self._show_asked()

    def _show_asked(self) -> None:
        answer, old = self.query_one(AnswerInput), self.session.amending
        answer.value = to_hand(self.session)
        answer.focus()
        # What is typed takes the place of the old answer: "2" after "1" must not become 12.
        answer.select_all()
        leave = "Esc leaves it unchanged" if old else "Esc goes back to the current question"
        self.tell(f"Enter stores the answer; {leave}.", "")
        self._show()

    def action_back(self) -> None:
        """Leave a question out of turn, or the list, and go back to the question at hand."""
        answer = self.query_one(AnswerInput).focus()
        if self.session.ahead:
            self.session.back()
            answer.value = ""
            self.tell("")
            self._show()

    def action_choose(self, at: int) -> None:
        """Take the choice that was clicked; of several, put its number beside the others."""
        question, answer = self.session.asking, self.query_one(AnswerInput)
        if question is None or not 0 < at <= len(question.choices):
            return
        if question.answer == "choice":
            self.action_answer(str(at))
            return
        answer.value = turned(answer.value, at)
        answer.cursor_position = len(answer.value)
        answer.focus()

    def action_answer(self, said: str) -> None:
        self._offer(said)
        self.query_one(AnswerInput).focus()

    def action_enter(self) -> None:
        self.action_answer(self.query_one(AnswerInput).value)

    def action_take_reading(self, at: int) -> None:
        self._take_reading(at)
        self.query_one(AnswerInput).focus()

    def action_ask_now(self, name: str) -> None:
        self.ask(self.session.basis.tree.questions[name])

    def action_go_through(self, name: str) -> None:
        pages.go_through(self, name)

    def action_page(self, name: str) -> None:
        pages.PAGES[name](self)

    def action_finish(self) -> None:
        pages.finish(self)

    def action_warnings(self) -> None:
        self.session.ask_warnings()
        self._show_asked()
        if self.now.consent is not True:
            self.tell(NOT_STORED)

    def action_coach(self) -> None:
        self.coaching = not self.coaching
        self._show()

    def action_units(self) -> None:
        self.session.turn_units()
        self._show()
        choose_chair(self)

    def lift(self, reason: str) -> Reply:
        return self.session.lift(reason, self.clock())

    def action_large(self) -> None:
        self.toggle_class("large")
        self.call_after_refresh(self._show)

    def action_scroll_say(self, way: int) -> None:
        """Scroll a long question without leaving the answer line."""
        say = self.query_one(SayPanel)
        page = max(1, say.size.height - 2)
        say.scroll_relative(y=way * page, animate=False, immediate=True)

    def action_help(self) -> None:
        self.app.push_screen(TextScreen("Help", of_thing(self.HELP, self.now.thing)))
