"""The measuring sheet of a call: its text, and saving it with an e-mail draft."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from consult.call.to_measure import to_measure
from consult.summary.measuring_sheet import measuring_sheet
from consult.summary.sheet_writer import SHEET_FORMS, paper_of, write_sheet
from consult.ui.export import write_forms

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import datetime

    from consult.call.session import Session

NOTHING = "There is nothing left to measure with a tape."
STOPPED = "The call was stopped, so there is nothing to measure."


@dataclass(frozen=True, slots=True)
class Sheet:
    """What is still to be measured, on paper."""

    text: str
    stem: Path
    """The name proposed, without an ending."""
    save: Callable[[Path], str]
    """Writes it under a name without ending, and tells what became of it."""


def sheet_of(session: Session, clock: Callable[[], datetime], reference: str) -> Sheet | str:
    """The sheet for what is not measured yet; where there is nothing, what to say instead."""
    basis, now = session.basis, session.now
    if now.stopped is not None:
        return STOPPED
    asked = to_measure(basis, now)
    sheet = measuring_sheet(basis.tree, asked, now.call.system, reference)
    if not sheet.measures:
        return NOTHING
    made, paper = clock().astimezone(), paper_of(now.country)

    def save(stem: Path) -> str:
        told, files = write_forms(
            stem, SHEET_FORMS, lambda form: write_sheet(basis, sheet, form, made, paper)
        )
        return f"{told}. Open the .eml to send it." if len(files) == len(SHEET_FORMS) else told

    text = write_sheet(basis, sheet, "text", made).decode()
    return Sheet(text, Path.cwd() / f"measuring-sheet-{clock():%Y%m%d-%H%M}", save)
