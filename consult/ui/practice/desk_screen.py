"""The practice desk: the call desk with a caller who answers, and a score at the end.

Whatever counts for the score goes through the exercise; nothing is kept here.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual.binding import BindingType

from consult.call.by_name import BY_NAME, fact_named
from consult.call.wording import question_label
from consult.call.worth import taped
from consult.practice.exercise import HINT_COST
from consult.practice.log import HINT_SECONDS, Entered, Spoke
from consult.practice.model import level_words
from consult.sentence import of_thing
from consult.ui.call_screen import CallScreen
from consult.ui.dialogs import AskScreen, ChooseScreen, having
from consult.ui.edit.rehearsal import NothingKept
from consult.ui.keys import actions_by_word, bindings
from consult.ui.opening import LONG_LIST
from consult.ui.practice.conversation import Conversation, EndScreen, HowToEnd, may_recommend
from consult.ui.practice.keys import PRACTICE_FOOT, PRACTICE_HELP, PRACTICE_KEYS
from consult.ui.widgets.answer_line import AnswerInput
from consult.ui.widgets.panels import SaidList, SayPanel
from consult.ui.words import how_to_answer
from consult.units import Unclear

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from datetime import datetime

    from textual.app import ComposeResult

    from consult.call.offer import Reply
    from consult.call.raised import Raised
    from consult.practice.exercise import Exercise
    from consult.tree.model import Question

_SCREEN_NAME = "practice"
_MARK = "PRACTICE"
"""Stands first in the status line, so that nobody takes it for a real call."""
CHAIR_FIRST = "Say the chair first: F8, then r"
_FIRST = "The caller is on the line. Enter asks; then type what you hear. F1: help."
_FIRST_OPEN = "The caller is on the line. Choose what to ask, ask it, type what you hear."


class PracticeScreen(CallScreen, inherit_bindings=False):
    """One exercise; ``ended`` is called once the call is closed."""

    BINDINGS: ClassVar[list[BindingType]] = [*bindings(PRACTICE_KEYS, PRACTICE_FOOT)]
    WORDS: ClassVar[Mapping[str, str]] = actions_by_word(PRACTICE_KEYS)
    HELP = PRACTICE_HELP

    def __init__(
        self,
        exercise: Exercise,
        clock: Callable[[], datetime],
        ended: Callable[[], None],
    ) -> None:
        super().__init__(exercise.session, NothingKept(""), _SCREEN_NAME, clock)
        self.exercise = exercise
        self.ended = ended
        self.add_class("practice", f"level-{exercise.level}")

    def talk(self) -> ComposeResult:
        """The conversation above what the call desk has."""
        yield Conversation()
        yield from super().talk()

    def on_mount(self) -> None:
        self.exercise.opening(self.clock())
        # The list is folded away where there is no room for it, once it has been used.
        self.watch(self.query_one(SaidList), "has_focus", self._fold, init=False)
        told = _FIRST if self.exercise.level == "guided" else _FIRST_OPEN
        self.call_after_refresh(self.tell, told, "")

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool:
        """No key does anything once the call is over."""
        return super().check_action(action, parameters) and not self.exercise.over

    # -- what goes through the exercise -------------------------------------------------------

    def enter(self, said: str) -> Reply:
        return self.exercise.enter(said, self.clock())

    def say(self, raised: Raised) -> None:
        self.exercise.say(raised, self.clock())

    def lift(self, reason: str) -> Reply:
        return self.exercise.lift(reason, self.clock())

    # -- what is asked ------------------------------------------------------------------------

    @property
    def on_desk(self) -> Question | None:
        """The question that Enter asks and an answer belongs to; None until one is chosen."""
        if self.exercise.level == "guided" or self.session.ahead:
            return self.session.asking
        return None

    def waits(self, question: Question) -> bool:
        """Whether it was asked and nothing was entered for it since."""
        for event in reversed(self.exercise.log.events):
            if isinstance(event, Entered) and event.taken and event.question == question.name:
                return False
            if isinstance(event, Spoke) and event.turn.about == question.name:
                return True
        return False

    def _offer(self, said: str) -> None:
        """Enter on an empty line asks; with text it enters what was heard."""
        question = self.on_desk
        if self.exercise.over or self._put_by_name(said):
            return
        if said.strip() and (question is not None or said.startswith(BY_NAME)):
            super()._offer(said)
        elif question is None or self.waits(question):
            self._tell_what_to_do()
        elif self.chair_first:
            self._tell_chair_first()
        else:
            self.action_ask_caller()

    @property
    def chair_first(self) -> bool:
        """Whether the chair was not named yet and the question is what to make of it."""
        question, exercise = self.on_desk, self.exercise
        asks = question is not None and question.sets == "agreed"
        return asks and exercise.log.recommended is None and may_recommend(exercise)

    def _put_by_name(self, said: str) -> bool:
        """A name alone puts its question on the desk; whether it was one."""
        if not said.startswith(BY_NAME) or said.startswith(2 * BY_NAME):
            return False
        try:
            named = fact_named(self.session.basis.tree, said.removeprefix(BY_NAME))
        except Unclear:
            return False
        if not named.said.strip():
            self.ask(named.question)
        return not named.said.strip()

    def _show_asked(self) -> None:
        super()._show_asked()
        if self.session.amending is None:
            self.tell("Enter asks it, F4 coaches first, Esc closes it.", "")

    def _tell_chair_first(self) -> None:
        self.tell(f"{of_thing(CHAIR_FIRST, self.now.thing)}. Alt+Q asks all the same.", "")

    def _tell_what_to_do(self) -> None:
        question = self.on_desk
        if question is not None:
            how = how_to_answer(question, self.now.call.system)
            self.tell(f"Asked. Type what you heard: {how}. F10 asks again.")
        elif self.exercise.level == "guided":
            self.tell(f"Nothing is left to ask. {self._how_to_end()}")
        else:
            self.tell("Choose what to ask first: Ctrl+G, or /name and Enter. F8 ends the call.")

    def action_ask_caller(self) -> None:
        if self.on_desk is None:
            self._tell_what_to_do()
        else:
            self.exercise.ask(self.on_desk.name, self.clock())
            self._spoke()

    def action_coach(self) -> None:
        """Read the coaching out, then ask. What takes no tape is only asked: what stands as
        coaching there is for the adviser, not for the caller's ears."""
        question = self.on_desk
        if question is None:
            self._tell_what_to_do()
        elif self.chair_first:
            self._tell_chair_first()
        elif question.coach and taped(question):
            self.exercise.coach(question.name, self.clock())
            self._spoke()
        else:
            self.exercise.ask(question.name, self.clock())
            self._spoke("This takes no tape, so it was asked without coaching.")

    def action_ask_again(self) -> None:
        """Have it said once more: what waits for its answer, else what was asked last."""
        question = self.on_desk
        asked = [turn.about for turn in self.exercise.turns if turn.about]
        if question is not None and self.waits(question):
            asked.append(question.name)
        if asked:
            self.exercise.again(asked[-1], self.clock())
            self._spoke()
        else:
            self.tell("You have not asked anything yet.")

    def _spoke(self, tell: str = "") -> None:
        """Show what was said."""
        self.tell(tell, "")
        self._show()
        self.query_one(AnswerInput).focus()

    def action_go_to(self) -> None:
        """Choose a question; how much of it is shown depends on the level."""
        level = self.exercise.level
        every = self.session.basis.tree.questions
        shown = every.values() if level == "unaided" else self.session.now.to_ask
        asks = {
            question.name: f": {question.ask}" if level == "guided" else "" for question in shown
        }
        lines = {name: question_label(name) + ask for name, ask in asks.items()}

        def put(name: str | None) -> None:
            if name is not None:
                self.ask(every[name])

        screen = ChooseScreen("What to ask", having(lines), "No question matches that.")
        self.app.push_screen(screen, put)

    def action_hint(self) -> None:
        """A hint, once the adviser knows what it costs."""

        def take(yes: bool | None) -> None:
            if yes:
                self.exercise.hint()
                self._show()

        told = (
            f"A hint costs {HINT_COST} point and {HINT_SECONDS:.0f} seconds of the call, and is "
            "listed in your score. It appears in the conversation."
        )
        self.app.push_screen(AskScreen(told, "y takes the hint, Esc continues without it."), take)

    # -- drawing ------------------------------------------------------------------------------

    def _show(self) -> None:
        super()._show()
        self.query_one(Conversation).show(self.exercise.log)

    def show_words(self, say: SayPanel, answer: AnswerInput) -> None:
        """As much of the question as the level gives."""
        question, level = self.on_desk, self.exercise.level
        waits = question is not None and self.waits(question)
        wordless = level == "unaided" and not waits
        self.set_class(wordless, "wordless")
        if question is None:
            self.set_class(not wordless, "long-list")
            say.border_title = ""
            say.show_end(self._nothing_on_desk())
            what_to_do = "/name and Enter: what to ask    /name value: what was said"
            answer.placeholder = self._how_to_end() if level == "guided" else what_to_do
            return
        self.set_class(not wordless and len(question.choices) >= LONG_LIST, "long-list")
        say.border_title = "Asked: type what you heard" if waits else "Enter asks this"
        if self.chair_first and not waits:
            say.border_title = of_thing(CHAIR_FIRST, self.now.thing)
        if wordless:
            say.show_end(question_label(question.name))
        else:
            amending = self.session.amending is not None
            system = self.now.call.system
            say.show(question, system, coaching=level != "unaided", amending=amending)
        how = how_to_answer(question, self.now.call.system)
        first = "Enter: ask   F4: coach, then ask   or type what you heard"
        answer.placeholder = how if waits else first

    def show_why(self, say: SayPanel) -> None:
        """Why a question is worth asking is for the trainee to see."""

    def _nothing_on_desk(self) -> str:
        level, open_ = self.exercise.level, self.session.now.to_ask
        if level == "unaided":
            return "Listen, and ask what a good adviser asks: Ctrl+G, or /name and Enter."
        if level == "partly_guided" and open_:
            names = ", ".join(question_label(question.name).lower() for question in open_)
            return f"Open questions; choose one with Ctrl+G or /name:\n\n{names}."
        if self.now.stopped is not None:
            return "Product advice has stopped, and nothing is left to ask. F8 ends the call."
        return f"That was the last question. {self._how_to_end()}"

    def _how_to_end(self) -> str:
        if self.now.stopped is None and self.exercise.log.recommended is None:
            return f"F8: recommend the {self.now.thing}, then end the call."
        return "F8, then c: end the call and see the score."

    def _status(self) -> str:
        steps = self.now.steps
        log = self.exercise.log
        parts = [_MARK, level_words(log.level)]
        if log.level != "unaided":
            parts.append(f"{sum(step.answer is not None for step in steps)} of {len(steps)} asked")
        if log.hints:
            parts.append(f"hints taken: {len(log.hints)}")
        parts.append(self.exercise.persona.title)
        return "  |  ".join(" ".join(part.split()) for part in parts)

    def _fold(self, focused: bool) -> None:
        """Where there is no room for both, the list takes the place of the conversation."""
        self.set_class(focused, "looking-back")
        if not focused:
            self.query_one(SaidList).styles.clear_rule("display")

    # -- keys ---------------------------------------------------------------------------------

    def action_scroll_talk(self, way: int) -> None:
        """Scroll the conversation without leaving the answer line."""
        talk = self.query_one(Conversation)
        talk.scroll_relative(y=way * max(1, talk.size.height - 1), animate=False)

    def action_finish(self) -> None:
        def then(chosen: HowToEnd | None) -> None:
            if chosen == "recommend":
                self.exercise.recommend(self.clock())
                open_ = self.session.now.to_ask and self.exercise.level == "guided"
                told = "Now the question on the screen." if open_ else "F8, then c, ends the call."
                self._spoke(told)
            elif chosen == "close":
                self.exercise.close(self.clock())
                self.ended()

        self.app.push_screen(EndScreen(self.exercise), then)
