"""Asks the solver, and makes callers of what it answers.

Effort is counted in the solver's own steps and not in seconds, so that the same tree always comes
to the same result.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import timedelta
from fractions import Fraction
from typing import Any, Literal

import z3

from consult.call.call import Answer
from consult.call.understand import AnswerValue
from consult.content.prove.symbols import Formula
from consult.content.prove.trying import DAY, Caller, said_as
from consult.content.prove.walk import Walked
from consult.tree.model import Question

Verdict = Literal["yes", "no", "not decided"]
SOLVER_STEPS = 2_000_000
"""For one question to the solver: about two seconds."""
ALL_STEPS = 150_000_000
"""For a whole tree."""
_SECONDS = 20
"""A stop for what the solver does not count; far beyond what the steps take."""


@dataclass(slots=True, eq=False)
class Solving:
    """One solver over all calls of a tree."""

    walked: Walked
    steps: int = SOLVER_STEPS
    all_steps: int = ALL_STEPS
    undecided: int = 0
    """How many questions to the solver took too long."""
    _solver: Any = field(init=False)
    _sayings: dict[tuple[str, AnswerValue | None], Formula] = field(default_factory=dict)
    _usual: list[tuple[Formula, str]] = field(default_factory=list)
    """What an ordinary caller says, most important first, each with its question."""

    def __post_init__(self) -> None:
        logic = self.walked.logic
        self._solver = z3.Solver(ctx=logic.context)
        self._solver.set("random_seed", 0)
        self._solver.set("rlimit", self.steps)
        self._solver.set("timeout", _SECONDS * 1000)
        self._solver.set("core.minimize", True)
        # Its own handling of Ctrl+C forgets one that comes just as it finds an answer.
        self._solver.set("ctrl_c", False)
        self._solver.add(*self.walked.holds)
        ranked: list[tuple[int, int, Formula, str]] = []
        for place, (name, saying) in enumerate(self.walked.answers.said.items()):
            for rank, usual in enumerate(saying.usual):
                short = logic.truth(f"usual {name} {rank}")
                self._solver.add(z3.Implies(short, usual))
                ranked.append((rank, place, short, name))
        ranked.sort(key=lambda entry: entry[:2])
        stays = [(logic.no(lifted), "") for lifted in self.walked.lifted.values()]
        self._usual = [*stays, *((short, name) for _, _, short, name in ranked)]

    @property
    def spent(self) -> int:
        """Steps taken so far."""
        counted = self._solver.statistics()
        names = counted.keys()
        return int(counted.get_key_value("rlimit count")) if "rlimit count" in names else 0

    def can_be(self, *formulas: Formula) -> Verdict:
        """Whether there is a call of which all of this is true."""
        if any(z3.is_false(formula) for formula in formulas):
            return "no"
        self._solver.push()
        self._solver.add(*formulas)
        verdict = self._check()
        self._solver.pop()
        return verdict

    def callers(self, formula: Formula, given: Formula, limit: int = 1) -> Iterator[Caller]:
        """Callers of whom a formula is true as far as the solver knows, ordinary ones first.

        Each further one differs in an answer that mattered to the one before. ``given`` is true of
        all of them, and no answer has to bring it about.
        """
        logic, questions = self.walked.logic, self.walked.tree.questions
        self._solver.push()
        try:
            wanted, unwanted = logic.truth("wanted"), logic.truth("unwanted")
            self._solver.add(given)
            self._solver.add(z3.Implies(wanted, formula))
            self._solver.add(z3.Implies(unwanted, logic.no(formula)))
            for _ in range(limit):
                model = self._ordinary(wanted)
                if model is None:
                    return
                answers = self._answers(model)
                lifts = self.walked.lifted.items()
                lifted = tuple(name for name, formula in lifts if _true(model, formula))
                spoken = (Answer(n, said_as(questions[n], value)) for n, value in answers.items())
                caller = Caller(tuple(spoken), self._telling(answers, unwanted), lifted)
                yield caller
                same = [self.saying(name, answers[name]) for name in caller.telling or answers]
                self._solver.add(z3.Implies(wanted, logic.no(logic.every(same))))
        finally:
            self._solver.pop()

    def _check(self, *assumed: Formula) -> Verdict:
        if self.spent > self.all_steps:
            self.undecided += 1
            return "not decided"
        result = self._solver.check(*assumed)
        if result == z3.unknown:
            self.undecided += 1
            return "not decided"
        return "yes" if result == z3.sat else "no"

    def _ordinary(self, wanted: Formula) -> Any:
        """A model as near to an ordinary caller as can be; None where there is none."""
        if self._check(wanted) != "yes":
            return None
        model = self._solver.model()
        usual = [short for short, _ in self._usual]
        while True:
            verdict = self._check(wanted, *usual)
            if verdict == "yes":
                return self._rounded(self._solver.model(), wanted, usual)
            if verdict == "not decided":
                return model
            core = {formula.get_id() for formula in self._solver.unsat_core()}
            against = [index for index, formula in enumerate(usual) if formula.get_id() in core]
            del usual[against[-1]]

    def _rounded(self, model: Any, wanted: Formula, usual: list[Formula]) -> Any:
        """The same with round numbers and few choices, wherever those do as well."""
        kept = {formula.get_id() for formula in usual}
        free = {name for short, name in self._usual if short.get_id() not in kept}
        frames = self._solver.num_scopes()
        for name in [question for question in self.walked.tree.questions if question in free]:
            for simple in self._simpler(name, model):
                self._solver.push()
                self._solver.add(simple)
                if self._check(wanted, *usual) == "yes":
                    # The frame stays, so that what is next is chosen beside this.
                    model = self._solver.model()
                    if self.walked.tree.questions[name].answer != "choices":
                        break
                else:
                    self._solver.pop()
        self._solver.pop(self._solver.num_scopes() - frames)
        return model

    def _simpler(self, name: str, model: Any) -> Iterator[Formula]:
        """What would make the answer to a question simpler, the simplest first."""
        logic, value = self.walked.logic, self.walked.answers.said[name].value
        match self.walked.tree.questions[name].answer:
            case "length" | "mass" | "count":
                for number in _round_numbers(_fraction(model, value)):
                    yield value == logic.number(float(number))
            case "choices":
                chosen = [holds for holds in value.values() if _true(model, holds)]
                if len(chosen) > 1:
                    yield from (logic.no(holds) for holds in chosen)

    def _answers(self, model: Any) -> dict[str, AnswerValue | None]:
        """What is said in a model to each question asked, in the order of the tree."""
        answers: dict[str, AnswerValue | None] = {}
        for name, question in self.walked.tree.questions.items():
            own = any(name in condition.names for condition in question.asked_if)
            skipped = self.walked.skipped.get(name, self.walked.logic.false)
            known = _true(model, self.walked.answers.said[name].known)
            # One that names itself may be skipped because of what was told out of turn.
            if _true(model, self.walked.comes_up["question"][name]) or (
                own and known and _true(model, skipped)
            ):
                answers[name] = self._value(question, model) if known else None
        return answers

    def _value(self, question: Question, model: Any) -> AnswerValue:
        value: Any = self.walked.answers.said[question.name].value
        match question.answer:
            case "choice":
                return str(next(name for name, holds in value.items() if _true(model, holds)))
            case "choices":
                return frozenset(name for name, holds in value.items() if _true(model, holds))
            case "yes-no":
                return _true(model, value)
            case "date":
                return DAY + timedelta(days=int(_fraction(model, value)))
            case "text":
                return "something"
            case _:
                return float(_fraction(model, value))

    def saying(self, name: str, value: AnswerValue | None) -> Formula:
        """That this was the answer."""
        if (name, value) not in self._sayings:
            self._sayings[name, value] = self._new_saying(name, value)
        return self._sayings[name, value]

    def _new_saying(self, name: str, value: AnswerValue | None) -> Formula:
        logic, said = self.walked.logic, self.walked.answers.said[name]
        question = self.walked.tree.questions[name]
        if value is None:
            return logic.no(said.known)
        same: Formula
        match question.answer:
            case "choice" | "choices":
                chosen = {value} if isinstance(value, str) else value
                assert isinstance(chosen, (set, frozenset))
                same = logic.every(
                    holds if choice in chosen else logic.no(holds)
                    for choice, holds in said.value.items()
                )
            case "yes-no":
                same = said.value if value else logic.no(said.value)
            case "text":
                same = logic.true
            case "date":
                assert not isinstance(value, (float, str, bool, frozenset))
                same = said.value == (value - DAY).days
            case _:
                assert isinstance(value, float)
                same = said.value == logic.number(value)
        return logic.every((said.known, same))

    def _telling(
        self, answers: Mapping[str, AnswerValue | None], unwanted: Formula
    ) -> tuple[str, ...] | None:
        """The answers that are enough by themselves; None where what is worked out matters too."""
        self._solver.push()
        shorts = {}
        for name, value in answers.items():
            short = shorts[name] = self.walked.logic.truth(f"says {name}")
            self._solver.add(z3.Implies(short, self.saying(name, value)))
        enough = self._check(unwanted, *shorts.values()) == "no"
        core = {formula.get_id() for formula in self._solver.unsat_core()} if enough else set()
        self._solver.pop()
        if not enough:
            return None
        return tuple(name for name, short in shorts.items() if short.get_id() in core)


def _round_numbers(value: Fraction) -> Iterator[Fraction]:
    """Numbers people would say, near a value, the roundest first."""
    whole = Fraction(round(value))
    yield whole
    yield whole + (1 if value > whole else -1)
    yield Fraction(round(value * 2), 2)
    yield Fraction(round(value * 10), 10)
    yield Fraction(round(value * 1000), 1000)


def _true(model: Any, formula: Formula) -> bool:
    return bool(z3.is_true(model.eval(formula, model_completion=True)))


def _fraction(model: Any, formula: Formula) -> Fraction:
    value = model.eval(formula, model_completion=True)
    if z3.is_algebraic_value(value):
        value = value.approx(10)
    return Fraction(value.as_fraction() if z3.is_rational_value(value) else value.as_long())
