"""What lies ahead in a call: the chair, the minutes, the topics, and why this question is next."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from consult.call.call import Answer
from consult.call.facts import Facts
from consult.call.route import read_answer, walk, worth_asking
from consult.call.state import State, request_of, with_chair
from consult.call.worth import seconds_of
from consult.fit.ranking import weigh
from consult.fit.worth import could_change
from consult.range.fitting import BODY, Fitting
from consult.range.parts import FEATURES
from consult.tree.constant import TRUE, TruthOutcomes, outcomes
from consult.tree.model import DECIDING, END, Question, Route, Tree

if TYPE_CHECKING:
    from collections.abc import Set
    from datetime import datetime

    from consult.call.basis import Basis
    from consult.fit.request import FitRequest
    from consult.tree.condition import Condition


@dataclass(frozen=True, slots=True, eq=False)
class WorkedOut:
    """A state with its chair and the questions ahead."""

    state: State
    """With its chair chosen."""
    coming: Coming
    topics: tuple[TopicLine, ...]
    why_next: str
    """Why the question at hand is asked next; '' where it is simply next in the tree."""


def work_out(basis: Basis, now: State) -> WorkedOut:
    """Choose the chair of a state, and work out what is still to ask and why."""
    chosen = with_chair(basis, now)
    return WorkedOut(chosen, coming(basis, now), topics_of(basis, now), why_next(basis, now))


# -- the length of a call: minutes so far, and minutes the remaining questions will take ----------

STILL_WORTH = 0.5
"""Of the questions of a pool that are worth their time now, beside the one asked next: the share
that still is when its turn comes, as every answer takes from what others may change. Assumed."""


@dataclass(frozen=True, slots=True)
class Pace:
    """Seconds of a call so far, and to go."""

    so_far: float
    to_go: float | None
    """None while it is being worked out."""

    @property
    def words(self) -> str:
        """As the adviser reads it: "4 min so far, about 6 to go"."""
        if self.to_go is None:
            return f"{_minutes(self.so_far)} so far"
        if not self.to_go:
            return f"{_minutes(self.so_far)} in all"
        return f"{_minutes(self.so_far)} so far, {_to_go(self.to_go)} to go"

    @property
    def short(self) -> str:
        """The same for a small window: "4 min, 6 to go"."""
        if not self.to_go:
            return self.words
        whole = round(self.so_far / 60)
        return f"{whole} min, {_to_go(self.to_go).removeprefix('about ')} to go"


def _to_go(seconds: float) -> str:
    return f"about {round(seconds / 60)}" if seconds >= 30 else "under 1 min"


def _minutes(seconds: float) -> str:
    return f"{round(seconds / 60)} min" if seconds >= 30 else "under 1 min"


@dataclass(frozen=True, slots=True)
class Coming:
    """What is expected to be asked yet."""

    questions: tuple[Question, ...]
    """The questions ahead, the current one first."""
    seconds: float
    """What they and those of their pools take."""


def coming(basis: Basis, now: State) -> Coming:
    """The questions expected from here to the end, and how long they take.

    A question that an answer still to come may spare is not counted: of simulated callers hardly
    any is asked those of ``my_chair``, which asks 4.7 minutes of them on average, 3.9 counted so
    and 18 with all of them. Takes as long as choosing a chair, because what an answer may change
    is worked out for it.
    """
    facts = now.told(basis)
    ahead = [
        question
        for question in now.to_ask
        if question is now.current or not _may_be_spared(question, facts)
    ]
    seconds = sum(map(seconds_of, ahead))
    known = {step.question.name for step in now.steps} | now.call.latest().keys()
    share = 1.0 if now.call.thorough else STILL_WORTH
    for pool in sorted({question.pool for question in now.to_ask if question.pool is not None}):
        left = [question for question in basis.tree.questions.values() if question.pool == pool]
        left = [
            question
            for question in left
            if question.name not in known and not question.spared(facts.lookup)
        ]
        seconds += share * sum(map(seconds_of, worth_asking(facts, left)))
    return Coming(tuple(ahead), seconds)


def _may_be_spared(question: Question, facts: Facts) -> bool:
    skip = question.skip_when
    return skip is not None and skip.evaluate(facts.lookup) is not False


# -- the topics of a call: which are open, what each could change, and how long it would take -----


@dataclass(frozen=True, slots=True)
class TopicLine:
    """A topic as the list of topics shows it."""

    name: str
    title: str
    changes: str
    status: Literal["open", "done", "closed"]
    """Done: nothing is left to ask of one that was open or told of."""
    questions: int
    """How many are left to ask, once it is open; all of a pool count."""
    seconds: float
    """How long they take."""


def topics_of(basis: Basis, now: State) -> tuple[TopicLine, ...]:
    """Every topic, in the order of the tree; none after a stop, which ends all of them."""
    if not basis.tree.topics or now.stopped is not None:
        return ()
    call = now.call
    # With everything open the way shows what is left of a closed topic, too.
    facts = Facts(basis, call.system, thorough=True)
    steps, _ = walk(basis.tree, call.latest(), facts, call.today, lambda *_: False)
    asked = {question.name for question in now.to_ask}
    topic_lines = []
    for topic in basis.tree.topics.values():
        mine = [step for step in steps if step.question.topic == topic.name]
        left = [step.question for step in mine if step.to_ask]
        gate = basis.tree.questions[topic.questions[0]].gate
        is_open = call.thorough or (gate is not None and gate.evaluate(facts.lookup) is True)
        if is_open and not any(name in asked for name in topic.questions):
            left = []
        status: Literal["open", "done", "closed"] = "open" if is_open else "closed"
        if not left and (is_open or mine):
            status = "done"
        seconds = sum(seconds_of(question) for question in left)
        topic_lines.append(
            TopicLine(topic.name, topic.title, topic.changes, status, len(left), seconds)
        )
    return tuple(topic_lines)


def opening_answer(basis: Basis, now: State, topic: str, at: datetime | None = None) -> Answer:
    """The adviser's answer that opens one topic more."""
    question = basis.tree.adviser_opens(topic)
    earlier = now.call.latest().get(question.name)
    understood = read_answer(question, earlier, now.call.today).understood
    before = understood.value if understood else None
    names = {*(before if isinstance(before, frozenset) else ()), topic} - {question.exclusive}
    chosen = ", ".join(choice for choice in question.choices if choice in names)
    return Answer(question.name, chosen, note=earlier.note if earlier else "", at=at)


