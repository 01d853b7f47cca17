"""What can be practised: callers, how hard each is, and courses that put them in an order."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Literal

from consult.marked.marks import Marked, load_marked
from consult.marked.schema import load_followed
from consult.paths import MAIN_TREE, main_tree_of, shipped_trees, trees_folder
from consult.practice import caller_file
from consult.practice.caller_file import FOLDER
from consult.practice.learner.done import Done
from consult.practice.learner.standing import LearningTopic, due, next_caller
from consult.practice.model import LEVELS, Behaviour, Guidance, level_called
from consult.problems import Problem, nearest

COURSE_KEY = "course"
"""The name at the top that makes a file a course."""
COURSES = "courses"
"""Beside the practice callers, where the courses of the house stand."""
COURSE_SCHEMA = Path(__file__).with_name("course.schema.json")

Order = Literal["as_written", "any"]


@dataclass(frozen=True, slots=True)
class CourseExercise:
    """One exercise of a course."""

    caller: str
    """Name of the practice caller; its file is called the same."""
    level: Guidance
    seed: int | None = None
    """None: another body each time."""

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
class CourseStep:
    """How far a learner is with one exercise of a course."""

    exercise: CourseExercise
    tries: int
    best: float | None
    """Of 100; None before the first try."""
    passed: bool
    open: bool
    """May be done now: everything before it is passed, or the order is free."""


@dataclass(frozen=True, slots=True)
class CourseProgress:
    """How far a learner is with a course."""

    course: Course
    steps: tuple[CourseStep, ...]

    @property
    def passed(self) -> int:
        return sum(step.passed for step in self.steps)

    @property
    def next(self) -> CourseExercise | None:
        """What comes next: of the open ones not passed the least tried; None once finished."""
        left = [step for step in self.steps if step.open and not step.passed]
        return min(left, key=lambda step: step.tries).exercise if left else None


def progress(course: Course, done: Sequence[Done]) -> CourseProgress:
    """How far somebody is who has finished these exercises."""
    steps: list[CourseStep] = []
    is_open = True
    for exercise in course.exercises:
        tried = [one for one in done if exercise.tried_by(one)]
        passed = any(one.passed for one in tried)
        best = max((one.of_100 for one in tried), default=None)
        steps.append(CourseStep(exercise, len(tried), best, passed, is_open))
        is_open = is_open and (passed or course.order == "any")
    return CourseProgress(course, tuple(steps))


def load_course(path: Path) -> tuple[Course | None, list[Problem]]:
    """Read a course; None where it has errors, which stand among the problems.

    Its callers are looked for beside it, in the folder above, and among the callers of the house.
    """
    marked, problems = load_followed(path, COURSE_SCHEMA)
    if marked is None:
        return None, problems
    problems = [*problems, *_callers(marked, path), *_twice(marked)]
    if any(problem.severity == "error" for problem in problems):
        return None, problems
    data = marked.data
    exercises = tuple(
        CourseExercise(one["caller"], level_called(one["level"]), one.get("seed"))
        for one in data["exercises"]
    )
    title, about = (marked.raw(key) or "" for key in ("title", "about"))
    order = data.get("order", "as_written")
    return Course(data["course"], title, exercises, about, order), problems


def courses_in(folder: Path) -> list[Path]:
    """The course files of a folder of practice callers, by name."""
    return sorted((folder / COURSES).glob("*.yaml"))


def caller_path(name: str, course: Path) -> Path | None:
    """The file of a caller that a course names; None where there is none."""
    files = (folder / f"{name}.yaml" for folder in _caller_folders(course))
    return next((file for file in files if file.is_file()), None)


def _caller_folders(course: Path) -> tuple[Path, ...]:
    here = course.absolute().parent
    return tuple(dict.fromkeys((here, here.parent, trees_folder() / FOLDER)))


def _callers(marked: Marked, path: Path) -> Iterator[Problem]:
    """Callers that are nowhere, and files of their name that are no callers."""
    for at, one in enumerate(marked.data["exercises"]):
        name = one["caller"]
        where = marked.value("exercises", at, "caller")
        found = caller_path(name, path)
        if found is None:
            message = f"There is no practice caller '{name}'."
            folders = _caller_folders(path)
            known = {file.stem for folder in folders for file in folder.glob("*.yaml")}
            fix = nearest(name, sorted(known)) or f"Callers are files in {folders[-1]}."
            yield Problem(where, message, fix, "unknown-caller")
            continue
        inside, _ = load_marked(found)
        if inside is None or not _is_caller(inside):
            message = f"The file {found} is not a practice caller, or it cannot be read."
            yield Problem(where, message, "Check that file first.", "no-caller")


def _twice(marked: Marked) -> Iterator[Problem]:
    """Exercises that the one before them passes as well."""
    seen: dict[tuple[object, ...], int] = {}
    for at, one in enumerate(marked.data["exercises"]):
        same = (one["caller"], level_called(one["level"]), one.get("seed"))
        if same in seen:
            message = f"This is the same as exercise {seen[same]}, so one call would pass both."
            where = marked.value("exercises", at)
            fix = "Delete it, or give it another level or a seed."
            yield Problem(where, message, fix, "twice", "warning")
        seen.setdefault(same, at + 1)


Difficulty = Literal["easy", "middling", "hard"]

_EASY, _MIDDLING = 1, 3
"""Most points of an easy caller, and of a middling one."""
_WEIGHS = {"sign_in_passing": 2, "contradicts": 2}
"""Points of a kind of behaviour that is hard to notice; any other is one (our own)."""


@dataclass(frozen=True, slots=True)
class CallerChoice:
    """A practice caller as its file names it, for a trainee to choose."""

    path: Path
    name: str
    """As on the command line."""
    title: str
    tree: str
    """Name of the tree; its file is ``<tree>.yaml`` of the folder above."""
    behaviours: tuple[Behaviour, ...] = ()
    stated: Difficulty | None = None
    """How hard the file says it is; needed where the seed decides what there is to notice."""

    @property
    def difficulty(self) -> Difficulty:
        """By how much there is to notice."""
        if self.stated is not None:
            return self.stated
        points = sum(_WEIGHS.get(behaviour.kind, 1) for behaviour in self.behaviours)
        if points <= _EASY:
            return "easy"
        return "middling" if points <= _MIDDLING else "hard"

    @property
    def topics(self) -> frozenset[LearningTopic]:
        """What the caller lets the adviser practise."""
        return frozenset(
            LearningTopic("behaviour", behaviour.kind) for behaviour in self.behaviours
        )


def callers_folder() -> Path:
    """Where the practice callers of the house are; those of the program where it has none.

    A house with another product has only its own.
    """
    own = trees_folder() / FOLDER
    alone = main_tree_of(trees_folder()) != MAIN_TREE
    return own if own.is_dir() or alone else shipped_trees() / FOLDER


def choices_in(folder: Path) -> tuple[list[CallerChoice], list[Problem]]:
    """The callers of a folder, easy ones first, and what is wrong with those left out.

    Other files beside them, such as the words, are left alone.
    """
    read = [_read(path) for path in sorted(folder.glob("*.yaml"))]
    choices = [choice for choice, _ in read if choice is not None]
    order = ("easy", "middling", "hard")
    callers = sorted(choices, key=lambda choice: (order.index(choice.difficulty), choice.name))
    return callers, [problem for _, problems in read for problem in problems]


def suggested(
    choices: Sequence[CallerChoice], done: Sequence[Done], today: date
) -> CallerChoice | None:
    """Whom to practise on next: who shows what is due, else the first not played yet.

    ``choices`` has the easy ones first. None without callers.
    """
    played = {exercise.caller for exercise in done}
    fresh = [choice for choice in choices if choice.name not in played]
    if fresh and not due(done, today):
        return fresh[0]
    name = next_caller({choice.name: choice.topics for choice in choices}, done, today)
    return next((choice for choice in choices if choice.name == name), None)


def choice_of(path: Path) -> CallerChoice | None:
    """The caller of one file; None where it is none, or has errors."""
    return _read(path)[0]


def tree_of(choice: CallerChoice) -> Path:
    """The tree that a caller's call follows: in the folder above, else of the house."""
    beside = choice.path.absolute().parent.parent / f"{choice.tree}.yaml"
    return beside if beside.is_file() else trees_folder() / f"{choice.tree}.yaml"


def _read(path: Path) -> tuple[CallerChoice | None, list[Problem]]:
    """The caller of a file, and what is wrong with it; neither where it is another kind of file."""
    marked, problems = load_marked(path)
    if marked is None:
        return None, problems
    if not _is_caller(marked):
        return None, []
    if problems := caller_file.file_problems(marked):
        return None, problems
    name, title, tree = (marked.raw(key) or "" for key in (caller_file.CALLER_KEY, "title", "tree"))
    behaviours, stated = caller_file.behaviours(marked), marked.data.get("difficulty")
    return CallerChoice(path, name, title, tree, behaviours, stated), []


def _is_caller(marked: Marked) -> bool:
    return isinstance(marked.data, dict) and caller_file.CALLER_KEY in marked.data
