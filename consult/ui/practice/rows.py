"""The callers to choose from as lines: what each is like, and how it went before.

What leads, scores and explains a call is imported when one begins: it takes longer to load than
everything that the list of callers needs.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

from consult.paths import shipped_trees
from consult.practice.caller_file import FOLDER
from consult.practice.catalogue import (
    CallerChoice,
    Course,
    CourseProgress,
    CourseStep,
    choice_of,
    progress,
    suggested,
    tree_of,
)
from consult.practice.learner.done import Done, LearnerRecord, PracticeTrouble, finished
from consult.practice.learner.standing import Resting, outlook
from consult.practice.model import Guidance, Persona, level_words

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from datetime import date, datetime
    from pathlib import Path

    from consult.body.population import Population
    from consult.call.basis import Basis
    from consult.practice.exercise import Exercise
    from consult.practice.learner.store import Learners
    from consult.practice.scoring.points import Score
    from consult.practice.worked import WorkedTurn
    from consult.problems import Problem


class NotReady(Exception):  # noqa: N818 - it is shown, not only raised
    """An exercise cannot begin; its text can be shown as it is."""


@dataclass(frozen=True, slots=True)
class ScoredExercise:
    """An exercise with its score, kept or not."""

    score: Score
    trouble: str
    """Why it was not kept; '' where it was."""
    later: tuple[Resting, ...]
    """What comes again, and when."""
    next: CallerChoice | None
    """Whom to practise on now."""


@dataclass(slots=True)
class Practising:
    """One learner at the practice desk."""

    choices: Sequence[CallerChoice]
    learners: Learners
    learner: str
    clock: Callable[[], datetime]
    population: Population | None = None
    course: Course | None = None
    courses: Sequence[Course] = ()
    """Those of the house, in the order in which they are worked through."""
    level: Guidance = "guided"
    """Led at, unless a course says otherwise."""
    seed: int | None = None
    """None: another body each time."""
    bases: dict[Path, Basis] = field(default_factory=dict)
    """Read so far, by the file of the tree."""

    def record(self) -> LearnerRecord:
        """What is kept of the learner; where it cannot be read, a trouble says so."""
        try:
            return self.learners.read(self.learner)
        except PracticeTrouble as trouble:
            return LearnerRecord(self.learner, (), (str(trouble),))

    def choice(self, name: str) -> CallerChoice | None:
        return next((choice for choice in self.choices if choice.name == name), None)

    def next(self, record: LearnerRecord) -> CallerChoice | None:
        return suggested(self.choices, record.done, self.clock().date())

    def begin(self, choice: CallerChoice, level: Guidance, seed: int | None) -> Exercise:
        """An exercise ready for its first words; raises ``NotReady`` in words.

        Without a seed the caller comes with another body than the times before.
        """
        from consult.practice.exercise import Exercise

        if seed is None:
            done = self.record().done
            seed = 1 + sum(exercise.caller == choice.name for exercise in done)
        return Exercise(*self._drawn(choice, seed), seed, level, self.clock())

    def example(self) -> tuple[WorkedTurn, ...]:
        """The worked example; raises ``NotReady`` in words."""
        from consult.practice.worked import EXAMPLE, WORKED_SEED, worked_example

        choice = choice_of(shipped_trees() / FOLDER / f"{EXAMPLE}.yaml")
        if choice is None:
            raise NotReady(f"The caller of the example, {EXAMPLE}, cannot be read.")
        return worked_example(*self._drawn(choice, WORKED_SEED), self.clock())

    def _drawn(self, choice: CallerChoice, seed: int) -> tuple[Basis, Persona]:
        from consult.call.basis import load_basis
        from consult.practice.load import load_persona
        from consult.records.validation_cache import read_validated, write_validated

        path = tree_of(choice)
        basis = self.bases.get(path)
        if basis is None:
            read_validated()  # what an earlier run found sound is not checked again
            basis, problems = load_basis(path, self.population)
            write_validated()
            if basis is None:
                raise NotReady(_told(f"The questions of {choice.name} cannot be read.", problems))
            self.bases[path] = basis
        persona, problems = load_persona(choice.path, basis.tree, basis.population, seed)
        if persona is None:
            message = f"The caller {choice.name} has errors. Run consult check on its file."
            raise NotReady(_told(message, problems))
        return basis, persona

    def judge(self, exercise: Exercise) -> ScoredExercise:
        """Score an exercise that has ended, and keep it in the learner's record."""
        from consult.practice.score import score_of

        log = exercise.log
        score = score_of(log, exercise.persona, exercise.basis)
        today, trouble = self.clock().date(), ""
        try:
            self.learners.keep(finished(self.learner, today, exercise.persona, log, score))
        except PracticeTrouble as error:
            trouble = str(error)
        record = self.record()
        seen = outlook(record.done, today)
        return ScoredExercise(score, trouble, (*seen.due, *seen.later), self.next(record))


