"""Advisers of known skill, leading an exercise by what is heard and nothing else.

The one who does everything right is what a learner's call is compared with, and proves that a full
score can be had of every caller; the others show whether the score tells them apart. Nothing of the
caller's truth is looked at: only the words of each turn, what they mean, what shows in them, and
the call screen.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta

from consult.call.basis import Basis
from consult.call.offer import offer
from consult.call.understand import AnswerValue
from consult.call.worth import taped
from consult.practice.exercise import Exercise
from consult.practice.log import Log, Turn, turn_seconds
from consult.practice.model import MEASUREMENT, BehaviourKind, Guidance, Persona
from consult.practice.speech import SPOKEN_FIGURES
from consult.practice.truth import value_of
from consult.tree.model import Question, plain_name

SECONDS = 2.0
"""To enter an answer."""
_ROUNDS = 4
"""Times a question is led to at most, so that no caller can keep a call from ending."""


@dataclass(frozen=True, slots=True)
class Skill:
    """What an adviser does and leaves out; as it stands, everything right."""

    coaches: bool = True
    """Reads the coaching out before a length is measured."""
    notices: bool = True
    """Asks again where a figure was measured wrongly, or two answers contradict."""
    asks_again: bool = True
    """Asks again where no answer was given, or the screen doubts it."""
    hears: bool = True
    """Enters what is said of another question."""
    misses_a_sign: bool = False
    """Takes the first warning sign that comes for nothing."""
    hints: bool = False
    """Takes a hint before every question."""
    twice: bool = False
    """Has everything measured twice."""
    measures: bool = True
    """Has the body and the desk measured; else height and weight are all."""
    gives_way: bool = False
    """Lets a caller talk it out of a question about warning signs, and out of a stop."""
    everything: bool = False
    """Asks every question there is before naming a chair."""


PERFECT = Skill()


def led_exercise(
    basis: Basis,
    persona: Persona,
    seed: int,
    level: Guidance,
    began: datetime,
    skill: Skill = PERFECT,
) -> Log:
    """One exercise led from the first word to the last. Same inputs, same log."""
    exercise = Exercise(basis, persona, seed, level, began)
    _Adviser(exercise, began, skill).lead()
    return exercise.log


def spoken_of(persona: Persona, turns: Iterable[Turn], kind: BehaviourKind) -> frozenset[str]:
    """The other questions that remarks of a kind spoke of in these turns."""
    shown = (persona.behaviour(name) for turn in turns for name in turn.shown)
    return frozenset(behaviour.about for behaviour in shown if behaviour.kind == kind)


def volunteered_counts(question: Question) -> bool:
    """Whether an answer told early need not be asked for: no figure, and nothing about health."""
    return question.answer not in SPOKEN_FIGURES and question.private != "health"


class _Adviser:
    """Leads one exercise."""

    def __init__(self, exercise: Exercise, began: datetime, skill: Skill) -> None:
        self.exercise, self.skill = exercise, skill
        self.session = exercise.session
        self.questions = exercise.basis.tree.questions
        self._at, self._heard = began, 0
        self._asked: set[str] = set()
        self._told_early: set[str] = set()
        """Entered because it was said in passing; asked all the same where the way leads there."""
        self._recommended = False
        self._missed: str | None = None
        """The question whose sign was taken for nothing."""

    def lead(self) -> None:
        self._attend_to(self._remarks(self.exercise.opening(self._now())))
        for _ in range(_ROUNDS * len(self.questions)):
            self._say_what_is_due()
            question = self._next()
            if question is None:
                break
            if question.sets == "agreed":
                self._ask_the_rest()
                self._recommend()
            self._take(question)
        self._say_what_is_due()
        self._recommend()
        self.exercise.close(self._now())

    # -- what is done -------------------------------------------------------------------------

    def _take(self, question: Question) -> None:
        """Ask a question until there is an answer that can be trusted, and enter it."""
        name, skill = question.name, self.skill
        self._asked.add(name)
        if not skill.measures and question.answer == "length" and question.measures != "stature":
            self._typed(question, "?")
            return
        if skill.hints:
            self.exercise.hint()
        coached = skill.coaches and question.coach and taped(question)
        turn = (self.exercise.coach if coached else self.exercise.ask)(name, self._now())
        remarks = self._remarks(turn)
        if skill.gives_way and self._shows(turn, ["presses"]):
            self._typed(question, question.exclusive or "?")
            return
        if (
            (skill.asks_again and name not in turn.tells)
            or (skill.notices and self._shows(turn, MEASUREMENT))
            or (skill.twice and question.answer in ("length", "mass"))
        ):
            turn = self._again(name)
            remarks |= self._remarks(turn)
        self._enter(question, turn.tells.get(name, "?"))
        self._attend_to(remarks)

    def _again(self, name: str) -> Turn:
        return self.exercise.again(name, self._now())

    def _enter(self, question: Question, said: str) -> None:
        """Enter an answer; what the desk doubts is had said once more, and then stands."""
        if self._typed(question, self._believed(question, said)):
            return
        if not self.skill.asks_again:
            self._typed(question, said)
            return
        turn = self._again(question.name)
        said = turn.tells.get(question.name, said)
        if not self._typed(question, said):
            self._typed(question, said)
        self._attend_to(self._remarks(turn))

    def _believed(self, question: Question, said: str) -> str:
        """The answer, without the first warning sign in it where that is taken for nothing."""
        if not self.skill.misses_a_sign or self._missed not in (None, question.name):
            return said
        if question.exclusive is None or not self._calls_for_caution(question, said):
            return said
        self._missed = question.name
        return question.exclusive

    def _ask_the_rest(self) -> None:
        """Every question that there is, whether or not the call leads to it."""
        if not self.skill.everything or self.session.now.stopped is not None:
            return
        closing = {one.name for one in self.session.now.to_ask}
        for name, question in self.questions.items():
            if name in self._asked or name in closing or question.sets == "topics":
                continue
            if question.private != "health" and self.session.now.stopped is None:
                self._take(question)

    def _typed(self, question: Question, said: str) -> bool:
        typed = f"/{plain_name(question.name)}: {said}"
        return self.exercise.enter(typed, self._now()).taken

    def _say_what_is_due(self) -> None:
        while due := self.session.now.to_say:
            turn = self.exercise.say(due[0], self._now())
            if self.skill.gives_way and self._shows(turn, ["presses"]):
                self.exercise.lift("The caller wants the chair.", self._now())

    def _recommend(self) -> None:
        """Name the chair, once; nothing where no product advice may be given, or none is made."""
        if self._recommended or self.session.now.fit is None:
            return
        self._recommended = True
        self.exercise.recommend(self._now())

    # -- what is heard ------------------------------------------------------------------------

    def _remarks(self, turn: Turn) -> dict[str, str]:
        """What was said of other questions than the one asked."""
        return {name: said for name, said in turn.tells.items() if name != turn.about}

    def _attend_to(self, remarks: Mapping[str, str]) -> None:
        """A sign is entered at once, and asked about all the same where the way leads there; a
        contradiction is asked about; a plain fact is entered, and that is all."""
        if not self.skill.hears:
            return
        said_of = [(self.questions[name], said) for name, said in remarks.items()]
        for question, said in sorted(said_of, key=lambda pair: not self._calls_for_caution(*pair)):
            name = question.name
            if self.session.now.stopped is not None:
                return
            if self._believed(question, said) != said:
                continue
            told = name in self._asked or self._entered(question) is not None
            muddled = told and name in self._spoken_of("contradicts")
            early = not told and name in self._spoken_of("volunteers")
            if self._calls_for_caution(question, said) and not muddled:
                # A sign counts whatever was answered before.
                if self._typed(question, said) and not told:
                    self._told_early.add(name)
            elif told and self.skill.notices:
                if self._value(question, said) != self._entered(question):
                    self._asked.add(name)
                    self._enter(question, self._again(name).tells.get(name, said))
            elif early and volunteered_counts(question):
                self._typed(question, said)

    def _shows(self, turn: Turn, kinds: Collection[str]) -> bool:
        """Whether a behaviour of some kinds can be heard in a reply."""
        return any(self.exercise.persona.behaviour(name).kind in kinds for name in turn.shown)

    def _spoken_of(self, kind: BehaviourKind) -> frozenset[str]:
        return spoken_of(self.exercise.persona, self.exercise.turns, kind)

    def _calls_for_caution(self, question: Question, said: str) -> bool:
        then = offer(self.exercise.basis, self.session.now, question, said, stands=True).state
        if then is None:
            return False
        known = {raised.caution.name for raised in self.session.now.cautions}
        return any(
            raised.caution.level != "note" and raised.caution.name not in known
            for raised in then.cautions
        )

    # -- the desk -----------------------------------------------------------------------------

    def _next(self) -> Question | None:
        """What the way leads to next and was not asked by this adviser."""
        now = self.session.now
        early = self._told_early if now.stopped is None else set()
        left = (step for step in now.steps if step.question.name not in self._asked)
        asks = (step.question for step in left if step.to_ask or step.question.name in early)
        return next(asks, None)

    def _entered(self, question: Question) -> AnswerValue | None:
        answer = self.session.now.call.latest().get(question.name)
        return self._value(question, answer.said) if answer else None

    def _value(self, question: Question, said: str) -> AnswerValue | None:
        return value_of(question, said, self.session.now.call.today)

    def _now(self) -> datetime:
        """Later by what was said since, and what it takes to enter an answer."""
        turns = self.exercise.turns
        spoken = sum(turn_seconds(turn, self.questions) for turn in turns[self._heard :])
        self._heard = len(turns)
        self._at += timedelta(seconds=spoken + SECONDS)
        return self._at
