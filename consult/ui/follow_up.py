"""The page that shows a follow-up call beside the call it follows."""

from __future__ import annotations

from typing import TYPE_CHECKING

from consult.summary.words import long_date

if TYPE_CHECKING:
    from consult.call.follow_up import Line
    from consult.records.call_trees import Beside


def then_and_now(found: Beside | str) -> str:
    """The page, or why there is none."""
    if isinstance(found, str):
        return found
    told = [f"First call: {found.kept.reference}, {long_date(found.kept.call.today)}."]
    if found.anew:
        told.append("Its questions have changed since, so its results are worked out again.")
    return "\n\n".join([" ".join(told), page(found.lines)])


def page(lines: tuple[Line, ...]) -> str:
    """A block of short lines for each thing compared."""
    return "\n\n".join(map(_block, lines)) or "There is nothing to compare yet."


def _block(line: Line) -> str:
    values = {"then": line.then, "good": line.good, "now": line.now}
    shown = ", ".join(f"{name} {value}" for name, value in values.items() if value)
    rest = [f"  {text}" for text in (shown, line.do, line.because) if text]
    return "\n".join([line.topic, *rest])
