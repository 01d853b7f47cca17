"""The finish page of a call: where its texts come from and what it may change."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from consult.retention import retention_set
from consult.summary.closing import Closing, closing
from consult.summary.kinds import Paper
from consult.summary.model import summarise
from consult.summary.render import Writer, render
from consult.ui.export import export
from consult.ui.finish_screen import FinishScreen

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import datetime

    from consult.call.follow_up import Line
    from consult.call.session import Session
    from consult.records.call_trees import FirstCalls


def finish_screen(
    session: Session,
    clock: Callable[[], datetime],
    changed: Callable[[], None],
    wrote: Callable[[Path], str],
    reference: str,
    adviser: str,
    firsts: FirstCalls | None,
) -> FinishScreen:
    """The page for a call; ``changed`` is called when a day was agreed there, ``wrote`` for every
    file written about the call, and ``firsts`` looks at the call it follows."""
    basis, system = session.basis, session.now.call.system
    asks_day = next((q for q in basis.tree.questions.values() if q.sets == "follow_up"), None)

    def then_and_now() -> tuple[Line, ...]:
        return firsts.lines(session.now, basis) if firsts else ()

    def told() -> tuple[Closing, str]:
        now = session.whole()
        found = summarise(
            basis,
            now,
            reference=reference,
            adviser=adviser,
            then_and_now=then_and_now(),
            retention=retention_set(),
        )
        end = closing(basis, now, found, system)
        return end, render(basis, found, "text", system, "caller")

    def follow_up(said: str) -> str:
        if asks_day is None or not said.strip():
            return "Type a date, or “in 2 weeks”."
        session.ask(asks_day)
        reply = session.offer(said, clock())
        session.back()
        if reply.taken:
            changed()
        return "" if reply.taken else reply.tell

    def save(stem: Path, paper: Paper) -> str:
        made = clock().astimezone()
        writer = Writer(
            basis, session.whole(), made, reference, adviser, then_and_now(), retention_set()
        )
        said, files = export(writer, paper, stem)
        return "\n".join(line for line in (said, *map(wrote, files)) if line)

    open_day = asks_day is not None and session.now.follow_up is None
    return FinishScreen(
        told,
        Path.cwd() / f"summary-{clock():%Y%m%d-%H%M}",
        save,
        follow_up if open_day else None,
    )
