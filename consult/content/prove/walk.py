"""Every call that can be held with a tree, as one formula.

This mirrors ``consult.call.route.walk`` and ``consult.call.state`` for a finished call: every
question on the way answered in turn, any stop lifted or none. What the fit and the body estimate
come to is left open, and afresh at every moment of the call: what is proven holds whatever they
are, but a caller found must be tried.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Set
from dataclasses import dataclass, field

import z3

from consult.call.expectation import TreePart
from consult.content.drawing.view import way_from
from consult.content.prove.symbols import (
    AnswerFormulas,
    Formula,
    FormulaReader,
    Logic,
    Quantity,
    Symbol,
    TruthFormula,
)
from consult.content.prove.trying import CAME_UP
from consult.tree.condition import CALL_STOPPED, SETTLED, Condition
from consult.tree.model import END, Caution, Question, Tree
from consult.tree.quantities import KEPT_UP, LOWEST_SEAT, unit_named

AskedIf = Mapping[str, Formula]


_LIMITS = (f"fit.{KEPT_UP}", f"fit.{LOWEST_SEAT}")


@dataclass(slots=True, eq=False)
class Walked:
    """The formulas of all calls; ``holds`` is what is true of every one of them."""

    tree: Tree
    has_range: bool
    logic: Logic = field(default_factory=lambda: Logic(z3.Context()))
    answers: AnswerFormulas = field(init=False)
    holds: list[Formula] = field(default_factory=list)
    passed: dict[str, Formula] = field(default_factory=dict)
    """Question -> the way leads past it before any stop, skipped or not."""
    tried: dict[tuple[str, int], Formula] = field(default_factory=dict)
    """Question and route -> it is looked at: no earlier route of the question was true."""
    true: dict[tuple[str, int], Formula] = field(default_factory=dict)
    """Question and route -> its condition is true there."""
    lost: dict[str, Formula] = field(default_factory=dict)
    """Question -> none of its routes is true."""
    skipped: dict[str, Formula] = field(default_factory=dict)
    """Question -> it is passed and not asked."""
    open: dict[str, Formula] = field(default_factory=dict)
    """Question of a topic -> the topic is open where a call comes to it before any stop."""
    lifted: dict[str, Formula] = field(default_factory=dict)
    """Stop caution -> it was lifted with a reason, so that it ends nothing."""
    comes_up: Mapping[TreePart, dict[str, Formula]] = field(
        default_factory=lambda: {part: {} for part in CAME_UP.values()}
    )
    """By name, that something is asked (before a stop or after), raised, given or called for."""
    stopped: Formula = None
    _reading: FormulaReader = field(init=False)
    _world: dict[tuple[str, str], Symbol] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.answers = AnswerFormulas(self.tree, self.logic)
        self._reading = FormulaReader(self.logic)
        self.holds += self.answers.holds
        for caution in self.tree.stops:
            self.lifted[caution.name] = self.logic.truth(f"lifted {caution.name}")
        before, stops = self._before_a_stop(order_from(self.tree, self.tree.first))
        after = self._after_a_stop(before, stops)
        for name in self.tree.questions:
            asked = (before.get(name, self.logic.false), after.get(name, self.logic.false))
            # A name of its own: "asked" alone stands for what is asked before any stop.
            self.comes_up["question"][name] = self._named(
                f"asked {name} at all", self.logic.some(asked)
            )
        self._outcomes(self.logic.some(stops))

    @property
    def none_lifted(self) -> Formula:
        """That no stop was lifted."""
        return self.logic.every(self.logic.no(lifted) for lifted in self.lifted.values())

    def at_the_end(self, condition: Condition) -> Formula:
        """That a condition is true of the finished call; it may name outcomes."""
        return self._reading.true(condition.node, self._end)

    def _before_a_stop(self, order: Mapping[str, Set[str]]) -> tuple[AskedIf, list[Formula]]:
        """What is asked before any stop, and for each question that the call is stopped there."""
        logic, asked, stops = self.logic, dict[str, Formula](), list[Formula]()
        arriving: dict[str, list[Formula]] = {name: [] for name in order}
        arriving[self.tree.first] = [logic.true]
        for name in order:
            question = self.tree.questions[name]
            passed = self._named(f"passed {name}", logic.some(arriving[name]))
            seen = {earlier: asked[earlier] for earlier in order[name]}
            asked[name] = self._asked(question, passed, seen, "")
            self.passed[name] = passed
            self.skipped[name] = logic.every((passed, logic.no(asked[name])))
            view = self._view(f"after {name}", {**seen, name: asked[name]})
            here = self.tree.stops_by_question[name]
            ends = (self._ends(c, self._reading.true(c.when.node, view)) for c in here)
            stop = self._named(f"stopped at {name}", logic.every((passed, logic.some(ends))))
            stops.append(stop)
            going = logic.every((passed, logic.no(stop)))
            for index, (go, tried, true) in enumerate(self._routes(question, going, view)):
                self.tried[name, index], self.true[name, index] = tried, true
                if go != END:
                    arriving[go].append(logic.every((tried, true)))
            routes = len(question.routes)
            untrue = (logic.no(self.true[name, index]) for index in range(routes))
            self.lost[name] = logic.every((going, *untrue))
        return asked, stops

    def _ends(self, caution: Caution, holds: Formula) -> Formula:
        return self.logic.every((holds, self.logic.no(self.lifted[caution.name])))

    def _after_a_stop(self, before: AskedIf, stops: list[Formula]) -> AskedIf:
        """What is asked after a stop; what was passed before is not passed again."""
        root, logic, asked = self.tree.after_stop, self.logic, dict[str, Formula]()
        if root is None or root == END:
            return asked
        order = order_from(self.tree, root)
        arriving: dict[str, list[Formula]] = {name: [] for name in order}
        arriving[root] = stops
        for name in order:
            question = self.tree.questions[name]
            new = logic.no(self.passed.get(name, logic.false))
            arrived = logic.every((logic.some(arriving[name]), new))
            passed = self._named(f"passed {name} after a stop", arrived)
            seen = dict(before)
            for earlier in order[name]:
                seen[earlier] = logic.some((before.get(earlier, logic.false), asked[earlier]))
            asked[name] = self._asked(question, passed, seen, " after a stop")
            own = logic.some((before.get(name, logic.false), asked[name]))
            view = self._view(f"after {name}, after a stop", {**seen, name: own})
            for go, tried, true in self._routes(question, passed, view):
                if go != END:
                    arriving[go].append(logic.every((tried, true)))
        return asked

    def _asked(self, question: Question, passed: Formula, seen: AskedIf, when: str) -> Formula:
        """That a question passed is asked; one that names itself sees its own answer."""
        logic, name = self.logic, question.name
        parts = [passed]
        if question.asked_if:
            view = self._view(f"at {name}{when}", {**seen, name: logic.true})
            if question.skip_when is not None:
                parts.append(logic.no(self._reading.true(question.skip_when.node, view)))
            if question.ask_when is not None:
                parts.append(self._reading.true(question.ask_when.node, view))
            if question.gate is not None:
                # A question of a topic that is not open may be told out of turn.
                told = logic.truth(f"{name} is told out of turn{when}")
                is_open = self._reading.true(question.gate.node, view)
                if not when:
                    self.open[name] = is_open
                parts.append(logic.some((is_open, told)))
        if question.pool is not None:
            # What a question is worth is left open: any part of a pool may be asked.
            parts.append(logic.truth(f"{name} is worth its time{when}"))
        asked = passed
        if len(parts) > 1:
            asked = self._named(f"asked {name}{when}", logic.every(parts))
        if not question.unknown_allowed:
            self.holds.append(z3.Implies(asked, self.answers.said[name].known))
        return asked

    def _routes(
        self, question: Question, going: Formula, view: Callable[[str], Symbol]
    ) -> list[tuple[str, Formula, Formula]]:
        routes, tried = [], going
        for index, route in enumerate(question.routes):
            true = self.logic.true
            if route.when is not None:
                true = self._reading.true(route.when.node, view)
            tried = self._named(f"{question.name} route {index} {len(self.holds)}", tried)
            routes.append((route.go, tried, true))
            tried = self.logic.every((tried, self.logic.no(true)))
        return routes

    def _outcomes(self, stopped_on_the_way: Formula) -> None:
        """Cautions, advice and needs, as ``consult.call.state`` tells them at the end."""
        logic, true, comes_up = self.logic, self._reading.true, self.comes_up
        for caution in self.tree.cautions:
            holds = true(caution.when.node, self._end)
            comes_up["caution"][caution.name] = self._named(f"caution {caution.name}", holds)
        held = (self._ends(c, comes_up["caution"][c.name]) for c in self.tree.stops)
        self.stopped = self._named("stopped", logic.some((stopped_on_the_way, *held)))
        going = logic.no(self.stopped)
        fits = logic.every((going, logic.true if self.tree.fits else logic.false))
        for advice in self.tree.advice:
            given = logic.every((going, true(advice.when.node, self._end)))
            comes_up["advice"][advice.name] = self._named(f"advice {advice.name}", given)
        for need in self.tree.needs:
            wanted = logic.every((fits, true(need.when.node, self._end)))
            comes_up["need"][need.name] = self._named(f"need {need.name}", wanted)

    def _end(self, name: str) -> Symbol:
        owner, _, rest = name.partition(".")
        if name == CALL_STOPPED or (owner in CAME_UP and rest):
            holds = self.stopped if name == CALL_STOPPED else self.comes_up[CAME_UP[owner]][rest]
            return TruthFormula(holds, self.logic.no(holds))
        return self._view("at the end", self.comes_up["question"])(name)

    def _view(self, moment: str, asked: AskedIf) -> Callable[[str], Symbol]:
        def view(name: str) -> Symbol:
            if "." not in name:
                return self.answers.seen(name, asked.get(name, self.logic.false))
            if (moment, name) not in self._world:
                is_limit = name in _LIMITS and self.tree.fits
                symbol = self._limit(moment, name, view) if is_limit else self._new(moment, name)
                self._world[moment, name] = symbol
            return self._world[moment, name]

        return view

    def _limit(self, moment: str, name: str, view: Callable[[str], Symbol]) -> Symbol:
        """Whether, and how low, the caller may sit: of the fit, this alone follows from answers."""
        logic, true = self.logic, self._reading.true
        forbidden = (true(c.when.node, view) for c in self.tree.cautions if c.keeps_seat_up)
        kept_up = self._named(f"forbidden {name} {moment}", logic.some(forbidden))
        told = self._known("lowest_seat", view)
        if name == f"fit.{KEPT_UP}":
            yes = self._named(f"{name} {moment}", logic.some((kept_up, told)))
            return TruthFormula(yes, logic.no(yes))
        today = logic.every((kept_up, self._known("chair_height", view)))
        value = z3.Real(f"{name} {moment}", logic.context)
        return Quantity(logic.some((told, today)), value)

    def _known(self, fact: str, view: Callable[[str], Symbol]) -> Formula:
        """That a question which sets a length was answered."""
        lengths = (
            view(question.name)
            for question in self.tree.questions.values()
            if question.sets == fact
        )
        return self.logic.some(length.known for length in lengths if isinstance(length, Quantity))

    def _new(self, moment: str, name: str) -> Symbol:
        """What is worked out of the answers: anything at all, but one thing at one moment."""
        logic = self.logic
        owner, _, rest = name.partition(".")
        if owner == "range":
            # Only of a folder without a range is a limit still a name.
            unknown = z3.Real(name, logic.context)
            yes_no = unit_named(name) == "yes-no"
            return self._reading.unknown if yes_no else Quantity(logic.false, unknown)
        known = logic.truth(f"{name} known {moment}")
        if owner == "body":
            value = z3.Real(f"{name} {moment}", logic.context)
            self.holds.append(value > 0)
            return Quantity(logic.true, value)
        if rest == SETTLED:
            known = logic.true if self.has_range else logic.false
        if not self.tree.fits:
            known = logic.false
        if unit_named(name) == "yes-no":
            yes = logic.truth(f"{name} yes {moment}")
            return TruthFormula(logic.every((known, yes)), logic.every((known, logic.no(yes))))
        return Quantity(known, z3.Real(f"{name} {moment}", logic.context))

    def _named(self, name: str, formula: Formula) -> Formula:
        """The formula under a short name, so that what builds on it stays small."""
        if z3.is_true(formula) or z3.is_false(formula) or z3.is_const(formula):
            return formula
        short = self.logic.truth(f"[{name}]")
        self.holds.append(short == formula)
        return short


def order_from(tree: Tree, root: str) -> Mapping[str, Set[str]]:
    """The questions that routes lead to from one of them, in the order of the way.

    To each, those that can have been passed when it comes. The tree has no circle: none is loaded
    that has.
    """
    before: dict[str, set[str]] = {name: set() for name in way_from(root, tree)}
    for name, passed in before.items():
        for route in tree.questions[name].routes:
            if route.go != END:
                before[route.go] |= passed | {name}
    return before