# -- why the question asked now is next, in a few words: what its answer could change -------------

MOST_CHARACTERS = 80
"""Characters, so that it stands on one line."""
_PARTS = {
    "gas_lift": "the gas lift",
    "seat": "the seat",
    "back": "the back",
    "lumbar": "the lumbar support",
    "arms": "the armrests",
    "castors": "the castors",
    "rating": "what it must carry",
}


def why_next(basis: Basis, now: State) -> str:
    """What the answer to the question asked now could change; '' where no pool asks it.

    Such as "desk height: could change the gas lift and add a footrest".
    """
    asked = now.current
    if asked is None or asked.pool is None or basis.range is None or now.fit is None:
        return ""
    if basis.range.fitting is not None:
        return _one_line(asked, _of_product(basis.range.fitting, basis.tree, asked))
    request = request_of(basis.range, now)
    key = asked.measures or asked.sets or ""
    changed = could_change(request, key)
    needed = _called_for(basis.tree, asked)
    parts = [_PARTS[part] for part in changed if part != "footrest"]
    parts += [_PARTS[part] for part in needed if part not in changed]
    if not changed and parts and set(needed.values()) == {"must"}:
        return _one_line(asked, ["decides", *parts])
    if "footrest" in changed:
        rest = "leave out the footrest" if _has_footrest(request) else "add a footrest"
        if not parts:
            return _one_line(asked, ["could", rest])
        parts.append(rest)
    if parts:
        return _one_line(asked, ["could change", *parts])
    decides = asked.measures is not None or asked.sets in DECIDING
    return _one_line(asked, ["makes it surer that", "the chair fits"]) if decides else ""


def _of_product(fitting: Fitting, tree: Tree, asked: Question) -> list[str]:
    """What an answer could change of a product that a file declares: kinds of part, figures."""
    names = {asked.name, asked.sets, f"{BODY}{asked.measures}"}
    reading = [
        quantity for quantity in fitting.quantities if names.intersection(quantity.figure.names)
    ]
    kinds = {name.partition(".")[0] for quantity in reading for name in quantity.parts.names}
    wanted = {need.feature for need in tree.needs if asked.name in need.when.names}
    kinds |= {kind for kind, features in fitting.features.items() if wanted & features}
    parts = [f"the {kind.replace('_', ' ')}" for kind in fitting.kinds if kind in kinds]
    if parts:
        return ["could change", *parts]
    changing = any(asked.name in piece.when.names for piece in tree.adjusting)
    figure = f"the {fitting.thing} is set right"
    return ["makes it surer that", figure if changing else f"the {fitting.thing} fits"]


