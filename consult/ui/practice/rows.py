"""The callers to choose from as lines: what each is like, and how it went before."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from consult.practice.model import LEVELS, level_words
from consult.ui.practice.lessons import EXAMPLE_TITLE, WORDS_TITLE

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from consult.practice.catalogue import Choice, Progress, Step
    from consult.practice.learner.done import Done, Record
    from consult.practice.model import Level
    from consult.ui.practice.practising import Practising


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


@dataclass(frozen=True, slots=True)
class Lesson:
    """A line of the list that opens something to read or to watch."""

    action: Literal["example", "trade_words"]
    title: str
    about: str
    locked = False


LESSONS = (
    Lesson("example", f"FIRST: {EXAMPLE_TITLE}", "every turn explained; Enter plays the next one"),
    Lesson("trade_words", f"FIRST: {WORDS_TITLE}", "with drawings: where the tape starts and ends"),
)


def rows(practising: Practising) -> list[Row | Lesson]:
    """What the learner can choose: the next one on top, or the course in its order. Before the
    first call of all there is something to watch and to read."""
    record = practising.record()
    lessons = () if record.done else LESSONS
    return [*lessons, *_calls(practising, record)]


def _calls(practising: Practising, record: Record) -> list[Row]:
    led = practising.progress(record)
    if led is not None:
        return course_rows(practising, led)
    of_course = _of_course(practising, practising.waiting(record))
    first = practising.next(record)
    due = practising.due(record)
    found = []
    for one in practising.choices:
        about = f"{one.difficulty}  |  {one.name}  |  {played(one, record.done)}"
        if one is not first or (of_course and not due):
            found.append(Row(one, one.listed.title, about, seed=practising.seed))
            continue
        # What it is that is due would give away what the caller is going to do.
        why = "\ndue for you today" if any(each.topic in one.topics for each in due) else ""
        title = f"NEXT FOR YOU: {one.listed.title}"
        found.insert(0, Row(one, title, about + why, seed=practising.seed))
    return [*of_course, *found]


def _of_course(practising: Practising, led: Progress | None) -> list[Row]:
    """The exercise that comes next in a course, for the top of the list; none once all are done."""
    if led is None or led.next is None:
        return []
    choice = practising.choice(led.next.caller)
    if choice is None:
        return []
    course = " ".join(led.course.title.split())
    about = (
        f"call {led.passed + 1} of {len(led.steps)} of the course: {course}  |  "
        f"{level_words(led.next.level)}"
    )
    title = f"THE COURSE: {choice.listed.title}"
    return [Row(choice, title, about, led.next.level, led.next.seed)]


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
    if step.passed and step.best is not None:
        return f"PASSED, best {of_100(step.best)}"
    if not step.open:
        return "pass the ones before it first"
    if step.best is None:
        return "not tried yet"
    return f"tried {_times(step.tries)}, best {of_100(step.best)}, not passed"


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
    """ "71 of 100, passed"; a failure is loud."""
    how = "passed" if done.passed else "NOT PASSED"
    return f"{of_100(done.of_100)}, {how}"


def of_100(score: float) -> str:
    """ "71 of 100"; 100 only where nothing was lost."""
    return f"{min(round(score), 99 if score < 100 else 100)} of 100"


def day_words(day: date) -> str:
    """ "25 November 2026"."""
    return f"{day.day} {day:%B %Y}"


def harder(level: Level) -> Level:
    """The next level in the round."""
    return LEVELS[(LEVELS.index(level) + 1) % len(LEVELS)]


def _times(count: int) -> str:
    return "once" if count == 1 else f"{count} times"
