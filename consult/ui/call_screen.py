"""The call desk: what to say, the answer, the running fit and what has been said.

What a page of its own needs is imported when it is opened: the first question waits for nothing.
"""

from __future__ import annotations

import re
from difflib import get_close_matches
from typing import TYPE_CHECKING, ClassVar

from textual import on, work
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal, Vertical
from textual.events import Resize
from textual.message import Message
from textual.screen import Screen
from textual.widgets import Footer, OptionList
from textual.widgets.input import Selection
from textual.worker import Worker, WorkerState

from consult.call.by_name import fact_named, names
from consult.call.chair_lines import chair_line, price_line, ready_line
from consult.call.route import read_out
from consult.call.session import BY_NAME, LETTERS
from consult.call.state import State, with_chair
from consult.call.wording import question_label
from consult.ui.caution_screen import CautionScreen
from consult.ui.cautions_screen import Asked, CautionsScreen
from consult.ui.choose_screen import ChooseScreen, Line
from consult.ui.help_text import HELP
from consult.ui.keys import KEYS, WORDS, actions_by_word
from consult.ui.line_screen import LineScreen
from consult.ui.program import Program
from consult.ui.text_screen import TextScreen
from consult.ui.trial_screen import TrialScreen
from consult.ui.widgets.answer_line import AnswerLine
from consult.ui.widgets.fit_panel import FitPanel
from consult.ui.widgets.part import Part
from consult.ui.widgets.picture_panel import PicturePanel
from consult.ui.widgets.said_list import SaidList
from consult.ui.widgets.say_panel import SayPanel, how_to_answer
from consult.ui.words import caution_line, literal, readings
from consult.units import Unclear

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from datetime import datetime
    from pathlib import Path

    from consult.call.session import Reply, Session
    from consult.call.state import Raised
    from consult.records.desk_calls import DeskCalls
    from consult.records.first_calls import FirstCalls
    from consult.tree.model import Question
    from consult.ui.caution_screen import Done

_BY_WORD = re.compile(r"\s*/\s*([^\W\d_]+)(?:[\s:=]+(.*))?", re.S)
"""A word after a slash, and what follows it."""
NO_NOTE = "Nothing was said yet that a note could stand beside."
ROOMY_WIDTH, ROOMY_HEIGHT = 100, 36
"""From here there is room for the picture beside the words."""
SLIM_WIDTH = 75
"""Below this the figures have no room beside the words; F7 and Ctrl+S have them."""
WIDE_WIDTH = 150
"""From here the picture has a column of its own."""
LONG_LIST = 6
"""Choices that take the whole width of a small screen: a list read out must be seen whole."""


