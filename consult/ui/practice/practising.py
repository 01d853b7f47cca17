"""Who practises, on whom, and what is kept of it: what the screens of practice draw from."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from consult.call.basis import load_basis
from consult.paths import shipped_trees
from consult.practice.catalogue import choice_of, progress, suggested, tree_of
from consult.practice.exercise import Exercise
from consult.practice.learner.done import PracticeTrouble, Record, finished
from consult.practice.learner.standing import Resting, outlook
from consult.practice.load import FOLDER, load_persona
from consult.practice.score import score_of
from consult.practice.worked import EXAMPLE, SEED, worked_example

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from datetime import datetime
    from pathlib import Path

    from consult.body.population import Population
    from consult.call.basis import Basis
    from consult.practice.catalogue import Choice, Course, Progress
    from consult.practice.learner.store import Learners
    from consult.practice.model import Level, Persona
    from consult.practice.scoring.points import Score
    from consult.practice.worked import Scene
    from consult.problems import Problem


class NotReady(Exception):  # noqa: N818 - it is shown, not only raised
    """An exercise cannot begin; its text can be shown as it is."""


@dataclass(frozen=True, slots=True)
class Judged:
    """An exercise with its score, kept or not."""

    score: Score
    trouble: str
    """Why it was not kept; '' where it was."""
    later: tuple[Resting, ...]
    """What comes again, and when."""
    next: Choice | None
    """Whom to practise on now."""


@dataclass(slots=True)
class Practising:
    """One learner at the practice desk."""

    choices: Sequence[Choice]
    learners: Learners
    learner: str
    clock: Callable[[], datetime]
    population: Population | None = None
    course: Course | None = None
    courses: Sequence[Course] = ()
    """Those of the house, in the order in which they are worked through."""
    level: Level = "guided"
    """Led at, unless a course says otherwise."""
    seed: int | None = None
    """None: another body each time."""
    bases: dict[Path, Basis] = field(default_factory=dict)
    """Read so far, by the file of the tree."""

    def record(self) -> Record:
        """What is kept of the learner; where it cannot be read, a trouble says so."""
        try:
            return self.learners.read(self.learner)
        except PracticeTrouble as trouble:
            return Record(self.learner, (), (str(trouble),))

    def choice(self, name: str) -> Choice | None:
        """The caller of a name; None where there is none."""
        return next((one for one in self.choices if one.name == name), None)

    def next(self, record: Record) -> Choice | None:
        """Whom to practise on next."""
        return suggested(self.choices, record.done, self.clock().date())

    def due(self, record: Record) -> tuple[Resting, ...]:
        """What the learner has to practise today."""
        return outlook(record.done, self.clock().date()).due

    def progress(self, record: Record) -> Progress | None:
        """How far the learner is with the course; None without one."""
        return progress(self.course, record.done) if self.course else None

    def waiting(self, record: Record) -> Progress | None:
        """How far the learner is with the first course that is not finished; None if all are."""
        every = (progress(one, record.done) for one in self.courses)
        return next((one for one in every if one.next is not None), None)

    def begin(self, choice: Choice, level: Level, seed: int | None) -> Exercise:
        """An exercise ready for its first words; raises ``NotReady`` in words.

        Without a seed the caller comes with another body than the times before.
        """
        if seed is None:
            done = self.record().done
            seed = 1 + sum(one.caller == choice.name for one in done)
        return Exercise(*self._drawn(choice, seed), seed, level, self.clock())

    def example(self) -> tuple[Scene, ...]:
        """The worked example; raises ``NotReady`` in words."""
        choice = choice_of(shipped_trees() / FOLDER / f"{EXAMPLE}.yaml")
        if choice is None:
            raise NotReady(f"The caller of the example, {EXAMPLE}, cannot be read.")
        return worked_example(*self._drawn(choice, SEED), self.clock())

    def _drawn(self, choice: Choice, seed: int) -> tuple[Basis, Persona]:
        path = tree_of(choice.listed)
        basis = self.bases.get(path)
        if basis is None:
            basis, problems = load_basis(path, self.population)
            if basis is None:
                raise NotReady(_told(f"The questions of {choice.name} cannot be read.", problems))
            self.bases[path] = basis
        persona, problems = load_persona(choice.listed.path, basis.tree, basis.population, seed)
        if persona is None:
            raise NotReady(
                _told(
                    f"The caller {choice.name} has errors. Run consult check on its file.", problems
                )
            )
        return basis, persona

    def judge(self, exercise: Exercise) -> Judged:
        """Score an exercise that has ended, and keep it in the learner's record."""
        log = exercise.log
        found = score_of(log, exercise.persona, exercise.basis)
        today, trouble = self.clock().date(), ""
        try:
            self.learners.keep(finished(self.learner, today, exercise.persona, log, found))
        except PracticeTrouble as error:
            trouble = str(error)
        record = self.record()
        seen = outlook(record.done, today)
        return Judged(found, trouble, (*seen.due, *seen.later), self.next(record))


def _told(first: str, problems: Sequence[Problem]) -> str:
    return "\n".join([first, *(str(one) for one in problems if one.severity == "error")])
