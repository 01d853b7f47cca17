"""A learner's record as text: for the screen and for the command."""

from __future__ import annotations

from typing import TYPE_CHECKING

from consult.practice.learner.standing import outlook
from consult.practice.model import level_words
from consult.ui.practice.rows import day_words, result, step_words

if TYPE_CHECKING:
    from collections.abc import Iterator
    from datetime import date

    from consult.practice.catalogue import Progress
    from consult.practice.learner.done import Record
    from consult.practice.learner.standing import Resting

_LATEST = 10
"""Exercises listed one by one."""


def record_text(record: Record, today: date) -> str:
    """Strengths, weak points, what is due and when, and the latest exercises."""
    return "\n".join(_lines(record, today))


def course_text(led: Progress) -> str:
    """How far somebody is with a course, an exercise a line."""
    course = led.course
    lines = [f"{' '.join(course.title.split())}: {led.passed} of {len(led.steps)} passed."]
    for number, step in enumerate(led.steps, 1):
        one = step.exercise
        lines.append(f"  {number:>2}  {one.caller} ({level_words(one.level)}): {step_words(step)}")
    if led.finished:
        lines.append("The course is finished.")
    elif led.next is not None:
        lines.append(f"Next: {led.next.caller}, {level_words(led.next.level)}.")
    return "\n".join(lines)


def resting_words(one: Resting, today: date) -> str:
    """A topic and when it comes again."""
    when = "due now" if one.due <= today else f"again on {day_words(one.due)}"
    return f"{one.topic.words}: {when}"


def _lines(record: Record, today: date) -> Iterator[str]:
    seen = outlook(record.done, today)
    yield f"{' '.join(record.learner.split())}: {_exercises(seen.exercises)}, {seen.passed} passed."
    yield from (f"! {one}" for one in record.troubles)
    if not record.done:
        yield "Nothing practised yet. Start with: consult practise"
        return
    yield from _block("Good at", [one.topic.words for one in seen.strengths])
    weak = [f"{one.topic.words}: missed {one.missed} of {one.times}" for one in seen.weak]
    yield from _block("To practise", weak)
    again = [resting_words(one, today) for one in (*seen.due, *seen.later)]
    yield from _block("Due again", again)
    latest = [
        f"{day_words(one.day)}  {one.caller}, {level_words(one.level)}: {result(one)}"
        for one in reversed(record.done[-_LATEST:])
    ]
    yield from _block("Latest exercises", latest)


def _block(title: str, lines: list[str]) -> Iterator[str]:
    if lines:
        yield ""
        yield title
        yield from (f"  {one}" for one in lines)


def _exercises(count: int) -> str:
    return "1 exercise" if count == 1 else f"{count} exercises"
