"""What is certain of the ways through a tree: gaps, routes nobody takes, questions nobody skips."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from consult.call.expectation import TreePart
from consult.content.prove.trying import Caller, HeldCall
from consult.problems import Problem
from consult.tree.model import END
from consult.tree.nodes import YesNo

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from consult.content.prove.kept import Proofs
    from consult.content.prove.solving import Solving, Verdict
    from consult.content.prove.symbols import Formula
    from consult.content.prove.trying import CallTest, Trying
    from consult.content.prove.walk import Walked
    from consult.problems import Severity, Where
    from consult.tree.condition import Condition
    from consult.tree.model import Question, Route, Tree


# -- seeking --------------------------------------------------------------------------------------
# Looks for a caller of whom something is true: thought up by the solver, or drawn at random.

WitnessFound = Literal["found", "not found", "impossible", "not decided"]
_THOUGHT_UP = 3


@dataclass(frozen=True, slots=True, eq=False)
class Seeking:
    """Every caller found was tried on the real call."""

    trying: Trying
    solving: Solving | None
    """None where there is no solver: then nothing is ever impossible, only not found."""

    def find(
        self, made: Callable[[Walked], Formula], wanted: CallTest, names: Collection[str]
    ) -> tuple[WitnessFound, Caller | None]:
        """A caller for whom the formula ``made`` holds and ``wanted`` turns out true.

        One for whom no stop is lifted, where there is any. ``names`` are what the condition at
        stake reads, to say which answers matter.
        """
        formula = made(self.solving.walked) if self.solving else None
        verdict: Verdict = "not decided"
        # Without a condition only the solver can say which answers bring it about.
        caller = self.trying.met(wanted) if names else None
        thought_up: list[Caller] = []
        if caller is None and self.solving is not None:
            verdict = self.solving.can_be(formula)
            if verdict == "no":
                return "impossible", None
            for thought in self._thought_up(self.solving, formula):
                caller = self.trying.real(thought, wanted)
                if caller is not None:
                    break
                thought_up.append(thought)
        caller = caller or self.trying.anybody(wanted)
        if caller is None:
            # What is worked out from the body, and leads the way, the solver cannot know.
            near = (self.trying.near(likely, wanted) for likely in thought_up)
            caller = next((person for person in near if person is not None), None)
        if caller is not None:
            return "found", self.trying.telling(caller, names)
        return ("not found" if verdict == "yes" else "not decided"), None

    def _thought_up(self, solving: Solving, formula: Formula) -> Iterator[Caller]:
        given = solving.walked.none_lifted
        if solving.can_be(formula, given) != "yes":
            given = solving.walked.logic.true
        yield from solving.callers(formula, given, limit=_THOUGHT_UP)


# -- appearing ------------------------------------------------------------------------------------
# For everything a tree can ask, say or call for: a caller who gets it, or that there is none.

_SEVERITY: Mapping[TreePart, Severity] = {
    "question": "error",
    "caution": "error",
    "advice": "warning",
    "need": "warning",
}
"""A caution that nobody hears can hurt somebody; dead advice is only clutter."""


@dataclass(frozen=True, slots=True, eq=False)
class Appearing:
    """One thing that can appear in a call."""

    part: TreePart
    name: str
    where: Where
    when: Condition | None

    def formula(self, walked: Walked) -> Formula:
        """That it appears."""
        return walked.comes_up[self.part][self.name]


@dataclass(frozen=True, slots=True)
class Witness:
    """Whether anybody can be asked, told or given this, and who."""

    part: TreePart
    name: str
    where: Where
    found: WitnessFound
    caller: Caller | None = None
    """Replayed: with these answers it does appear. None unless found."""


def pieces_to_appear(tree: Tree) -> Iterator[Appearing]:
    """Everything that can appear, in the order of the tree; not a question that is switched off,
    as that for a fabric is where the range lists none."""
    for question in tree.questions.values():
        never = question.skip_when.node if question.skip_when is not None else None
        if isinstance(never, YesNo) and never.value:
            continue
        yield Appearing("question", question.name, question.where, None)
    for caution in tree.cautions:
        yield Appearing("caution", caution.name, caution.where, caution.when)
    for advice in tree.advice:
        yield Appearing("advice", advice.name, advice.where, advice.when)
    for need in tree.needs:
        yield Appearing("need", need.name, need.where, need.when)


def witness(item: Appearing, seeking: Seeking) -> Witness:
    """Somebody who gets it."""
    names = item.when.names if item.when else frozenset[str]()
    verdict, caller = seeking.find(
        item.formula, lambda held: held.came_up(item.part, item.name), names
    )
    return Witness(item.part, item.name, item.where, verdict, caller)


def can_appear(item: Appearing, seeking: Seeking) -> Witness:
    """Whether nobody can get it; who does is not looked for."""
    solving = seeking.solving
    nobody = solving is not None and solving.can_be(item.formula(solving.walked)) == "no"
    return Witness(item.part, item.name, item.where, "impossible" if nobody else "not found")


def appearing_problems(tree: Tree, witnesses: list[Witness], seeking: Seeking) -> Iterator[Problem]:
    """What nobody can get, and what everybody gets although a condition stands before it."""
    impossible = {shown.name for shown in witnesses if shown.found == "impossible"}
    lost = {
        shown.name for shown in witnesses if shown.part == "question" and shown.name in impossible
    }
    for shown, item in zip(witnesses, pieces_to_appear(tree), strict=True):
        if shown.found == "impossible" and not _behind(tree, item, lost):
            yield Problem(item.where, *_never(item), "never-reached", _SEVERITY[item.part])
        if item.when is not None and _everybody(item, seeking):
            message = (
                f"Everybody gets the {item.part} '{item.name}': '{item.when.text}' is always true."
            )
            fix = "Write when: yes if that is meant, or correct the condition."
            yield Problem(item.where, message, fix, "always-true", "warning")


def _behind(tree: Tree, item: Appearing, lost: set[str]) -> bool:
    """Whether it stands behind a question nobody reaches, which is told in its stead."""
    if item.part != "question":
        return False
    coming = [
        name
        for name, question in tree.questions.items()
        if any(route.go == item.name for route in question.routes if route.go != END)
    ]
    return bool(coming) and all(name in lost for name in coming)


def _never(item: Appearing) -> tuple[str, str]:
    """That nobody gets it, and what to do."""
    if item.when is None:
        message = f"No caller can ever be asked '{item.name}', whatever is answered before it."
        fix = "Look at the conditions of the routes that lead to it, and at its skip_when."
        return message, fix
    message = (
        f"No caller can ever get the {item.part} '{item.name}': '{item.when.text}' is never true."
    )
    fix = "Correct the condition: one of its answers rules out another, or is never asked for."
    if any(name.startswith("range.") for name in item.when.names):
        fix = "It reads your range: import that first (consult range import), or correct it."
    return message, fix


def _everybody(item: Appearing, seeking: Seeking) -> bool:
    solving = seeking.solving
    if solving is None or item.when is None or isinstance(item.when.node, YesNo):
        return False
    logic, walked = solving.walked.logic, solving.walked
    not_given = [logic.no(item.formula(walked))]
    if item.part != "caution":
        not_given.append(logic.no(walked.stopped))
    return solving.can_be(*not_given) == "no" and solving.can_be(logic.no(walked.stopped)) == "yes"


# -- ways -----------------------------------------------------------------------------------------
# What is certain of the ways through a tree: gaps, routes nobody takes, questions nobody skips.


def way_problems(solving: Solving, seeking: Seeking) -> Iterator[Problem]:
    """Everything about each question that some call comes to."""
    walked = solving.walked
    yield from _topics(solving)
    for name, passed in walked.passed.items():
        question = walked.tree.questions[name]
        if solving.can_be(passed) != "yes":
            continue
        if question.skip_when is not None and solving.can_be(walked.skipped[name]) == "no":
            message = (
                f"No caller ever skips '{name}': '{question.skip_when.text}' is never true there."
            )
            fix = "Delete or correct the skip_when."
            yield Problem(question.where, message, fix, "always-false", "warning")
        # Where everybody is stopped, no route is looked at, and the stop is what there is to see.
        if solving.can_be(walked.tried[name, 0]) == "yes":
            yield from _routes(question, solving)
            yield from _gap(question, seeking)


def _topics(solving: Solving) -> Iterator[Problem]:
    """Topics that no caller's call can open."""
    walked = solving.walked
    for topic in walked.tree.topics.values():
        opened = [
            solving.can_be(walked.passed[name], walked.open[name])
            for name in topic.questions
            if name in walked.open
        ]
        if opened and all(answer == "no" for answer in opened):
            message = f"The topic '{topic.name}' never opens, whatever is answered."
            fix = "Look at its open_when, and at the questions with sets: topics that name it."
            yield Problem(topic.where, message, fix, "never-opened", "warning")