def _told(first: str, problems: Sequence[Problem]) -> str:
    return "\n".join(
        [first, *(str(problem) for problem in problems if problem.severity == "error")]
    )


@dataclass(frozen=True, slots=True)
class CallerRow:
    """One line of the list, and what choosing it begins."""

    choice: CallerChoice
    title: str
    about: str
    level: Guidance | None = None
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


EXAMPLE_TITLE = "A call that plays itself"
WORDS_TITLE = "The words of the trade"
LESSONS = (
    Lesson("example", f"FIRST: {EXAMPLE_TITLE}", "every turn explained; Enter plays the next one"),
    Lesson("trade_words", f"FIRST: {WORDS_TITLE}", "with drawings: where the tape starts and ends"),
)


def rows(practising: Practising) -> list[CallerRow | Lesson]:
    """What the learner can choose: the next one on top, or the course in its order. Before the
    first call of all there is something to watch and to read."""
    record = practising.record()
    lessons = () if record.done else LESSONS
    return [*lessons, *_calls(practising, record)]


def _calls(practising: Practising, record: LearnerRecord) -> list[CallerRow]:
    done, today = record.done, practising.clock().date()
    if practising.course is not None:
        return course_rows(practising, progress(practising.course, done))
    of_course = _of_course(practising, done)
    first, due = practising.next(record), outlook(done, today).due
    caller_rows: list[CallerRow] = []
    for choice in practising.choices:
        title = choice.title
        about = f"{choice.difficulty}  |  {choice.name}  |  {played(choice, done)}"
        is_next = choice is first and not (of_course and not due)
        if is_next:
            # What it is that is due would give away what the caller is going to do.
            if any(resting.topic in choice.topics for resting in due):
                about += "\ndue for you today"
            title = f"NEXT FOR YOU: {choice.title}"
        row = CallerRow(choice, title, about, seed=practising.seed)
        caller_rows.insert(0 if is_next else len(caller_rows), row)
    return [*of_course, *caller_rows]


def _of_course(practising: Practising, done: Sequence[Done]) -> list[CallerRow]:
    """What comes next in the first course that is not finished, for the top of the list; nothing
    once all are done."""
    every = (progress(one, done) for one in practising.courses)
    led = next(
        (course_progress for course_progress in every if course_progress.next is not None), None
    )
    following = led.next if led else None
    choice = practising.choice(following.caller) if following else None
    if led is None or following is None or choice is None:
        return []
    course, level = " ".join(led.course.title.split()), level_words(following.level)
    about = f"call {led.passed + 1} of {len(led.steps)} of the course: {course}  |  {level}"
    title = f"THE COURSE: {choice.title}"
    return [CallerRow(choice, title, about, following.level, following.seed)]


def course_rows(practising: Practising, led: CourseProgress) -> list[CallerRow]:
    """The exercises of a course, in its order; those that cannot be chosen yet say why."""
    caller_rows: list[CallerRow] = []
    for number, step in enumerate(led.steps, 1):
        choice = practising.choice(step.exercise.caller)
        if choice is None:
            continue
        is_next = "NEXT: " if step.exercise is led.next else ""
        level, seed = step.exercise.level, step.exercise.seed
        title = f"{number:>2}  {is_next}{choice.title}"
        about = f"    {level_words(level)}, {choice.difficulty}  |  {step_words(step)}"
        caller_rows.append(CallerRow(choice, title, about, level, seed, locked=not step.open))
    return caller_rows


def step_words(step: CourseStep) -> str:
    """How far the learner is with one exercise of a course."""
    if step.passed and step.best is not None:
        return f"PASSED, best {of_100(step.best)}"
    if not step.open:
        return "pass the ones before it first"
    if step.best is None:
        return "not tried yet"
    return f"tried {_times(step.tries)}, best {of_100(step.best)}, not passed"


def played(choice: CallerChoice, done: Sequence[Done]) -> str:
    """How it went with a caller before."""
    own = [exercise for exercise in done if exercise.caller == choice.name]
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


def _times(count: int) -> str:
    return "once" if count == 1 else f"{count} times"
