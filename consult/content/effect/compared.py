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
    CautionLevel,
    ChangeKind,
    Effect,
    ImpactRow,
    Lengths,
    Lost,
    Sample,
)
from consult.content.wording_of_conditions import in_words

_LEVELS: tuple[CautionLevel, ...] = ("stop", "refer", "note")


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


_Key = tuple["ChangeKind", str, "CautionLevel | None", "CautionLevel | None"]


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

    def count(self, compared: _Compared) -> None:
        """One caller more."""
        self.changed += bool(compared.found)
        self.asked.append(compared.asked)
        self.stopped.append(compared.stopped)
        self.met.update(compared.met)
        for counted, more in zip(self.chosen, compared.chosen, strict=True):
            counted.update(more)
        beside = [difference for difference, _ in compared.found]
        for difference, sample in compared.found:
            gathered = self.gathered(difference, beside)
            gathered.callers.append((len(beside), compared.number, sample))
            gathered.stopped += compared.ended

    def gathered(self, difference: Difference, beside: Sequence[Difference]) -> _Found:
        key = (difference.kind, difference.what, difference.level, difference.now)
        group = self.found.setdefault(key, _Found())
        if difference.kind == "caution lost":
            gained = _as_grave(difference, beside)
            group.instead = gained if group.instead is None else group.instead & gained
        if difference.by is not None:
            group.by.append(difference.by)
        return group


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
        names.questions.get(name, name): frozenset(question.choices)
        for name, question in old.tree.questions.items()
    }
    lead = partial(led_state, thorough=thorough)

    def compared(caller: Simulated) -> _Compared:
        number, chosen = caller.number, (Counter[str](), Counter[str]())
        was = lead(old, caller.source, number)
        now = lead(new, replace(caller.source, known_as=called_before, had=had), number)
        differ = call_differences(old, was, new, now, names, chosen, cautions_only=cautions_only)
        return _Compared(
            number,
            tuple(
                (
                    difference,
                    Sample(
                        f"simulated caller {number}",
                        number,
                        answers_shown(difference, was, now, names.questions),
                    ),
                )
                for difference in differ
            ),
            (len(was.steps), len(now.steps)),
            (was.stopped is not None, now.stopped is not None),
            now.stopped is not None
            and (
                was.stopped is None
                or names.cautions.get(was.stopped.name, was.stopped.name) != now.stopped.name
            ),
            tuple(raised.caution.name for raised in now.cautions),
            chosen,
        )

    tally = _Tally()
    for done, comparison in enumerate(each(compared, callers), 1):
        tally.count(comparison)
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
        unmet=tuple(caution.name for caution in new.tree.cautions if caution.name not in tally.met),
        never=_never(tally.chosen, new) if old.range != new.range else (),
    )


def _run(
    tally: _Tally, demo: Transcript, old: Basis, new: Basis, names: Names, *, cautions_only: bool
) -> None:
    was = state_so_far(old, demo.call)
    now = state_so_far(new, _renamed(demo.call, names))
    if not cautions_only:
        was, now = with_chair(old, was), with_chair(new, now)
    tally.met |= {raised.caution.name for raised in now.cautions}
    differences = list(call_differences(old, was, new, now, names, cautions_only=cautions_only))
    before = {problem.message for problem in disappointments(demo, was)}
    differences += [
        Difference("not as expected", problem.message)
        for problem in disappointments(_told(demo, names), now)
        if problem.message not in before and not cautions_only
    ]
    for difference in differences:
        shown = answers_shown(difference, was, now, names.questions)
        tally.gathered(difference, differences).demos.append(
            (demo.title, Sample(demo.title, None, shown))
        )


def _as_grave(lost: Difference, beside: Sequence[Difference]) -> frozenset[str]:
    """The cautions that the same caller newly hears and that are no milder."""
    return frozenset(
        difference.what
        for difference in beside
        if difference.kind == "caution gained"
        and difference.level is not None
        and lost.level is not None
        and not is_milder(difference.level, lost.level)
    )


def _renamed(call: Call, names: Names) -> Call:
    answers = tuple(
        replace(answer, question=names.questions.get(answer.question, answer.question))
        for answer in call.answers
    )
    handled = tuple(
        replace(entry, caution=names.cautions.get(entry.caution, entry.caution))
        for entry in call.handled
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
        what: [called[what].get(str(name), name) for name in wanted]
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
            callers=len(group.callers),
            of=of,
            demos=tuple(title for title, _ in group.demos),
            sample=group.sample(),
            level=level,
            by=(min(group.by), max(group.by)) if group.by else None,
        )
        for (kind, what, level, _), group in tally.found.items()
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
    were = {caution.name: caution for caution in old.tree.cautions}
    are = {caution.name: caution for caution in new.tree.cautions}
    lost = [
        Lost(
            caution=what,
            level=level,
            callers=len(group.callers),
            of=of,
            demos=tuple(title for title, _ in group.demos),
            sample=group.sample(),
            now=lowered,
            stopped=group.stopped,
            instead=min(group.instead or (), default=""),
        )
        for (kind, what, level, lowered), group in tally.found.items()
        if kind == "caution lost" and level is not None
    ]
    lost_names = {loss.caution for loss in lost}
    for name, was in were.items():
        now = are.get(names.cautions.get(name, name))
        if name not in lost_names and (now is None or is_milder(now.level, was.level)):
            lowered = now.level if now else None
            lost.append(Lost(name, was.level, 0, of, (), None, now=lowered))
    worded = []
    for loss in lost:
        now = are.get(names.cautions.get(loss.caution, loss.caution))
        worded.append(
            replace(
                loss,
                gone=now is None,
                when=in_words(were[loss.caution].when, old.tree) if loss.caution in were else "",
                now_when=in_words(now.when, new.tree) if now else "",
            )
        )
    return tuple(
        sorted(worded, key=lambda lost: (_LEVELS.index(lost.level), -lost.callers, lost.caution))
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
    steps: dict[str, Step] = {}
    for step in (*now.steps, *was.steps):
        if step.status != "open":
            name = step.question.name
            steps.setdefault(questions.get(name, name), step)
    return steps


def _is_measured(step: Step) -> bool:
    question = step.question
    return step.status == "answered" and (
        question.measures is not None or question.answer in ("length", "mass")
    )


def _words(step: Step, now: State) -> str:
    name = step.question.name.replace("_", " ")
    heard = step.understood
    if heard is None:
        answer = f"“{step.answer.said if step.answer else ''}”, which could not be stored"
    elif heard.value is None:
        answer = "not known"
    else:
        answer = value_words(step.question, heard.value, now.call.system)
    return f"{name}: {answer}"