def _routes(question: Question, solving: Solving) -> Iterator[Problem]:
    walked, name = solving.walked, question.name
    here = walked.tried[name, 0]
    for index, route in enumerate(question.routes):
        tried, true = walked.tried[name, index], walked.true[name, index]
        if route.when is None:
            continue
        if solving.can_be(tried) == "no":
            message = (
                f"This route of '{name}' is never used, because the routes above it cover every "
                "caller."
            )
            yield _never_wins(route, message)
        elif solving.can_be(tried, true) == "no":
            elsewhere = solving.can_be(here, true) == "yes"
            past = " and past the routes above" if elsewhere else ""
            message = (
                f"This route of '{name}' never wins: '{route.when.text}' is true for no caller "
            )
            yield _never_wins(route, f"{message}who comes here{past}.")
        elif (
            index + 1 < len(question.routes) and solving.can_be(here, walked.logic.no(true)) == "no"
        ):
            message = f"'{route.when.text}' is true for every caller who comes here, so the "
            message += f"routes of '{name}' below this one never win."
            fix = f"Use a plain next: {route.go}, or correct the condition."
            yield Problem(route.where, message, fix, "always-true", "warning")
            return


def _never_wins(route: Route, message: str) -> Problem:
    fix = "Correct the condition, or delete the route."
    return Problem(route.where, message, fix, "never-wins", "warning")


