"""What can be clicked around the answer line: short answers, readings, and Enter itself."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from textual.content import Content

from consult.call.offer import LETTERS
from consult.ui.literal import clickable
from consult.ui.widgets.answer_line import AnswerInput

if TYPE_CHECKING:
    from collections.abc import Sequence

    from consult.tree.model import Question
    from consult.ui.call_screen import CallScreen
    from consult.units import Proposal


def answer_clicks(question: Question | None) -> Content:
    """Yes, no and not known where they are answers, and Enter, side by side."""
    said = []
    if question is not None and question.answer == "yes-no":
        said += [("Yes", "answer('y')"), ("No", "answer('n')")]
    if question is not None and question.unknown_allowed:
        said.append(("Not known", "answer('?')"))
    said.append(("Enter", "enter"))
    return Content(" ").join(clickable(f"[{label}]", action) for label, action in said)


def choose(call: CallScreen, at: int) -> None:
    """Take a choice; of several, put its number beside the others."""
    question, answer = call.session.asking, call.query_one(AnswerInput)
    if question is None or not 0 < at <= len(question.choices):
        return
    if question.answer == "choice":
        call.action_answer(str(at))
        return
    answer.value = turned(answer.value, at)
    answer.cursor_position = len(answer.value)
    answer.focus()


def turned(typed: str, number: int) -> str:
    """The numbers typed, with one more, or without it where it stood there already."""
    numbers = re.findall(r"\d+", typed)
    others = [one for one in numbers if one != str(number)]
    return ", ".join(others if str(number) in numbers else [*others, str(number)])


def readings(proposals: Sequence[Proposal]) -> Content:
    """Which key takes which reading of an answer, as a line of its own; a click does, too."""
    if not proposals:
        return Content("")
    keys = ("Enter", "Tab", *LETTERS[2:])
    lines = (
        clickable(f"{keys[at]}: {one.words}", f"take_reading({at})")
        for at, one in enumerate(proposals)
    )
    return Content("\n") + Content("   ").join(lines)