def _called_for(tree: Tree, asked: Question) -> dict[str, str]:
    """Part -> how much a feature of it may be called for, by this answer or one it leads to."""
    pool = [question for question in tree.questions.values() if question.pool == asked.pool]
    opened = [
        question for question in pool if any(asked.name in when.names for when in question.asked_if)
    ]
    names = {asked.name, *(question.name for question in opened)}
    changes: dict[str, str] = {}
    for need in tree.needs:
        if names & need.when.names:
            kinds = FEATURES.get(need.feature, ())
            part = kinds[0] if len(kinds) == 1 else "rating"
            changes[part] = "must" if changes.get(part) == "must" else need.strength
    return changes


def _has_footrest(request: FitRequest) -> bool:
    weighed = weigh(request)
    return bool(len(weighed.rows) and weighed.rest[weighed.set_of[weighed.ranking(1)[0][0]]])


def _one_line(asked: Question, words: list[str]) -> str:
    """As many of the parts as there is room for, the first of them first."""
    label, verb, *parts = asked.name.replace("_", " "), *words
    while len(f"{label}: {verb} {_joined(parts)}") > MOST_CHARACTERS and len(parts) > 1:
        parts.pop()
    over = len(f"{label}: {verb} {_joined(parts)}") - MOST_CHARACTERS
    if over > 0:
        label = f"{label[: -over - 1]}\N{HORIZONTAL ELLIPSIS}"
    return f"{label}: {verb} {_joined(parts)}"


def _joined(parts: list[str]) -> str:
    """ "the gas lift, the seat and add a footrest": a footrest has a verb of its own."""
    return parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} and {parts[-1]}"


# -- the measures a call may still need, for the measuring sheet ----------------------------------

_STATURE = "stature"
_OF_A_MOVING_DESK = ("desk_lowest", "desk_highest")


def to_measure(basis: Basis, now: State) -> tuple[Question, ...]:
    """The lengths a call has no figure for and may yet ask for, in the order of the tree.

    One answered with "not known" is still to be measured. Left out is what the answers rule out:
    the lowest setting of a desk that does not move. After a stop nothing is measured.
    """
    if now.stopped is not None:
        return ()
    may_come = _MayCome(basis, now)
    return tuple(
        question
        for question in basis.tree.questions.values()
        if question.answer == "length" and may_come.wanted(question)
    )


class _MayCome:
    """Which questions may come, as far as the answers of a call tell."""

    def __init__(self, basis: Basis, now: State) -> None:
        self._tree, self._facts = basis.tree, now.told(basis)
        # What is only noted as it is said, such as that no tape is there, holds of the call alone.
        asked = basis.tree.questions.items()
        noted = {name for name, question in asked if question.asked_as_told}
        self._settled = now.call.latest().keys() - noted
        """Questions that nothing more is heard to."""
        self._known = {n for n in basis.tree.questions if self._facts.value(n) is not None}
        measured = {self._tree.questions[name].measures for name in self._known}
        self._body_known = _STATURE in measured
        self._reached = self._reach()
        # What no way leads to any more will not be answered.
        self._settled |= basis.tree.questions.keys() - self._reached

    def wanted(self, question: Question) -> bool:
        """Whether it has no figure, and its conditions may let it be asked."""
        if question.name in self._known or question.name not in self._reached:
            return False
        # One height told for a desk means that it is fixed, until something else is said.
        kind, height = self._facts.choice("desk_kind"), self._facts.setting("desk_height")
        if question.sets in _OF_A_MOVING_DESK and kind is None and height is not None:
            return False
        skip, only = question.skip_when, question.ask_when
        if skip and self._outcomes(skip, question.name) == TRUE:
            return False
        return only is None or True in self._outcomes(only, question.name)

    def _reach(self) -> Set[str]:
        """Every question that a way leads to which the answers so far allow."""
        reached, next_ = set[str](), [self._tree.first]
        while next_:
            name = next_.pop()
            if name != END and name not in reached:
                reached.add(name)
                next_ += self._onward(self._tree.questions[name].routes)
        return reached

    def _onward(self, routes: tuple[Route, ...]) -> list[str]:
        goes = []
        for route in routes:
            may = TRUE if route.when is None else self._outcomes(route.when)
            if True in may:
                goes.append(route.go)
            if may == TRUE:
                break
        return goes

    def _outcomes(self, condition: Condition, own: str = "") -> TruthOutcomes:
        """What a condition can come to, whatever is still answered.

        What is worked out from the body says little before the stature is known, and is taken as
        it is from then on.
        """
        kept = {*self._settled, own}
        known = [
            name for name in condition.names if (self._body_known if "." in name else name in kept)
        ]
        return outcomes(condition.node, {name: self._facts.lookup(name) for name in known})
