"""Callers who are tried: their answers, typed as an adviser types them, through whole calls."""

from __future__ import annotations

import random
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from consult.call.basis import Basis
from consult.call.call import Answer, Call
from consult.call.expectation import TreePart
from consult.call.facts import Facts
from consult.call.route import walk
from consult.call.state import State, state_so_far
from consult.call.understand import AnswerValue, understand
from consult.tree.condition import CALL_STOPPED, Condition
from consult.tree.model import Question
from consult.units import Unclear, to_unit

DAY = date(2026, 1, 5)
"""The day of every call that is only tried."""
_UNKNOWN = "?"
_STONE = 14.0
CAME_UP: Mapping[str, TreePart] = {
    "asked": "question",
    "caution": "caution",
    "advice": "advice",
    "need": "need",
}
"""How a condition begins that speaks of what came up in a call -> what that is."""


@dataclass(frozen=True, slots=True)
class Caller:
    """One caller who was tried: every answer of a whole call."""

    answers: tuple[Answer, ...]
    telling: tuple[str, ...] | None = None
    """The questions whose answers bring it about, in the order asked; None: that is not known."""

    lifted: tuple[str, ...] = ()
    """Stops that were lifted with a reason."""

    @property
    def says(self) -> str:
        """The answers that matter, as "desk kind fixed, desk height 78 cm"."""
        telling = self.telling
        told = [answer for answer in self.answers if telling is None or answer.question in telling]
        says = ", ".join(_said(answer) for answer in told) or "anything at all"
        names = ", ".join(f"'{name}'" for name in self.lifted)
        return f"{says} (and the stop {names} lifted)" if names else says


def _said(answer: Answer) -> str:
    message = "not known" if answer.said == _UNKNOWN else answer.said
    return f"{answer.question} {message}".replace("_", " ")


def said_as(question: Question, value: AnswerValue | None) -> str:
    """What to type for a value in the question's own unit; None: the caller does not know."""
    if value is None:
        return _UNKNOWN
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        # "5.2 st" may be 5 st 2.
        if question.unit == "st":
            return f"{value * _STONE:.6g} lb"
        return f"{value:.6g} {question.unit or ''}".rstrip()
    if isinstance(value, date):
        return value.isoformat()
    if question.answer == "text":
        return str(value)
    chosen = {value} if isinstance(value, str) else value
    ordered = [name for name in question.choices if name in chosen]
    return ", ".join(_one(question, name) for name in ordered)


def _one(question: Question, name: str) -> str:
    """The name of a choice, or its number where the name alone would be heard as another."""
    try:
        heard = understand(question, name, DAY).value
    except Unclear:
        heard = None
    if heard in (name, frozenset((name,))):
        return name
    return str(list(question.choices).index(name) + 1)


# -- callers tried on the real call: what the solver thinks possible, and callers drawn at random -

_SEED = 20_260_105
DRAWN = 300
"""Callers drawn at random for a whole tree."""
REDRAWN = 60
"""Times that the measures of one caller are drawn again."""
_WORKPLACE = ("heel", "desk_height", "desk_thickness", "desk_lowest", "desk_highest")
_FACTS = (*_WORKPLACE, "desk_kind", "close_to_desk", "lenses", "sex", "stature_origin")
_SHARE_UNKNOWN = 0.12
_QUIET = 0.75
"""How often nothing is chosen of a list that has a "none of these"."""

CallTest = Callable[["HeldCall"], bool]


@dataclass(frozen=True, slots=True, eq=False)
class HeldCall:
    """A finished call that was held for trial."""

    basis: Basis
    now: State

    def came_up(self, part: TreePart, name: str) -> bool:
        """Whether something was asked, raised, given or called for."""
        match part:
            case "question":
                return self.now.step(name) is not None
            case "caution":
                return any(raised.caution.name == name for raised in self.now.cautions)
            case "advice":
                return any(given.advice.name == name for given in self.now.advice)
            case "need":
                return any(need.name == name for need in self.now.needs)

    def true(self, condition: Condition) -> bool:
        """Whether a condition, which may name outcomes, is true at the end of the call."""
        facts = self.now.told(self.basis)

        def look(name: str) -> AnswerValue | None:
            owner, _, rest = name.partition(".")
            if rest and owner in CAME_UP:
                return self.came_up(CAME_UP[owner], rest)
            if name == CALL_STOPPED:
                return self.now.stopped is not None
            return facts.lookup(name)

        return condition.evaluate(look) is True


