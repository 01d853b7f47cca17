"""Run the same callers and demo calls through two trees, and compare the results."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import partial

from consult.call.basis import Basis
from consult.call.call import Call
from consult.call.expectation import disappointments
from consult.call.route import Step
from consult.call.state import State, state_so_far, with_chair
from consult.call.transcript import Transcript
from consult.call.wording import value_words
from consult.content.callers.simulation import ForEach, Simulated, led_state
from consult.content.effect.differences import (
    Difference,
    Names,
    PartsChosen,
    call_differences,
    is_milder,
)
from consult.content.effect.result import (
    CHANGE_KINDS,
    ChangeKind,
    Effect,
    ImpactRow,
    Lengths,
    Level,
    Lost,
    Sample,
)
from consult.content.wording_of_conditions import in_words

_LEVELS: tuple[Level, ...] = ("stop", "refer", "note")


@dataclass(slots=True)
class _Found:
    """One difference, gathered over everybody."""

    callers: list[tuple[int, int, Sample]] = field(default_factory=list)
    """How many differences the caller has, the number, and what shows it."""
    demos: list[tuple[str, Sample]] = field(default_factory=list)
    by: list[float] = field(default_factory=list)
    stopped: int = 0
    instead: frozenset[str] | None = None
    """Of a lost caution: those that everybody who loses it newly hears, none of them milder."""

    def sample(self) -> Sample:
        """The clearest sample: the first caller with the fewest other changes."""
        return min(self.callers)[2] if self.callers else self.demos[0][1]


_Key = tuple["ChangeKind", str, "Level | None", "Level | None"]


@dataclass(frozen=True, slots=True)
class _Compared:
    """One caller led through both trees."""

    number: int
    found: tuple[tuple[Difference, Sample], ...]
    asked: tuple[int, int]
    """Questions, before and now."""
    stopped: tuple[bool, bool]
    ended: bool
    """Another stop than before ends the call, so that what comes later is not asked."""
    met: tuple[str, ...]
    """Cautions raised now."""
    chosen: PartsChosen


@dataclass(slots=True)
class _Tally:
    """What is counted while the callers pass."""

    found: dict[_Key, _Found] = field(default_factory=dict)
    changed: int = 0
    asked: list[tuple[int, int]] = field(default_factory=list)
    stopped: list[tuple[bool, bool]] = field(default_factory=list)
    met: set[str] = field(default_factory=set)
    chosen: PartsChosen = field(default_factory=lambda: (Counter(), Counter()))

    def count(self, one: _Compared) -> None:
        """One caller more."""
        self.changed += bool(one.found)
        self.asked.append(one.asked)
        self.stopped.append(one.stopped)
        self.met.update(one.met)
        for counted, more in zip(self.chosen, one.chosen, strict=True):
            counted.update(more)
        beside = [difference for difference, _ in one.found]
        for difference, sample in one.found:
            gathered = self.gathered(difference, beside)
            gathered.callers.append((len(beside), one.number, sample))
            gathered.stopped += one.ended

    def gathered(self, one: Difference, beside: Sequence[Difference]) -> _Found:
        key = (one.kind, one.what, one.level, one.now)
        found = self.found.setdefault(key, _Found())
        if one.kind == "caution lost":
            gained = _as_grave(one, beside)
            found.instead = gained if found.instead is None else found.instead & gained
        if one.by is not None:
            found.by.append(one.by)
        return found


def effect(
    old: Basis,
    new: Basis,
    callers: Sequence[Simulated],
    demos: Sequence[Transcript],
    progress: Callable[[int], None] | None = None,
    *,
    thorough: bool = False,
    cautions_only: bool = False,
    each: ForEach = map,
) -> Effect:
    """What changes for these callers in the new tree. Same inputs, same result.

    Simulated callers are led through both trees anew, as the way may differ, in full where it is
    to be ``thorough``; demo calls are run by their answers, those of another tree left out.
    ``progress`` hears how many are done. ``cautions_only``: nothing else is compared, which takes a
    third of the time. ``each`` goes through the callers, and may do several at once.
    """
    names = Names.of(old.tree, new.tree)
    called_before = {name: was for was, name in names.questions.items()}
    had = {
        names.questions.get(name, name): frozenset(one.choices)
        for name, one in old.tree.questions.items()
    }
    lead = partial(led_state, thorough=thorough)

    def compared(one: Simulated) -> _Compared:
        was = lead(old, one.source, one.number)
        now = lead(new, replace(one.source, known_as=called_before, had=had), one.number)
        return _compared(one.number, old, was, new, now, names, cautions_only=cautions_only)

    tally = _Tally()
    for done, one in enumerate(each(compared, callers), 1):
        tally.count(one)
        if progress is not None:
            progress(done)
    titles = []
    for demo in demos:
        if demo.tree == old.tree.name or demo.tree == new.tree.name:
            titles.append(demo.title)
            _run(tally, demo, old, new, names, cautions_only=cautions_only)
    rows = _rows(tally, len(callers))
    return Effect(
        tree=new.tree.name,
        old_version=old.tree.version,
        new_version=new.tree.version,
        callers=len(callers),
        seed=callers[0].source.seed if callers else None,
        demos=tuple(titles),
        rows=rows,
        lost_cautions=_lost(tally, old, new, names, len(callers)),
        changed=tally.changed,
        lengths=_lengths(tally.asked),
        stopped=(sum(was for was, _ in tally.stopped), sum(now for _, now in tally.stopped)),
        renamed=names.questions,
        unmet=tuple(one.name for one in new.tree.cautions if one.name not in tally.met),
        never=_never(tally.chosen, new) if old.range != new.range else (),
    )


def _compared(
    number: int,
    old: Basis,
    was: State,
    new: Basis,
    now: State,
    names: Names,
    *,
    cautions_only: bool,
) -> _Compared:
    chosen: PartsChosen = (Counter(), Counter())
    found = [
        (
            one,
            Sample(
                f"simulated caller {number}", number, answers_shown(one, was, now, names.questions)
            ),
        )
        for one in call_differences(old, was, new, now, names, chosen, cautions_only=cautions_only)
    ]
    ended = now.stopped is not None and (
        was.stopped is None
        or names.cautions.get(was.stopped.name, was.stopped.name) != now.stopped.name
    )
    return _Compared(
        number,
        tuple(found),
        (len(was.steps), len(now.steps)),
        (was.stopped is not None, now.stopped is not None),
        ended,
        tuple(raised.caution.name for raised in now.cautions),
        chosen,
    )


def _run(
    tally: _Tally, demo: Transcript, old: Basis, new: Basis, names: Names, *, cautions_only: bool
) -> None:
    was = state_so_far(old, demo.call)
    now = state_so_far(new, _renamed(demo.call, names))
    if not cautions_only:
        was, now = with_chair(old, was), with_chair(new, now)
    tally.met |= {raised.caution.name for raised in now.cautions}
    found = list(call_differences(old, was, new, now, names, cautions_only=cautions_only))
    before = {problem.message for problem in disappointments(demo, was)}
    found += [
        Difference("not as expected", problem.message)
        for problem in disappointments(_told(demo, names), now)
        if problem.message not in before and not cautions_only
    ]
    for one in found:
        shown = answers_shown(one, was, now, names.questions)
        tally.gathered(one, found).demos.append((demo.title, Sample(demo.title, None, shown)))


def _as_grave(lost: Difference, beside: Sequence[Difference]) -> frozenset[str]:
    """The cautions that the same caller newly hears and that are no milder."""
    return frozenset(
        one.what
        for one in beside
        if one.kind == "caution gained"
        and one.level is not None
        and lost.level is not None
        and not is_milder(one.level, lost.level)
    )


def _renamed(call: Call, names: Names) -> Call:
    answers = tuple(
        replace(one, question=names.questions.get(one.question, one.question))
        for one in call.answers
    )
    handled = tuple(
        replace(one, caution=names.cautions.get(one.caution, one.caution)) for one in call.handled
    )
    return replace(call, answers=answers, handled=handled)


def _told(demo: Transcript, names: Names) -> Transcript:
    """The demo call with everything in it by its new name."""
    called = {
        "asked": names.questions,
        "not_asked": names.questions,
        "cautions": names.cautions,
    }
    expect = {
        what: [called[what].get(str(one), one) for one in wanted]
        if what in called and isinstance(wanted, list)
        else wanted
        for what, wanted in demo.expect.items()
    }
    places = {names.questions.get(name, name): where for name, where in demo.answers_at.items()}
    return replace(demo, expect=expect, answers_at=places)


def _never(chosen: PartsChosen, new: Basis) -> tuple[str, ...]:
    """Parts on sale that somebody got, and nobody gets any more."""
    before, now = chosen
    if new.range is None:
        return ()
    on_sale = {part.code for kind in new.range.parts for part in new.range.on_sale(kind)}
    return tuple(code for code in sorted(before) if code in on_sale and not now[code])


def _rows(tally: _Tally, of: int) -> tuple[ImpactRow, ...]:
    rows = [
        ImpactRow(
            kind=kind,
            what=what,
            callers=len(found.callers),
            of=of,
            demos=tuple(title for title, _ in found.demos),
            sample=found.sample(),
            level=level,
            by=(min(found.by), max(found.by)) if found.by else None,
        )
        for (kind, what, level, _), found in tally.found.items()
    ]
    return tuple(
        sorted(
            rows,
            key=lambda row: (
                CHANGE_KINDS.index(row.kind),
                _LEVELS.index(row.level) if row.level else 0,
                -row.callers,
                row.what,
            ),
        )
    )


def _lost(tally: _Tally, old: Basis, new: Basis, names: Names, of: int) -> tuple[Lost, ...]:
    """Cautions that somebody loses, and those gone or made milder though nobody met them."""
    were = {one.name: one for one in old.tree.cautions}
    are = {one.name: one for one in new.tree.cautions}
    lost = [
        Lost(
            caution=what,
            level=level,
            callers=len(found.callers),
            of=of,
            demos=tuple(title for title, _ in found.demos),
            sample=found.sample(),
            now=lowered,
            stopped=found.stopped,
            instead=min(found.instead or (), default=""),
        )
        for (kind, what, level, lowered), found in tally.found.items()
        if kind == "caution lost" and level is not None
    ]
    told = {one.caution for one in lost}
    for name, was in were.items():
        now = are.get(names.cautions.get(name, name))
        if name not in told and (now is None or is_milder(now.level, was.level)):
            lowered = now.level if now else None
            lost.append(Lost(name, was.level, 0, of, (), None, now=lowered))
    worded = []
    for one in lost:
        now = are.get(names.cautions.get(one.caution, one.caution))
        worded.append(
            replace(
                one,
                gone=now is None,
                when=in_words(were[one.caution].when, old.tree) if one.caution in were else "",
                now_when=in_words(now.when, new.tree) if now else "",
            )
        )
    return tuple(
        sorted(worded, key=lambda one: (_LEVELS.index(one.level), -one.callers, one.caution))
    )


def _lengths(asked: Iterable[tuple[int, int]]) -> Lengths:
    pairs = list(asked)
    if not pairs:
        return Lengths(0.0, 0.0, 0, 0)
    before, after = [was for was, _ in pairs], [now for _, now in pairs]
    return Lengths(sum(before) / len(pairs), sum(after) / len(pairs), max(before), max(after))


# -- the answers of a call that bear on a change, in plain words ----------------------------------

_MOST = 6
"""Answers in a sample; more are not read."""


def answers_shown(
    difference: Difference, was: State, now: State, questions: Mapping[str, str]
) -> tuple[str, ...]:
    """What the caller said to the questions behind a change; ``questions`` have other names now.

    Where none is named, as of a chair that rests on the whole body, what was measured is told.
    """
    if difference.kind == "not as expected":
        return ()
    steps = _steps(was, now, questions)
    read = [steps[name] for name in steps if name in difference.about]
    if any("." in name for name in difference.about) or not read:
        read += [step for step in steps.values() if _is_measured(step) and step not in read]
    return tuple(_words(step, now) for step in read[:_MOST])


def _steps(was: State, now: State, questions: Mapping[str, str]) -> dict[str, Step]:
    """What was answered in either tree, in the order of the new one and by its names."""
    found: dict[str, Step] = {}
    for step in (*now.steps, *was.steps):
        if step.status != "open":
            name = step.question.name
            found.setdefault(questions.get(name, name), step)
    return found


def _is_measured(step: Step) -> bool:
    question = step.question
    return step.status == "answered" and (
        question.measures is not None or question.answer in ("length", "mass")
    )


def _words(step: Step, now: State) -> str:
    name = step.question.name.replace("_", " ")
    heard = step.understood
    if heard is None:
        said = f"“{step.answer.said if step.answer else ''}”, which could not be stored"
    elif heard.value is None:
        said = "not known"
    else:
        said = value_words(step.question, heard.value, now.call.system)
    return f"{name}: {said}"