class CallScreen(Screen[None]):
    """One call. Everything shown is drawn from the session; every answer changes that alone."""

    class ChairChosen(Message):
        """The chair for a state has been worked out."""

        def __init__(self, of: State, state: State) -> None:
            super().__init__()
            self.of = of
            """The state it was asked for; where that is no longer the one at hand, it is late."""
            self.state = state

    BINDINGS: ClassVar[list[BindingType]] = [one.binding for one in KEYS]
    WORDS: ClassVar[Mapping[str, str]] = actions_by_word(KEYS, WORDS)
    """What may be typed after a slash -> the action it does."""
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
        self.session = session
        self.kept = kept
        self.kept_as = name
        self.clock = clock
        self.coaching = True
        self.stands = False
        """Whether the screen is ready; keys pressed earlier wait until it is."""

    @property
    def reference(self) -> str:
        """What the caller may ask for when ringing again."""
        return self.kept.reference(self.kept_as)

    @property
    def now(self) -> State:
        """All there is to show."""
        return self.session.now

    def compose(self) -> ComposeResult:
        yield Part("status")
        yield Part("chair-line")
        with Horizontal(id="desk"):
            with Vertical(id="talk"):
                yield from self.talk()
            with Vertical(id="side"):
                yield FitPanel(self.session.basis.population)
                yield PicturePanel("picture")
        yield Footer(show_command_palette=False)

    def talk(self) -> ComposeResult:
        """The column of words, from top to bottom."""
        yield Part("cautions", vanishes=True)
        yield SayPanel(id="say")
        yield AnswerLine(self.session.basis.tree, self._offer, self._take_other, self.WORDS)
        yield Part("trouble", vanishes=True)
        yield SaidList(id="said", markup=False)

    def on_mount(self) -> None:
        self.stands = True
        self.refresh_bindings()
        self.query_one("#said").border_title = "Said so far (F3 to amend)"
        self.set_focus(self.query_one(AnswerLine))
        self._show()
        self._choose(self.now)
        self._interrupt()

    def on_screen_resume(self) -> None:
        """What was typed while another screen was open or opening comes now."""
        if self.stands and isinstance(self.app, Program):
            self.app.ready()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool:  # noqa: ARG002
        """A call just opened has its keys once it has its screen."""
        return self.stands

    # -- answers ------------------------------------------------------------------------------

    def _offer(self, said: str) -> None:
        """Offer what was typed; where it is given back, the text stays to be replaced."""
        if self._do_by_word(said):
            return
        question = self.session.asking
        if not said.strip() and question is not None and self.session.proposed is None:
            self.tell(how_to_answer(question, self.now.call.system))
            return
        if question is None and not said.startswith(BY_NAME):
            self.action_finish()
            return
        self._take(self.enter(said))

    def enter(self, said: str) -> Reply:
        """Give the session what was typed."""
        return self.session.offer(said, self.clock())

    def _take(self, reply: Reply) -> None:
        """Go on with what the session replied."""
        answer = self.query_one(AnswerLine)
        lines = (reply.tell + readings(reply.proposals), reply.noted)
        told = "\n".join(line for line in lines if line)
        if reply.taken or reply.left:
            answer.value = reply.left
            self._changed(told, "" if reply.taken else "! ")
        else:
            self.tell(told)
        # Selected, so that typing replaces it and an arrow key goes into it.
        if reply.left:
            answer.selection = Selection(*reply.selected)
        elif not reply.taken:
            answer.select_all()

    def _take_other(self) -> bool:
        """Take the second reading of what was given back, if there is one."""
        proposed = self.session.proposed
        if proposed is None or len(proposed.proposals) < 2:
            return False
        self._take(self.enter(LETTERS[1]))
        return True

    def _do_by_word(self, said: str) -> bool:
        """Do what a word after a slash names; whether it named something."""
        found = _BY_WORD.fullmatch(said)
        if found is None:
            return False
        word, rest = found[1].casefold(), (found[2] or "").strip()
        action = self.WORDS.get(word)
        if action is None:
            return self._suggest_word(word)
        with_text = {"try_out": self._try, "remark": self._note, "amend": self._amend}.get(action)
        if rest and (with_text is None or self._names_question(said)):
            return False
        self.query_one(AnswerLine).value = ""
        if rest and with_text is not None:
            with_text(rest)
        else:
            self.call_next(self.run_action, action)
        return True

    def _names_question(self, said: str) -> bool:
        try:
            fact_named(self.session.basis.tree, said)
        except Unclear:
            return False
        return True

    def _suggest_word(self, word: str) -> bool:
        """Suggest the word that a mistyped one is near to; whether one is nearer than any name."""
        known = [*self.WORDS, *names(self.session.basis.tree)]
        near = get_close_matches(word, known, n=1, cutoff=0.7)
        if not near or near[0] not in self.WORDS or word in known:
            return False
        self.tell(f"There is no /{word}. Did you mean /{near[0]}?")
        self.query_one(AnswerLine).select_all()
        return True

    def _changed(self, tell: str = "", sign: str = "") -> None:
        """Keep the call, show it, say what must be said."""
        lost = self.kept.keep(self.kept_as, self.now)
        with self.app.batch_update():
            self._show()
            told = "\n".join(line for line in (lost, tell) if line)
            self.tell(told, "! " if lost else sign)
        self._choose(self.now)
        self._interrupt()

    def _interrupt(self) -> None:
        """Stops and referrals that were not said yet, the gravest on top."""
        waiting = {one.raised.caution.name for one in self._interrupting()}
        for raised in reversed(self.session.to_say()):
            if raised.caution.name not in waiting:
                screen = CautionScreen(raised, self.session.basis.contacts.name(self.now.country))
                self.app.push_screen(screen, lambda done, r=raised: self._dealt_with(r, done))

    def _interrupting(self) -> list[CautionScreen]:
        return [one for one in self.app.screen_stack if isinstance(one, CautionScreen)]

    def _dealt_with(self, raised: Raised, done: Done | None) -> None:
        if done == "country":
            self.action_country()
            return
        self.say(raised)
        self._changed(self._told())

    def say(self, raised: Raised) -> None:
        """Tell the session that a caution was said."""
        self.session.said(raised, self.clock())

    # -- drawing ------------------------------------------------------------------------------

    def _show(self) -> None:
        now = self.now
        self.query_one("#status", Part).show(literal(self._status()))
        self.query_one("#cautions", Part).show(caution_line(now))
        self._show_chair_line()
        self.show_words(self.query_one(SayPanel), self.query_one(AnswerLine))
        self._show_fit()
        self.query_one(SaidList).show(now)

    def show_words(self, say: SayPanel, answer: AnswerLine) -> None:
        """What stands in the panel of words, and in the answer line while it is empty."""
        question = self.session.asking
        if question is None:
            say.show_end(
                "That was the last question. Read the set-up back: F8."
                if self.now.stopped is None
                else "The call ends here. F8 for what to say once more, and the summary."
            )
        else:
            amending = self.session.amending is not None
            say.show(question, coaching=self.coaching, amending=amending)
        self.set_class(bool(question and len(question.choices) >= LONG_LIST), "long-list")
        answer.placeholder = (
            how_to_answer(question, self.now.call.system) if question else "Enter or F8: finish"
        )

    def _show_fit(self) -> None:
        now = self.now
        self.query_one(FitPanel).show(now, self.session.before)
        if now.chosen is not None or now.fit is None or self.session.basis.range is None:
            self.query_one(PicturePanel).show(now)

    def _show_chair_line(self) -> None:
        """The chair in one line, for where the figures beside the words have no room."""
        line = chair_line(self.now, self.session.basis.range)
        if line or self.now.stopped is not None:  # while it is being worked out, the last stands
            self.query_one("#chair-line", Part).show(literal(line))
            self.set_class(bool(line), "has-chair")

    def _choose(self, now: State) -> None:
        """Choose the chair beside the call, once the next question is on the screen."""
        if now.fit is not None:
            self.call_after_refresh(self._work_out, now)

    @work(thread=True, group="chair", exit_on_error=False)
    def _work_out(self, now: State) -> None:
        if now is self.now:
            self.post_message(self.ChairChosen(now, with_chair(self.session.basis, now)))

    @on(ChairChosen)
    def chair_chosen(self, event: ChairChosen) -> None:
        """Show the chair, unless something was said since it was asked for."""
        if self.session.chair_chosen(event.of, event.state):
            self.query_one(FitPanel).show_chair(self.now)
            self._show_chair_line()
            self.query_one(PicturePanel).show(self.now)

    def on_worker_state_changed(self, event: Worker.StateChanged) -> None:
        """A chair that cannot be chosen must not end the call."""
        if event.state is WorkerState.ERROR:
            self.tell("The chair could not be chosen; the set-up and the answers stand.")

    def _status(self) -> str:
        steps = self.now.steps
        done = sum(step.answer is not None for step in steps)
        system = self.now.call.system
        country = self.session.basis.contacts.name(self.now.country)
        parts = [self.reference, f"{done} of {len(steps)} asked", system, country]
        if self.now.caller_name:
            room = self.size.width - len("  |  ".join([*parts, ""])) - 2
            parts.insert(1, " ".join(self.now.caller_name.split())[: max(8, min(40, room))])
        line = "  |  ".join(parts)
        titled = f"{line}  |  {self.session.basis.tree.title}"
        return titled if len(titled) < self.size.width else line

    def tell(self, text: str, sign: str = "! ") -> None:
        """Say something to the adviser below the answer line; nothing where there is nothing."""
        if self.stands:
            self.query_one("#trouble", Part).show(literal(f"{sign}{text}" if text else ""))

    def _told(self) -> str:
        shown = self.query_one("#trouble", Part).shown
        return shown.plain.removeprefix("! ") if shown else ""

    def on_resize(self, event: Resize) -> None:
        """Wide screens have a column for the picture, small ones no picture at all."""
        width, height = event.size
        self.set_class(width < ROOMY_WIDTH, "narrow")
        self.set_class(height < ROOMY_HEIGHT or width < ROOMY_WIDTH, "bare")
        self.set_class(width < SLIM_WIDTH, "slim")
        self.set_class(width >= WIDE_WIDTH, "wide")
        self.call_after_refresh(self._show_fit)

    # -- keys ---------------------------------------------------------------------------------

    def action_unknown(self) -> None:
        """The caller does not know."""
        self._offer("?")

    def action_amend(self) -> None:
        """Go to the list of what was said."""
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
            self._ask(step.question)

    def _ask(self, question: Question) -> None:
        """Ask a question out of turn, with the answer it has to hand."""
        self.session.ask(question)
        self._show_asked()

    def _show_asked(self) -> None:
        answer, old = self.query_one(AnswerLine), self.session.amending
        asking = self.session.asking
        kept = old is not None and (asking is None or not read_out(asking, old))
        answer.value = old.said if old and kept else ""
        answer.cursor_position = len(answer.value)
        answer.focus()
        leave = "Esc leaves the old one" if old else "Esc goes back to the question at hand"
        self.tell(f"Enter takes the answer; {leave}.", "")
        self._show()

    def action_back(self) -> None:
        """Leave a question out of turn, or the list, and go back to the question at hand."""
        answer = self.query_one(AnswerLine)
        if self.session.ahead:
            self.session.back()
            answer.value = ""
            self.tell("")
            self._show()
        answer.focus()

    def action_choose(self, at: int) -> None:
        """Take the choice that was clicked; of several, put its number beside the others."""
        question, answer = self.session.asking, self.query_one(AnswerLine)
        if question is None or not 0 < at <= len(question.choices):
            return
        if question.answer == "choice":
            self._offer(str(at))
        else:
            numbers = [one for one in re.findall(r"\d+", answer.value) if one != str(at)]
            taken_back = str(at) in re.findall(r"\d+", answer.value)
            answer.value = ", ".join(numbers if taken_back else [*numbers, str(at)])
            answer.cursor_position = len(answer.value)
        answer.focus()

    def action_undo(self) -> None:
        """Ask the last question again, with its answer to hand."""
        asked = self.session.basis.tree.questions
        last = [one.question for one in self.now.call.answers if one.question in asked]
        if last:
            self._ask(asked[last[-1]])
        else:
            self.tell("Nothing was said yet that could be taken back.")

    def _amend(self, name: str) -> None:
        """Ask the question of a name again."""
        try:
            self._ask(fact_named(self.session.basis.tree, name).question)
        except Unclear as unclear:
            self.tell(str(unclear))

    def action_price(self) -> None:
        """What the chair costs."""
        self.tell(price_line(self.session.whole(), self.session.basis.range), "")

    def action_when(self) -> None:
        """When the chair can be sent."""
        self.tell(ready_line(self.session.whole()), "")

    def action_sheet(self) -> None:
        """The measuring sheet, for a caller who measures later."""
        from consult.ui.sheet_screen import sheet_screen

        screen = sheet_screen(self.session, self.clock, self.reference)
        if isinstance(screen, str):
            self.tell(screen)
        else:
            self.app.push_screen(screen)

    def action_go_to(self) -> None:
        """Go to any open question."""
        open_ = {one.name: one for one in self.session.open_questions()}

        def find(typed: str) -> list[Line]:
            lines = [Line(n, f"{question_label(n)}: {q.ask}") for n, q in open_.items()]
            return [one for one in lines if typed.casefold() in one.text.casefold()]

        def go(name: str | None) -> None:
            if name is not None:
                self._ask(open_[name])

        none = "No open question has that in it."
        self.app.push_screen(ChooseScreen("Go to an open question", find, none), go)

    def action_warnings(self) -> None:
        """Ask the warning signs now."""
        self.session.ask_warnings()
        self._show_asked()
        if self.now.consent is not True:
            self.tell(
                "There is no consent, so these answers are not stored. What they lead to holds: "
                "say a caution as it stands."
            )

    def action_country(self) -> None:
        """Where the caller is: whose numbers are said."""
        contacts = self.session.basis.contacts

        def find(typed: str) -> list[Line]:
            lines = [Line(code, f"{contacts.name(code)} ({code})") for code in contacts.countries]
            meant = contacts.find(typed)
            return [one for one in lines if one.id == meant] or [
                one for one in lines if typed.casefold() in one.text.casefold()
            ]

        def go(code: str | None) -> None:
            # A caution in wait is shown again, whether or not its words are others now.
            self._changed(self.session.be_in(code, self.clock()).tell if code else "")

        none = "No country here is called that: take the entry for another country."
        self.app.push_screen(ChooseScreen("Where is the caller?", find, none), go)

    def action_coach(self) -> None:
        """Show or hide the coaching."""
        self.coaching = not self.coaching
        self._show()

    def action_units(self) -> None:
        """Metric, imperial, both."""
        self.session.turn_units()
        self._show()
        self._choose(self.now)

    def action_cautions(self) -> None:
        """Every caution again, with its words; a stop can be lifted there."""

        def then(asked: Asked | None) -> None:
            if asked == "signs":
                self.action_warnings()
            elif asked == "lift":
                screen = LineScreen(
                    "Lift the stop",
                    "Why is it safe to go on, and who says so? The reason stays with the call. "
                    "You are not assessing the caller: a clinician does.",
                    needed=True,
                )
                self.app.push_screen(screen, self._lift)

        self.app.push_screen(CautionsScreen(self.now), then)

    def _lift(self, reason: str | None) -> None:
        if reason is not None:
            reply = self.lift(reason)
            if reply.taken:
                self._changed(reply.tell)
            else:
                self.tell(reply.tell)

    def lift(self, reason: str) -> Reply:
        """Have the session lift the stops."""
        return self.session.lift(reason, self.clock())

    def action_remark(self) -> None:
        """A note beside the line chosen, else beside the last answer."""
        said = self.query_one(SaidList)
        chosen = said.highlighted_option if said.has_focus else None
        asked = self.session.basis.tree.questions
        answered = [a.question for a in self.now.call.answers if a.question in asked]
        name = chosen.id if chosen else (answered[-1] if answered else None)
        if name is None:
            self.tell(NO_NOTE)
            return
        question = asked[name]
        old = self.now.call.latest()[name].note

        def keep(note: str | None) -> None:
            if note is not None:
                self.session.remark(question, note, self.clock())
                self._changed()

        screen = LineScreen(f"A note: {question_label(name)}", question.ask, old)
        self.app.push_screen(screen, keep)

    def _note(self, text: str) -> None:
        """Keep a note beside the last answer."""
        asked = self.session.basis.tree.questions
        answered = [a.question for a in self.now.call.answers if a.question in asked]
        if not answered:
            self.tell(NO_NOTE)
            return
        self.session.remark(asked[answered[-1]], text, self.clock())
        self._changed(f"Noted beside: {question_label(answered[-1])}.")

    def action_try_out(self) -> None:
        """What would it change? Nothing is recorded."""
        self._try(self.query_one(AnswerLine).value)

    def _try(self, typed: str) -> None:
        """Show what an answer would change."""
        trial = self.session.trial(typed)
        if isinstance(trial, str):
            self.tell(trial)
            return

        def then(keep: bool | None) -> None:
            if not keep:
                return
            reply = self.enter(typed)
            if not reply.taken and trial.odd:
                # The trial said that it is odd, and it was kept all the same.
                count = len(reply.proposals)
                reply = self.enter(LETTERS[count - 1] if count else typed)
            self._take(reply)

        self.app.push_screen(TrialScreen(trial), then)

    def action_picture(self) -> None:
        """The side view on the whole screen."""
        from consult.ui.picture_screen import PictureScreen

        self.app.push_screen(PictureScreen(self.session.whole()))

    def action_large(self) -> None:
        """The whole window for the words, or back."""
        self.toggle_class("large")
        self.call_after_refresh(self._show_fit)

    def action_why(self) -> None:
        """Why this chair and not another; of a call that follows one, what became of that."""
        if self.now.first_reference and self.firsts is not None:
            self._compare(self.firsts, self.now)
            return
        if not self.session.basis.tree.fits:
            self.tell("Which call this one follows was not said: /reference and its six signs.")
            return
        if self.now.fit is None or self.session.basis.range is None:
            self.tell("There is no chair in this call, so there is nothing to explain.")
            return
        self._explain(self.now)

    @work(thread=True, group="why", exclusive=True, exit_on_error=False)
    def _explain(self, now: State) -> None:
        from consult.ui.why_text import why_text

        basis = self.session.basis
        found = why_text(basis, now if now.chosen else with_chair(basis, now))
        self.app.call_from_thread(self.app.push_screen, TextScreen("Why this chair", found))

    @work(thread=True, group="why", exclusive=True, exit_on_error=False)
    def _compare(self, firsts: FirstCalls, now: State) -> None:
        from consult.ui.follow_up import then_and_now

        found = then_and_now(firsts.beside(now, self.session.basis))
        self.app.call_from_thread(self.app.push_screen, TextScreen("Then and now", found))

    def action_scroll_say(self, way: int) -> None:
        """Scroll a long question without leaving the answer line."""
        say = self.query_one(SayPanel)
        say.scroll_relative(y=way * max(1, say.size.height - 2), animate=False)

    def action_help(self) -> None:
        """Every key, and how answers may be typed."""
        self.app.push_screen(TextScreen("Help", HELP))

    def action_finish(self) -> None:
        """What is missing, what is unsure, the read-back, and the summary."""
        from consult.ui.finishing import finish_screen

        screen = finish_screen(
            self.session,
            self.clock,
            self._changed,
            self._wrote,
            self.reference,
            self.kept.adviser,
            self.firsts,
        )
        self.app.push_screen(screen)

    def _wrote(self, path: Path) -> str:
        """Store the call with the file written about it; at its end it is finished by that."""
        told = [
            self.kept.keep(self.kept_as, self.now),
            self.kept.note_summary(self.kept_as, path),
        ]
        if self.now.finished:
            stopped = self.now.stopped is not None
            told.append(self.kept.finish(self.kept_as, stopped=stopped))
        return " ".join(line for line in told if line)
