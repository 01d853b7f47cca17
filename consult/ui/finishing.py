"""The end of a call: its closing words and summary, the day of the follow-up, and saving papers."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from consult.call.ahead import to_measure
from consult.records.place import write_in_place
from consult.retention import retention_set
from consult.summary import ENDINGS, Form, Paper
from consult.summary.closing import closing
from consult.summary.measuring_sheet import measuring_sheet
from consult.summary.model import summarise
from consult.summary.render import SHEET_FORMS, Writer, paper_of, render, write_sheet

if TYPE_CHECKING:
    from datetime import datetime

    from consult.call.follow_up import ThenAndNow
    from consult.call.session import Session
    from consult.records.call_trees import FirstCalls
    from consult.records.desk_calls import DeskCalls
    from consult.tree.model import Question


@dataclass(frozen=True, slots=True)
class Finish:
    """What can be read and done at the end of a call."""

    session: Session
    clock: Callable[[], datetime]
    changed: Callable[[], None]
    """Called when a day was agreed here."""
    kept: DeskCalls
    name: str
    """What the call is kept under."""
    firsts: FirstCalls | None
    """Looks at the call it follows."""

    @property
    def reference(self) -> str:
        return self.kept.reference(self.name)

    @property
    def stem(self) -> Path:
        """Where papers are saved if nobody says otherwise, without an ending."""
        return Path.cwd() / f"summary-{self.clock():%Y%m%d-%H%M}"

    @property
    def open_day(self) -> Question | None:
        """The question for the day of the follow-up; None where it is agreed, or not asked for, as
        after a stop."""
        every, now = self.session.basis.tree.questions.values(), self.session.now
        asks_day = next((question for question in every if question.sets == "follow_up"), None)
        return asks_day if now.follow_up is None and now.stopped is None else None

    def told(self) -> tuple[Mapping[str, tuple[str, ...]], str]:
        """The closing words, and the text of the caller's summary."""
        session, now = self.session, self.session.whole()
        summary = summarise(
            session.basis,
            now,
            reference=self.reference,
            adviser=self.kept.adviser,
            then_and_now=self._then_and_now(),
            retention=retention_set(),
        )
        system = now.call.system
        end = closing(session.basis, now, summary, system)
        return end, render(session.basis, summary, "text", system, "caller")

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
        writer = Writer(
            self.session.basis,
            self.session.whole(),
            self.clock().astimezone(),
            self.reference,
            self.kept.adviser,
            self._then_and_now(),
            retention_set(),
        )
        name = stem.name if paper == "caller" else f"{stem.name}-{paper}"
        said, files = write_forms(
            stem.with_name(name), SAVED[paper], lambda form: writer.write(form, paper)
        )
        # The call is stored with every file written about it; at its end it is finished by that.
        kept = (self.kept.wrote(self.name, self.session, file, self.firsts) for file in files)
        return "\n".join(line for line in (said, *kept) if line)

    def _then_and_now(self) -> tuple[ThenAndNow, ...]:
        session = self.session
        return self.firsts.lines(session.now, session.basis) if self.firsts else ()


# -- saving a call's papers where the adviser says ------------------------------------------------

OneForm = TypeVar("OneForm", bound=Form)

SAVED: Mapping[Paper, tuple[Form, ...]] = {
    "caller": ("text", "html", "pdf", "eml", "json"),
    "employer": ("text", "html", "pdf", "eml"),
    "order": ("text", "pdf", "json"),
    "card": ("html", "pdf"),
    "file": ("text", "json"),
}
"""The forms each paper is saved in."""


def write_forms(
    stem: Path, forms: Sequence[OneForm], write: Callable[[OneForm], bytes]
) -> tuple[str, tuple[Path, ...]]:
    """Write forms of one thing beside each other; what became of it, and the files."""
    written: list[Path] = []
    try:
        for form in forms:
            path = stem.with_name(f"{stem.name}{ENDINGS[form]}")
            write_in_place(path, write(form))
            written.append(path)
    except (OSError, ValueError) as error:
        told = f"! Not saved: {error}. The call is not lost. Try another place."
        return told, tuple(written)
    endings = " ".join(ENDINGS[form] for form in forms)
    return f"Saved {stem} as {endings}", tuple(written)


# -- the measuring sheet of a call: its text, and saving it with an e-mail draft ------------------

NOTHING_TO_DO = "There is nothing left to measure with a tape."
STOPPED_ENDING = "The call was stopped, so there is nothing to measure."


@dataclass(frozen=True, slots=True)
class CallSheet:
    """What is still to be measured, on paper."""

    text: str
    stem: Path
    """The name proposed, without an ending."""
    save: Callable[[Path], str]
    """Writes it under a name without ending, and tells what became of it."""


def sheet_of(session: Session, clock: Callable[[], datetime], reference: str) -> CallSheet | str:
    """The sheet for what is not measured yet; where there is nothing, what to say instead."""
    basis, now = session.basis, session.now
    if now.stopped is not None:
        return STOPPED_ENDING
    asked = to_measure(basis, now)
    sheet = measuring_sheet(basis.tree, asked, now.call.system, reference)
    if not sheet.measures:
        return NOTHING_TO_DO
    made, paper = clock().astimezone(), paper_of(now.country)

    def save(stem: Path) -> str:
        told, files = write_forms(
            stem, SHEET_FORMS, lambda form: write_sheet(basis, sheet, form, made, paper)
        )
        return f"{told}. Open the .eml to send it." if len(files) == len(SHEET_FORMS) else told

    text = write_sheet(basis, sheet, "text", made).decode()
    return CallSheet(text, Path.cwd() / f"measuring-sheet-{clock():%Y%m%d-%H%M}", save)
