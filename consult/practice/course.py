"""A course: exercises in an order, each with a level and the mark that passes it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from consult.marked.marks import load_marked
from consult.marked.schema import load_followed
from consult.paths import trees_folder
from consult.practice import caller_file
from consult.practice.levels import LEVELS, level_of
from consult.practice.load import FOLDER as CALLERS
from consult.problems import Problem, nearest

if TYPE_CHECKING:
    from consult.marked.marks import Marked
    from consult.practice.learner.model import Done
    from consult.practice.levels import Level

KEY = "course"
"""The name at the top that makes a file a course."""
FOLDER = "courses"
"""Beside the practice callers, where the courses of the house stand."""
SCHEMA = Path(__file__).with_name("course.schema.json")

Order = Literal["as_written", "any"]


@dataclass(frozen=True, slots=True)
class CourseExercise:
    """One exercise of a course."""

    caller: str
    """Name of the practice caller; its file is called the same."""
    level: Level
    pass_mark: float
    """Of 100."""
    seed: int | None = None
    """None: another body each time."""

    def passed_by(self, done: Done) -> bool:
        """Whether a finished exercise passes this one; led less than asked for counts too."""
        return self.tried_by(done) and done.passed and done.of_100 >= self.pass_mark

    def tried_by(self, done: Done) -> bool:
        """Whether it was this caller, this seed, and a level at least as hard."""
        return (
            done.caller == self.caller
            and LEVELS.index(done.level) >= LEVELS.index(self.level)
            and self.seed in (None, done.seed)
        )


@dataclass(frozen=True, slots=True)
class Course:
    """A course file."""

    name: str
    title: str
    exercises: tuple[CourseExercise, ...]
    about: str = ""
    order: Order = "as_written"
    """any: the learner may begin anywhere."""


@dataclass(frozen=True, slots=True)
class Step:
    """How far a learner is with one exercise of a course."""

    exercise: CourseExercise
    tries: int
    best: float | None
    """Of 100; None before the first try."""
    passed: bool
    open: bool
    """May be done now: everything before it is passed, or the order is free."""


@dataclass(frozen=True, slots=True)
class Progress:
    """How far a learner is with a course."""

    course: Course
    steps: tuple[Step, ...]

    @property
    def passed(self) -> int:
        """Exercises passed."""
        return sum(step.passed for step in self.steps)

    @property
    def finished(self) -> bool:
        """All of them are."""
        return self.passed == len(self.steps)

    @property
    def next(self) -> CourseExercise | None:
        """What comes next: of the open ones not passed the least tried; None once finished."""
        left = [step for step in self.steps if step.open and not step.passed]
        return min(left, key=lambda step: step.tries).exercise if left else None


def progress(course: Course, done: Sequence[Done]) -> Progress:
    """How far somebody is who has finished these exercises."""
    steps: list[Step] = []
    is_open = True
    for exercise in course.exercises:
        tried = [one for one in done if exercise.tried_by(one)]
        passed = any(exercise.passed_by(one) for one in tried)
        best = max((one.of_100 for one in tried), default=None)
        steps.append(Step(exercise, len(tried), best, passed, is_open))
        is_open = is_open and (passed or course.order == "any")
    return Progress(course, tuple(steps))


def load_course(path: Path) -> tuple[Course | None, list[Problem]]:
    """Read a course; None where it has errors, which stand among the problems.

    Its callers are looked for beside it, in the folder above, and among the callers of the house.
    """
    marked, problems = load_followed(path, SCHEMA)
    if marked is None:
        return None, problems
    problems = [*problems, *_callers(marked, path), *_twice(marked)]
    if any(problem.severity == "error" for problem in problems):
        return None, problems
    return _built(marked), problems


def course_problems(path: Path) -> list[Problem]:
    """Everything wrong with a course file."""
    return load_course(path)[1]


def courses_in(folder: Path) -> list[Path]:
    """The course files of a folder of practice callers, by name."""
    return sorted((folder / FOLDER).glob("*.yaml"))


def caller_path(name: str, course: Path) -> Path | None:
    """The file of a caller that a course names; None where there is none."""
    for folder in _caller_folders(course):
        if (folder / f"{name}.yaml").is_file():
            return folder / f"{name}.yaml"
    return None


def _caller_folders(course: Path) -> tuple[Path, ...]:
    here = course.absolute().parent
    return tuple(dict.fromkeys((here, here.parent, trees_folder() / CALLERS)))


def _callers(marked: Marked, path: Path) -> Iterator[Problem]:
    """Callers that are nowhere, and files of their name that are no callers."""
    for at, one in enumerate(marked.data["exercises"]):
        name = one["caller"]
        where = marked.value("exercises", at, "caller")
        found = caller_path(name, path)
        if found is None:
            said = f"There is no practice caller '{name}'."
            folders = _caller_folders(path)
            known = {file.stem for folder in folders for file in folder.glob("*.yaml")}
            fix = nearest(name, sorted(known)) or f"Callers are files in {folders[-1]}."
            yield Problem(where, said, fix, "unknown-caller")
            continue
        inside, _ = load_marked(found)
        is_block = inside is not None and isinstance(inside.data, dict)
        if inside is None or not is_block or caller_file.KEY not in inside.data:
            said = f"The file {found} is not a practice caller, or it cannot be read."
            yield Problem(where, said, "Check that file first.", "no-caller")


def _twice(marked: Marked) -> Iterator[Problem]:
    """Exercises that the one before them passes as well."""
    seen: dict[tuple[object, ...], int] = {}
    for at, one in enumerate(marked.data["exercises"]):
        same = (one["caller"], level_of(one["level"]), one.get("seed"))
        if same in seen:
            said = f"This is the same as exercise {seen[same]}, so one call would pass both."
            where = marked.value("exercises", at)
            fix = "Delete it, or give it another level or a seed."
            yield Problem(where, said, fix, "twice", "warning")
        seen.setdefault(same, at + 1)


def _built(marked: Marked) -> Course:
    data = marked.data
    return Course(
        name=data["course"],
        title=marked.raw("title") or "",
        about=marked.raw("about") or "",
        order=data.get("order", "as_written"),
        exercises=tuple(
            CourseExercise(
                caller=one["caller"],
                level=level_of(one["level"]),
                pass_mark=float(one.get("pass", data["pass"])),
                seed=one.get("seed"),
            )
            for one in data["exercises"]
        ),
    )
