"""What differs between the calls of two trees, and which pieces only have a new name."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

from consult.call.basis import Basis
from consult.call.fitted import chosen_product
from consult.call.state import State, request_of
from consult.content.effect.result import CautionLevel, ChangeKind
from consult.fit.choose import choose
from consult.fit.settings import made_ready
from consult.tree.model import Advice, Caution, Question, Tree

_Item = TypeVar("_Item")


def renamed_questions(old: Tree, new: Tree) -> dict[str, str]:
    """Old name -> new name of the questions that only their name tells apart.

    Such a question is of the same kind, with the same choices, and asks the same words or, where
    no other does, measures or sets the same thing.
    """
    questions: dict[str, str] = {}
    marks: tuple[Callable[[Question], Hashable], ...] = (
        lambda question: question.ask,
        lambda question: question.measures,
        lambda question: question.sets,
    )
    for mark in marks:
        questions |= _paired(old.questions, new.questions, _looks(mark), questions)
    return questions


def renamed_cautions(old: Tree, new: Tree) -> dict[str, str]:
    """Old name -> new name of the cautions that say the same, as gravely, under another name."""
    were, are = ({caution.name: caution for caution in tree.cautions} for tree in (old, new))
    return _paired(were, are, lambda caution: (caution.level, caution.say, caution.contact), {})


def renamed_advice(old: Tree, new: Tree) -> dict[str, str]:
    """Old name -> new name of the advice that says the same under another name."""
    were, are = ({advice.name: advice for advice in tree.advice} for tree in (old, new))
    return _paired(were, are, lambda advice: (advice.topic, advice.say), {})


def _looks(mark: Callable[[Question], Hashable]) -> Callable[[Question], Hashable]:
    def looks(question: Question) -> Hashable:
        marked = mark(question)
        return (
            (marked, question.answer, tuple(question.choices), question.exclusive)
            if marked
            else None
        )

    return looks


def _paired(
    old: Mapping[str, _Item],
    new: Mapping[str, _Item],
    looks: Callable[[_Item], Hashable],
    taken: Mapping[str, str],
) -> dict[str, str]:
    """Those only in the old and only in the new that look alike, where just one of each does."""
    gone = [name for name in old if name not in new and name not in taken]
    came = [name for name in new if name not in old and name not in taken.values()]
    were, are = _by_looks(gone, old, looks), _by_looks(came, new, looks)
    return {
        names[0]: are[how][0]
        for how, names in were.items()
        if how is not None and len(names) == 1 and len(are.get(how, ())) == 1
    }


def _by_looks(
    names: Iterable[str], items: Mapping[str, _Item], looks: Callable[[_Item], Hashable]
) -> dict[Hashable, list[str]]:
    alike: dict[Hashable, list[str]] = {}
    for name in names:
        alike.setdefault(looks(items[name]), []).append(name)
    return alike


# -- what changes for one caller between two trees ------------------------------------------------

SETTING_NOTICED = 5.0
"""mm; less is below what anybody sets a chair to (common practice, no source)."""

_GRAVITY = {"stop": 0, "refer": 1, "note": 2}
_SET = ("seat_height", "seat_depth", "armrest_height", "footrest_height", "desk_raise")


@dataclass(frozen=True, slots=True)
class Names:
    """Old name -> new name of what is the same under another, and what each condition reads."""

    questions: Mapping[str, str]
    cautions: Mapping[str, str]
    advice: Mapping[str, str]
    cautions_read: Mapping[str, frozenset[str]]
    """New name of a caution -> what its condition reads, in either tree."""
    advice_reads: Mapping[str, frozenset[str]]

    @classmethod
    def of(cls, old: Tree, new: Tree) -> Names:
        """Of two trees."""
        cautions, advice = renamed_cautions(old, new), renamed_advice(old, new)
        return cls(
            renamed_questions(old, new),
            cautions,
            advice,
            _reads(old.cautions, new.cautions, cautions),
            _reads(old.advice, new.advice, advice),
        )


def is_milder(level: CautionLevel, than: CautionLevel) -> bool:
    """Whether a caution of this level is less serious."""
    return _GRAVITY[level] > _GRAVITY[than]


def _reads(
    old: Sequence[Caution | Advice], new: Sequence[Caution | Advice], names: Mapping[str, str]
) -> dict[str, frozenset[str]]:
    reads: dict[str, frozenset[str]] = {rule.name: rule.when.names for rule in new}
    for rule in old:
        name = names.get(rule.name, rule.name)
        reads[name] = rule.when.names | reads.get(name, frozenset())
    return reads


@dataclass(frozen=True, slots=True)
class Difference:
    """One change for one caller."""

    kind: ChangeKind
    what: str
    about: frozenset[str] = frozenset()
    """Names that the condition behind it reads: questions, ``fit.`` and ``body.`` quantities."""
    level: CautionLevel | None = None
    now: CautionLevel | None = None
    by: float | None = None


PartsChosen = tuple[Counter[str], Counter[str]]
"""Code of a part -> callers who get it, before and now."""


def call_differences(
    old: Basis,
    was: State,
    new: Basis,
    now: State,
    names: Names,
    chosen: PartsChosen | None = None,
    *,
    cautions_only: bool = False,
) -> Iterator[Difference]:
    """Every change for the caller; the parts they get are added to ``chosen``.

    Of a call that is stopped or gets stuck only in one of the two, the rest follows from that and
    is not told. What a difference is about goes by the new names.
    """
    every = _cautions(was, now, names)
    for difference in every if cautions_only else _all(old, was, new, now, names, chosen):
        about = frozenset(names.questions.get(name, name) for name in difference.about)
        yield replace(difference, about=about)


def _all(
    old: Basis, was: State, new: Basis, now: State, names: Names, chosen: PartsChosen | None
) -> Iterator[Difference]:
    yield from _cautions(was, now, names)
    if (was.stopped is None) != (now.stopped is None):
        if now.stopped is not None:
            yield Difference("stopped now", now.stopped.name, now.stopped.when.names)
        elif was.stopped is not None:
            yield Difference("stopped no more", was.stopped.name, was.stopped.when.names)
        return
    stuck = list(_stuck(was, now, names))
    yield from stuck
    yield from _questions(was, now, names)
    if was.stopped is None and not stuck:
        yield from _chairs(old, was, new, now, chosen)
        yield from _needs(was, now)
        yield from _advice(was, now, names)


def _cautions(was: State, now: State, names: Names) -> Iterator[Difference]:
    before = {
        names.cautions.get(raised.caution.name, raised.caution.name): raised.caution
        for raised in was.cautions
    }
    after = {raised.caution.name: raised.caution for raised in now.cautions}
    called = {name: old for old, name in names.cautions.items()}
    for name, caution in before.items():
        left = after.get(name)
        if left is None or is_milder(left.level, caution.level):
            lowered, read = left.level if left else None, names.cautions_read[name]
            was_called = called.get(name, name)
            yield Difference("caution lost", was_called, read, caution.level, lowered)
    for name, caution in after.items():
        had = before.get(name)
        if had is None or is_milder(had.level, caution.level):
            read = names.cautions_read[name]
            yield Difference("caution gained", name, read, caution.level)


def _questions(was: State, now: State, names: Names) -> Iterator[Difference]:
    before = [names.questions.get(step.question.name, step.question.name) for step in was.steps]
    after = [step.question.name for step in now.steps]
    called = {name: old for old, name in names.questions.items()}
    for name in before:
        if name not in after:
            was_called = called.get(name, name)
            yield Difference("question gone", was_called, _ways(was, was_called))
    for name in after:
        if name not in before:
            yield Difference("question new", name, _ways(now, name))


def _ways(state: State, name: str) -> frozenset[str]:
    """The question itself, and what decides whether it is skipped."""
    step = state.step(name)
    conditions = step.question.asked_if if step else ()
    return frozenset([name]).union(*(condition.names for condition in conditions))


def _stuck(was: State, now: State, names: Names) -> Iterator[Difference]:
    """Answers that cannot be taken, so that the call cannot get past them."""
    before = {names.questions.get(name, name) for name in _unclear(was)}
    after = _unclear(now)
    for name in after:
        if name not in before:
            yield Difference("stuck now", name, frozenset([name]))
    for name in sorted(before.difference(after)):
        yield Difference("stuck no more", name, frozenset([name]))


def _unclear(state: State) -> list[str]:
    return [step.question.name for step in state.steps if step.status == "unclear"]


def _chairs(
    old: Basis, was: State, new: Basis, now: State, chosen: PartsChosen | None
) -> Iterator[Difference]:
    before, after = targets(was), targets(now)
    about = frozenset(name for difference in _needs(was, now) for name in difference.about)
    if rests_on(old, was) != rests_on(new, now) or old.range != new.range:
        old_chair, new_chair = result_chair(old, was), result_chair(new, now)
        if old_chair is not None and new_chair is not None:
            for counted, chair in zip(chosen or (), (old_chair, new_chair), strict=False):
                counted.update(chair.codes.values())
            yield from _parts(old_chair, new_chair, about)
            # What the chair can be set to, where both have a part to set.
            before = {**before, **old_chair.settings}
            after = {**after, **new_chair.settings}
    for name in _SET:
        low, high = before.get(name), after.get(name)
        if low is None and high is None:
            continue
        if low is None or high is None:
            yield Difference("setting", f"{name}, {'not set' if low is None else 'set'} before")
        elif abs(high - low) > SETTING_NOTICED:
            yield Difference("setting", name, by=high - low)


def _parts(chair: ResultChair, other: ResultChair, about: frozenset[str]) -> Iterator[Difference]:
    if chair.codes == other.codes:
        return
    if not chair.codes or not other.codes:
        yield Difference("chair", "a chair, none before" if other.codes else "no chair any more")
        return
    yield Difference("chair", "another chair", about)
    for kind in dict.fromkeys((*chair.codes, *other.codes)):
        had, has = chair.codes.get(kind), other.codes.get(kind)
        if had != has:
            what = f"{kind.replace('_', ' ')}: {had or 'none'}, now {has or 'none'}"
            yield Difference("part", what, about)


def _needs(was: State, now: State) -> Iterator[Difference]:
    """By what is needed and how much: that is all the choice of chair hears of."""
    before = {f"{need.strength} have {need.feature}": need for need in was.needs}
    after = {f"{need.strength} have {need.feature}": need for need in now.needs}
    for what, need in before.items():
        if what not in after:
            yield Difference("need lost", what, need.when.names)
    for what, need in after.items():
        if what not in before:
            yield Difference("need gained", what, need.when.names)


def _advice(was: State, now: State, names: Names) -> Iterator[Difference]:
    before = {
        names.advice.get(given.advice.name, given.advice.name): given.advice for given in was.advice
    }
    after = [given.advice.name for given in now.advice]
    for name, advice in before.items():
        if name not in after:
            yield Difference("advice lost", advice.name, names.advice_reads[name])
    for name in after:
        if name not in before:
            yield Difference("advice gained", name, names.advice_reads[name])


# -- the results of one call that two trees can differ in -----------------------------------------


@dataclass(frozen=True, slots=True)
class ResultChair:
    """The chair that would be suggested, and how to set it."""

    codes: Mapping[str, str]
    """Kind of part -> code; empty where no chair may be offered."""
    settings: Mapping[str, float]
    """mm"""


def rests_on(basis: Basis, now: State) -> Hashable | None:
    """All that the choice of chair is made from; None where none is chosen.

    Choosing takes longer than all else, and where two calls agree in this it comes out the same.
    """
    if now.fit is None or basis.range is None:
        return None
    return (
        now.estimate.population,
        tuple(component.group for component in now.estimate.components),
        now.estimate.used,
        now.estimate.set_aside,
        now.workplace,
        tuple((need.feature, need.strength) for need in now.needs),
        tuple(step.answer.said for step in now.steps if step.answer) if basis.range.fitting else (),
    )


def result_chair(basis: Basis, now: State) -> ResultChair | None:
    """The chair to suggest, without why not another and what to ask next; None where none is."""
    if now.fit is None or basis.range is None:
        return None
    request = request_of(basis.range, now)
    if basis.range.fitting is not None:
        picked = chosen_product(request, now.fit, now.told(basis).figure, None).picked
        return ResultChair(
            {kind: part.code for kind, part in picked.parts.items()}, picked.settings
        )
    best = choose(request).best
    if best is None:
        return ResultChair({}, {})
    ready = made_ready(basis.range, now.fit, best.parts, request.needs)
    return ResultChair({kind: part.code for kind, part in ready.parts.items()}, ready.settings)


def targets(now: State) -> Mapping[str, float]:
    """What to set, mm, whatever chair it is."""
    return (
        {name: requirement.target for name, requirement in now.fit.requirements.items()}
        if now.fit
        else {}
    )
