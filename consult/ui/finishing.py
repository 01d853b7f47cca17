"""The end of a call: its closing words and summary, the day of the follow-up, and saving papers."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from consult.retention import retention_set
from consult.summary.closing import Closing, closing
from consult.summary.model import summarise
from consult.summary.render import Writer, render
from consult.ui.export import export

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import datetime

    from consult.call.follow_up import Line
    from consult.call.session import Session
    from consult.records.call_trees import FirstCalls
    from consult.summary.kinds import Paper
    from consult.tree.model import Question


@dataclass(frozen=True, slots=True)
class Finish:
    """What can be read and done at the end of a call."""

    session: Session
    clock: Callable[[], datetime]
    changed: Callable[[], None]
    """Called when a day was agreed here."""
    wrote: Callable[[Path], str]
    """Called for every file written about the call."""
    reference: str
    adviser: str
    firsts: FirstCalls | None
    """Looks at the call it follows."""

    @property
    def stem(self) -> Path:
        """Where papers are saved if nobody says otherwise, without an ending."""
        return Path.cwd() / f"summary-{self.clock():%Y%m%d-%H%M}"

    @property
    def open_day(self) -> Question | None:
        """The question for the day of the follow-up; None where it is agreed, or not asked for."""
        every = self.session.basis.tree.questions.values()
        asks_day = next((one for one in every if one.sets == "follow_up"), None)
        return asks_day if self.session.now.follow_up is None else None

    def told(self) -> tuple[Closing, str]:
        """The closing words, and the text of the caller's summary."""
        session, now = self.session, self.session.whole()
        found = summarise(
            session.basis,
            now,
            reference=self.reference,
            adviser=self.adviser,
            then_and_now=self._then_and_now(),
            retention=retention_set(),
        )
        system = now.call.system
        end = closing(session.basis, now, found, system)
        return end, render(session.basis, found, "text", system, "caller")

    def agree_day(self, said: str) -> str:
        """Take the day of the follow-up as said; what is wrong with it, or ''."""
        asks_day = self.open_day
        if asks_day is None or not said.strip():
            return "Type a date, or “in 2 weeks”."
        self.session.ask(asks_day)
        reply = self.session.offer(said, self.clock())
        self.session.back()
        if reply.taken:
            self.changed()
        return "" if reply.taken else reply.tell

    def save(self, stem: Path, paper: Paper) -> str:
        """Write a paper in its forms; what became of it."""
        writer = Writer(
            self.session.basis,
            self.session.whole(),
            self.clock().astimezone(),
            self.reference,
            self.adviser,
            self._then_and_now(),
            retention_set(),
        )
        said, files = export(writer, paper, stem)
        return "\n".join(line for line in (said, *map(self.wrote, files)) if line)

    def _then_and_now(self) -> tuple[Line, ...]:
        session = self.session
        return self.firsts.lines(session.now, session.basis) if self.firsts else ()