def _gap(question: Question, seeking: Seeking) -> Iterator[Problem]:
    """Callers of whom no route is true; only a draft that lacks an otherwise can have them."""
    conditions = [route.when for route in question.routes if route.when is not None]
    if len(conditions) < len(question.routes):
        return

    def falls_off(held: HeldCall) -> bool:
        # The way ends there, so what is known at the end is what was known there.
        ends = held.now.stopped is None and held.came_up("question", question.name)
        return ends and not any(held.true(condition) for condition in conditions)

    names = frozenset[str]().union(*(condition.names for condition in conditions))
    verdict, caller = seeking.find(lambda walked: walked.lost[question.name], falls_off, names)
    if verdict == "impossible":
        return
    message = f"For some caller no route of '{question.name}' may be true."
    if caller is not None:
        message = f"No route of '{question.name}' is true for a caller who says: {caller.says}."
    yield Problem(question.where, message, "Add - otherwise: as the last line.", "gap")


# -- problems of several trees and of the quick check, told once each -----------------------------

_ALIKE = {
    "never-reached": "never",
    "never-wins": "never",
    "always-false": "never",
    "promise-idle": "never",
    "always-true": "always",
}
"""Rules that say the same of one piece; whatever says "no caller" has to hold in every tree."""


def dead_files(proofs: Iterable[Proofs]) -> set[str]:
    """Files of which something is told that another tree with the same sub-tree may take back."""
    problems = (problem for proof in proofs for problem in proof.problems)
    return {problem.where.file for problem in problems if problem.rule in _ALIKE}


def of_all_trees(proofs: Sequence[Proofs]) -> list[Problem]:
    """The problems of several trees: what a sub-tree says for nobody counts where no tree needs it.

    A piece of a sub-tree that one main tree never comes to is not dead while another uses it.
    """
    trees: dict[Problem, None] = {}
    for proof in proofs:
        for problem in proof.problems:
            sharing = [other for other in proofs if problem.where.file in other.files]
            if problem.rule not in _ALIKE or all(_told(problem, other) for other in sharing):
                trees[problem] = None
    return list(trees)


def only_proven(
    quick: Iterable[Problem], proven: Iterable[Problem], trees: Iterable[Tree]
) -> list[Problem]:
    """Of what was proven, that which the quick check did not say of the same piece already."""
    starts: dict[str, set[int]] = defaultdict(set)
    ways: dict[str, set[int]] = defaultdict(set)
    for tree in trees:
        for where in (item.where for item in pieces_to_appear(tree)):
            starts[where.file].add(where.line)
        for question in tree.questions.values():
            for route in question.routes:
                ways[route.where.file].add(route.where.line)
    begin = {file: sorted(lines) for file, lines in starts.items()}
    end = {file: sorted(lines) for file, lines in ways.items()}

    def piece(where: Where) -> tuple[str, int, int]:
        # A block goes on to the next one's first line, a route up to the line that says where to.
        file = where.file
        after, before = begin.get(file, []), end.get(file, [])
        return file, bisect_right(after, where.line), bisect_left(before, where.line)

    known = {(piece(problem.where), _ALIKE.get(problem.rule, problem.rule)) for problem in quick}
    return [
        problem
        for problem in proven
        if (piece(problem.where), _ALIKE.get(problem.rule, problem.rule)) not in known
    ]


def _told(problem: Problem, proofs: Proofs) -> bool:
    return any(
        (proven.where, proven.rule) == (problem.where, problem.rule) for proven in proofs.problems
    )
