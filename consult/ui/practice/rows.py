"""The callers to choose from as lines: what each is like, and how it went before."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from consult.practice.levels import LEVELS, level_words

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from consult.practice.catalogue import Choice
    from consult.practice.course import Progress, Step
    from consult.practice.learner.model import Done
    from consult.practice.levels import Level
    from consult.ui.practice.practising import Practising

_SHOWN = 3
"""Topics named as the reason for a suggestion."""


@dataclass(frozen=True, slots=True)
class Row:
    """One line of the list, and what choosing it begins."""

    choice: Choice
    title: str
    about: str
    level: Level | None = None
    """None: the level chosen on the page."""
    seed: int | None = None
    locked: bool = False
    """May not be chosen yet."""


def rows(practising: Practising) -> list[Row]:
    """What the learner can choose: the next one on top, or the course in its order."""
    record = practising.record()
    led = practising.progress(record)
    if led is not None:
        return course_rows(practising, led)
    first = practising.next(record)
    due = practising.due(record)
    found = []
    for one in practising.choices:
        about = f"{one.difficulty}  |  {one.name}  |  {played(one, record.done)}"
        if one is not first:
            found.append(Row(one, one.listed.title, about, seed=practising.seed))
            continue
        topics = [each.topic.words for each in due if each.topic in one.topics][:_SHOWN]
        why = f"\ndue today: {'; '.join(topics)}" if topics else ""
        title = f"NEXT FOR YOU: {one.listed.title}"
        found.insert(0, Row(one, title, about + why, seed=practising.seed))
    return found


def course_rows(practising: Practising, led: Progress) -> list[Row]:
    """The exercises of a course, in its order; those that cannot be chosen yet say why."""
    found = []
    for number, step in enumerate(led.steps, 1):
        choice = practising.choice(step.exercise.caller)
        if choice is None:
            continue
        is_next = "NEXT: " if step.exercise is led.next else ""
        found.append(
            Row(
                choice,
                f"{number:>2}  {is_next}{choice.listed.title}",
                f"    {level_words(step.exercise.level)}, {choice.difficulty}  |  "
                f"{step_words(step)}",
                step.exercise.level,
                step.exercise.seed,
                locked=not step.open,
            )
        )
    return found


def step_words(step: Step) -> str:
    """How far the learner is with one exercise of a course."""
    mark = f"pass mark {step.exercise.pass_mark:g}"
    if step.passed and step.best is not None:
        return f"PASSED, best {step.best:.0f} of 100"
    if not step.open:
        return f"{mark}; pass the ones before it first"
    if step.best is None:
        return f"{mark}; not tried yet"
    return f"{mark}; tried {_times(step.tries)}, best {step.best:.0f} of 100, not passed"


def played(choice: Choice, done: Sequence[Done]) -> str:
    """How it went with a caller before."""
    own = [one for one in done if one.caller == choice.name]
    if not own:
        return "not practised yet"
    last = own[-1]
    return (
        f"practised {_times(len(own))}; last on {day_words(last.day)}, "
        f"{level_words(last.level)}: {result(last)}"
    )


def result(done: Done) -> str:
    """ "71 of 95, passed"; a failure is loud."""
    how = "passed" if done.passed else "NOT PASSED"
    return f"{points(done.total)} of {points(done.out_of)}, {how}"


def points(number: float) -> str:
    """Points as people write them, to a tenth."""
    return f"{round(number, 1):g}"


def day_words(day: date) -> str:
    """ "25 November 2026"."""
    return f"{day.day} {day:%B %Y}"


def harder(level: Level) -> Level:
    """The next level in the round."""
    return LEVELS[(LEVELS.index(level) + 1) % len(LEVELS)]


def _times(count: int) -> str:
    return "once" if count == 1 else f"{count} times"
