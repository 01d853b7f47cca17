"""A call in plain lines: the same session, words and records, and nothing is drawn.

For screen readers and slow links. It reads a line, and writes lines; a question comes last.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from consult.call.ahead import work_out
from consult.call.by_name import BY_NAME
from consult.call.offer import LETTERS
from consult.ui import plain_words
from consult.ui.finishing import Finish
from consult.ui.plain_words import ACTIONS, PLAIN_CALL_WORDS, WITH_TEXT
from consult.ui.word_meant import action_meant
from consult.ui.words import below_caution, caution_title, how_to_answer, nameless, to_hand
from consult.visible import visible

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import datetime

    from consult.call.raised import Raised
    from consult.call.session import Session
    from consult.records.call_trees import FirstCalls
    from consult.records.desk_calls import DeskCalls
    from consult.tree.model import Question


@dataclass(eq=False)
class PlainCall:
    """One call, a line at a time."""

    session: Session
    kept: DeskCalls
    name: str
    """What the call is kept under."""
    clock: Callable[[], datetime]
    firsts: FirstCalls | None
    """Looks at the call it follows."""
    _read: Callable[[], str]
    """Gives the next line typed, and raises EOFError where there are no more."""
    _write: Callable[[str], None]
    coaching: bool = True
    left: bool = False
    """The adviser has put the call on hold, or saved it at its end."""
    _asked: Question | None = None

    @property
    def finish(self) -> Finish:
        return Finish(self.session, self.clock, self.keep, self.kept, self.name, self.firsts)

    def run(self) -> None:
        """Lead the call until it is put on hold, or nothing more can be read."""
        for line in plain_words.opening_lines(self):
            self.tell(line)
        try:
            self.go_on("")
            while not self.left:
                self.typed(self.read())
        except EOFError:
            pass

    def leave(self) -> None:
        """Put the call on hold, or end it: nothing more is read."""
        self.left = True

    def tell(self, text: str) -> None:
        """Write some lines; what steers a terminal is shown, never obeyed."""
        for line in text.split("\n") if text else ():
            self._write(visible(line))

    def read(self) -> str:
        self.tell_notices()
        return self._read().strip()

    def tell_notices(self) -> None:
        """What came up beside the call: about the records, and from the beat."""
        for notice in self.kept.notices:
            # No key does anything here.
            self.tell(f"! {notice.replace('F9 or ', '')}")
        self.kept.notices.clear()

    # -- answers ------------------------------------------------------------------------------

    def typed(self, said: str) -> None:
        """Do what a line says: an action by its word, or an answer."""
        meant = action_meant(said, ACTIONS, WITH_TEXT, self.session.basis.tree)
        if meant is not None:
            if meant.trouble:
                self.tell(meant.trouble)
            elif meant.text:
                WITH_TEXT[meant.action](self, meant.text)
            else:
                PLAIN_CALL_WORDS[meant.action][1](self)
            return
        question = self.session.asking
        if not said and question is not None and self.session.proposed is None:
            self.tell(how_to_answer(question, self.session.now.call.system))
        elif question is None and not said.startswith(BY_NAME):
            plain_words.finish_plainly(self)
        else:
            self.offer(said)

    def offer(self, said: str) -> None:
        """Give the session what was said, and go on with what it replied."""
        reply = self.session.offer(said, self.clock())
        told = "\n".join(line for line in (reply.tell, reply.noted) if line)
        if reply.taken or reply.left:
            self.go_on(told if reply.taken else f"! {told}")
        else:
            self.tell(f"! {told}")
        for at, proposal in enumerate(reply.proposals):
            self.tell(f"{'Enter' if at == 0 else LETTERS[at]}: {proposal.words}")
        if reply.left:
            self.tell(f"Not noted: {reply.left}")

    def go_on(self, told: str) -> None:
        """Store the call, say what must be said, and ask the next question."""
        self.keep()
        self.tell(told)
        self._load_first()
        while waiting := self.session.now.to_say:
            self._interrupt(waiting[0])
        if self.session.asking is not self._asked or self.session.ahead:
            self.ask()
        self._work_out()

    def keep(self) -> None:
        if lost := self.kept.keep(self.name, self.session.now):
            self.tell(f"! {lost}")

    def ask(self) -> None:
        """The words to say, the choices, the coaching and what the caller's card has."""
        session, question = self.session, self.session.asking
        self._asked = question
        for line in plain_words.question_lines(session, coaching=self.coaching):
            self.tell(line)
        if question is not None and (old := to_hand(session)):
            self.tell(f"Answer so far: {old}. /back leaves it unchanged.")

    def _work_out(self) -> None:
        """The chair, after the question, which can be read out meanwhile."""
        session = self.session
        worked = work_out(session.basis, session.now)
        if session.take_in(session.now, worked) and session.change:
            self.tell(f"» {session.change}")
        if session.why_next:
            self.tell(session.why_next)

    def _load_first(self) -> None:
        wanted = self.session.first_wanted
        if not wanted or self.firsts is None:
            return
        from consult.ui.follow_up import first_call

        first = first_call(self.firsts, wanted, self.session.basis)
        self.session.follow(first, self.clock())
        self.keep()
        self.tell(first.told)

    # -- cautions -----------------------------------------------------------------------------

    def _interrupt(self, raised: Raised) -> None:
        """Nothing else is done before it was said, but the caller may be in another country."""
        session = self.session
        country = session.basis.contacts.name(session.now.country)
        for line in (caution_title(raised), raised.say, *below_caution(raised, country)):
            self.tell(line)
        done = "read" if nameless(raised) else "said"
        keys = f"Type s once you have {done} it."
        if raised.contact:
            keys += " In another country: /country and its name."
        self.tell(keys)
        while True:
            typed = self.read()
            if typed.casefold() in ("s", done):
                session.said(raised, self.clock())
                self.keep()
                return
            if raised.contact and typed.casefold().startswith("/country"):
                self.tell(session.offer(typed, self.clock()).tell)
                self.keep()
                return  # its words may be others now, and it waits still
            self.tell(keys)