@dataclass(slots=True, eq=False)
class Trying:
    """Holds calls with one tree, and remembers those drawn at random."""

    basis: Basis
    """Its pools ask nothing, as what of a pool is asked must decide nothing that is proven."""
    _drawn: list[tuple[Caller, HeldCall]] = field(default_factory=list)
    _met: list[tuple[Caller, HeldCall]] = field(default_factory=list)
    """Callers tried for something else who came to the end without a stop lifted."""
    _random: random.Random = field(default_factory=lambda: random.Random(_SEED))
    _left: int = DRAWN

    def __post_init__(self) -> None:
        self.basis = replace(self.basis, ask_pools=False)

    def held(self, caller: Caller) -> HeldCall | None:
        """The call with these answers; None where it is not finished with them."""
        now = self._now(caller)
        return HeldCall(self.basis, now) if now.finished else None

    def real(self, caller: Caller, wanted: CallTest) -> Caller | None:
        """The caller, if the call comes to an end and what is wanted is true of it.

        Where the fit leads the way past a question more than was thought, it gets an answer.
        """
        for _ in self.basis.tree.questions:
            now = self._now(caller)
            asked = now.current
            if asked is None:
                held = HeldCall(self.basis, now)
                if not caller.lifted:
                    self._met.append((replace(caller, telling=None), held))
                return caller if wanted(held) else None
            if any(answer.question == asked.name for answer in caller.answers):
                return None
            more = Answer(asked.name, said_as(asked, ordinary(asked)))
            caller = replace(caller, answers=(*caller.answers, more))
        return None

    def near(self, caller: Caller, wanted: CallTest) -> Caller | None:
        """A caller who differs in the measures of body and workplace only, drawn at random."""
        questions = self.basis.tree.questions
        measured = [a.question for a in caller.answers if _measured(questions[a.question])]
        # From the start for each, so that what is found does not hang on who came before.
        redrawing = random.Random(_SEED)
        for _ in range(REDRAWN if measured else 0):
            said = self._sayings([questions[name] for name in measured], 0.05, redrawing)
            answers = tuple(replace(a, said=said.get(a.question, a.said)) for a in caller.answers)
            real = self.real(Caller(answers, lifted=caller.lifted), wanted)
            if real is not None:
                return real
        return None

    def met(self, wanted: CallTest) -> Caller | None:
        """One of those tried already of whom it is true, which costs next to nothing to see."""
        met = (*self._met, *self._drawn)
        return next((caller for caller, held in met if wanted(held)), None)

    def anybody(self, wanted: CallTest) -> Caller | None:
        """The first of the callers drawn at random of whom it is true."""
        return next((caller for caller, held in self._all() if wanted(held)), None)

    def telling(self, caller: Caller, names: Collection[str]) -> Caller:
        """The caller with the answers said to matter that a condition reads, or the fit does."""
        if caller.telling is not None:
            return caller
        questions = self.basis.tree.questions
        derived = any("." in name for name in names)
        matter = tuple(
            answer.question
            for answer in caller.answers
            if answer.question in names
            or (derived and answer.said != "?" and _feeds(questions[answer.question]))
        )
        return replace(caller, telling=matter)

    def _now(self, caller: Caller) -> State:
        call = Call(DAY, answers=caller.answers)
        for stop in caller.lifted:
            call = call.handle(stop, lifted="tried")
        return state_so_far(self.basis, call)

    def _all(self) -> Iterator[tuple[Caller, HeldCall]]:
        yield from self._drawn
        while self._left > 0:
            self._left -= 1
            caller = self._random_caller()
            held = self.held(caller)
            if held is not None:
                self._drawn.append((caller, held))
                yield caller, held

    def _random_caller(self) -> Caller:
        tree = self.basis.tree
        said = self._sayings(list(tree.questions.values()), _SHARE_UNKNOWN, self._random)
        answers = {name: Answer(name, words) for name, words in said.items()}
        facts = Facts(self.basis, "metric")
        steps, _ = walk(tree, answers, facts, DAY, lambda *_: True)
        return Caller(tuple(step.answer for step in steps if step.answer is not None))

    def _sayings(
        self, questions: Sequence[Question], unknown: float, draw: random.Random
    ) -> dict[str, str]:
        """One thing said to each question, by somebody of one size at a desk of another."""
        body, desk = draw.random(), draw.random()
        return {q.name: self._saying(q, body, desk, unknown, draw) for q in questions}

    def _saying(
        self, question: Question, body: float, desk: float, unknown: float, draw: random.Random
    ) -> str:
        if question.unknown_allowed and draw.random() < unknown:
            return said_as(question, None)
        match question.answer:
            case "length" | "mass" | "count":
                size = body if question.measures else desk
                return said_as(question, self._number(question, size, draw))
            case "choice":
                return said_as(question, draw.choice(list(question.choices)))
            case "choices":
                others = [name for name in question.choices if name != question.exclusive]
                if question.exclusive is not None and (not others or draw.random() < _QUIET):
                    return said_as(question, question.exclusive)
                many = draw.sample(others, min(len(others), draw.randint(1, 3)))
                return said_as(question, frozenset(many))
            case "yes-no":
                return said_as(question, draw.random() < 0.5)
            case "date":
                return "in two weeks"
            case "text":
                return "something"

    def _number(self, question: Question, size: float, draw: random.Random) -> float:
        low, high = question.expect or (0.0, 100.0)
        drawn_size = size + draw.gauss(0, 0.2)
        value = max(low, low + (high - low) * min(max(drawn_size, -0.1), 1.1))
        if question.unit is not None:
            value = to_unit(value, question.unit)
        return round(value, 1)


def ordinary(question: Question) -> AnswerValue:
    """What anybody might say to a question, in its own unit."""
    match question.answer:
        case "length" | "mass" | "count":
            low, high = question.expect or (1.0, 1.0)
            middle = (low + high) / 2
            return round(to_unit(middle, question.unit) if question.unit else middle, 1)
        case "choice":
            return next(iter(question.choices))
        case "choices":
            return frozenset((question.exclusive or next(iter(question.choices)),))
        case "yes-no":
            return True
        case "date":
            return DAY
        case "text":
            return "something"


def _measured(question: Question) -> bool:
    return question.measures is not None or question.sets in _WORKPLACE


def _feeds(question: Question) -> bool:
    """Whether the body estimate or the fit reads it."""
    return question.measures is not None or question.sets in _FACTS
