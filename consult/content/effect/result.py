"""The impact of an edit as values, and in words."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass
from typing import Literal, get_args

CautionLevel = Literal["stop", "refer", "note"]

ChangeKind = Literal[
    "caution lost",
    "caution gained",
    "stopped now",
    "stopped no more",
    "stuck now",
    "stuck no more",
    "chair",
    "part",
    "setting",
    "need lost",
    "need gained",
    "advice lost",
    "advice gained",
    "question gone",
    "question new",
    "not as expected",
]
"""What can change for a caller, the most serious first."""

CHANGE_KINDS: tuple[ChangeKind, ...] = get_args(ChangeKind)


@dataclass(frozen=True, slots=True)
class Sample:
    """One call that shows a change."""

    who: str
    """ "simulated caller 17", or a demo call by its title."""
    number: int | None
    """Of the simulated caller; None for a demo call."""
    answers: tuple[str, ...]
    """The answers that bear on it, in plain words: "pain sites: Lower back"."""


@dataclass(frozen=True, slots=True)
class ImpactRow:
    """One change for some callers."""

    kind: ChangeKind
    what: str
    """Name of the caution, question, advice, setting; "seat: SEAT-M, now SEAT-L" of a part."""
    callers: int
    """Number of simulated callers it changes for."""
    of: int
    demos: tuple[str, ...]
    """Titles of the demo calls it changes for."""
    sample: Sample
    level: CautionLevel | None = None
    """Of a caution."""
    by: tuple[float, float] | None = None
    """Of a setting that both have: the least and the most it moves, mm; upwards is positive."""

    @property
    def share(self) -> float:
        """The part of the simulated callers, 0 to 1."""
        return self.callers / self.of if self.of else 0.0


@dataclass(frozen=True, slots=True)
class Lost:
    """A caution that some callers would no longer hear."""

    caution: str
    level: CautionLevel
    """As it was."""
    callers: int
    """Simulated callers who lose it; 0 where only demo calls do, or where nobody met it."""
    of: int
    demos: tuple[str, ...]
    sample: Sample | None
    """None where it is gone or milder in the tree, though nobody who was led through met it."""
    now: CautionLevel | None = None
    """The level it has been lowered to for them; None: it is not said at all."""
    stopped: int = 0
    """Of the callers, those whom a stop now ends the call for before."""
    gone: bool = False
    """It is no longer in the tree."""
    when: str = ""
    """Its condition as it was, in words that follow "when"."""
    now_when: str = ""
    """Its condition as it is now; '' where it is gone."""
    instead: str = ""
    """A caution, no milder, that all of them newly hear; '' where there is none."""


@dataclass(frozen=True, slots=True)
class Lengths:
    """How many questions the simulated callers are asked."""

    old_mean: float
    new_mean: float
    old_most: int
    new_most: int


@dataclass(frozen=True, slots=True)
class Effect:
    """Every change for any caller."""

    tree: str
    old_version: str
    new_version: str
    callers: int
    seed: int | None
    """None if the sample has no simulated caller."""
    demos: tuple[str, ...]
    """Titles of the demo calls in the sample."""
    rows: tuple[ImpactRow, ...]
    """The gravest kind first, then by how many callers."""
    lost_cautions: tuple[Lost, ...]
    """Stops first."""
    changed: int
    """Number of simulated callers with any change."""
    lengths: Lengths
    stopped: tuple[int, int]
    """Simulated callers whom a stop ends the call for, before and now."""
    renamed: Mapping[str, str]
    """Question, as it was called -> as it is called now; taken for the same question."""
    unmet: tuple[str, ...]
    """Cautions of the new tree that no call met, so that nothing is known of them."""
    never: tuple[str, ...] = ()
    """Codes of parts on sale that some callers got, and none gets any more."""

    @property
    def nothing(self) -> bool:
        """Whether nothing changes for any caller in the sample."""
        return not self.rows and not self.lost_cautions

    def as_json(self) -> dict[str, object]:
        """The same as plain data; lengths in mm, shares from 0 to 1."""
        rows = [{**asdict(row), "share": round(row.share, 4)} for row in self.rows]
        return {**asdict(self), "renamed": dict(self.renamed), "rows": rows}


# -- the impact of an edit in words, a line each, the most serious first --------------------------

_MOST = 12
"""Rows of one kind that are told one by one; the rest are counted."""

_HEADINGS: dict[ChangeKind, str] = {
    "caution gained": "Cautions said to more callers",
    "stopped now": "Calls that a stop now ends (no chair, no advice)",
    "stopped no more": "CALLS THAT A STOP NO LONGER ENDS",
    "stuck now": "CALLS THAT GET STUCK, because the answer cannot be stored, at",
    "stuck no more": "Calls that no longer get stuck, at",
    "chair": "A different chair",
    "part": "Different parts of the chair",
    "setting": "Different settings",
    "need lost": "Features no longer needed",
    "need gained": "Features now needed",
    "advice lost": "Advice no longer given",
    "advice gained": "Advice now given",
    "question gone": "Questions no longer asked",
    "question new": "Questions now asked",
    "not as expected": "DEMO CALLS WITH RESULTS THAT DIFFER FROM THEIR FILE",
}
"""Of every kind but lost cautions, which have lines of their own."""


def impact_lines(effect: Effect) -> list[str]:
    """The lines, without colour or markup; what stands in the tree is quoted as it is."""
    lines = [_who(effect)]
    lines += [f"'{old}' is now called '{new}'." for old, new in effect.renamed.items()]
    if effect.nothing:
        lines.append(
            f"Nothing changes in the sample of {_people(effect)}: same questions, cautions, advice "
            "and chairs. Callers who were not in it may hear something else."
        )
        return [*lines, *_unmet(effect)]
    for lost in effect.lost_cautions:
        lines += _lost(lost)
    if not effect.lost_cautions:
        lines.append(f"No warning is removed in the sample of {_people(effect)}.")
    if effect.never:
        lines.append(f"NEVER CHOSEN ANY MORE: {', '.join(effect.never)}. Compare price and limits.")
    if effect.callers:
        lines.append(f"Something changes for {_of(effect.changed, effect.callers)}.")
        lines.append(_lengths(effect))
        was, now = effect.stopped
        if was != now:
            lines.append(f"A stop ends {now} calls of {effect.callers}; before, it ended {was}.")
    for kind, heading in _HEADINGS.items():
        rows = [row for row in effect.rows if row.kind == kind]
        if rows:
            lines += ["", f"{heading}:"]
            for row in rows[:_MOST]:
                lines += _row(row)
            if len(rows) > _MOST:
                lines.append(
                    f"  and {len(rows) - _MOST} more, each for at most as many callers as these"
                )
    return [*lines, *_unmet(effect)]


def _who(effect: Effect) -> str:
    versions = effect.new_version
    if effect.old_version != effect.new_version:
        versions = f"{effect.old_version} and {effect.new_version}"
    who = _people(effect)
    return f"{effect.tree} {versions}: {who} run before and after the edit."


def _people(effect: Effect) -> str:
    people = [_number(effect.callers, "simulated caller")] if effect.callers else []
    if effect.callers:
        people[0] += f" (seed {effect.seed})"
    if effect.demos:
        people.append(_number(len(effect.demos), "demo call"))
    return " and ".join(people) or "nobody"


def _lost(lost: Lost) -> Iterator[str]:
    what = f"'{lost.caution}' ({lost.level})"
    if lost.now is not None:
        message = f"!! WARNING LOWERED: {what} is now only {lost.now}"
    elif lost.gone:
        message = f"!! WARNING REMOVED: {what} was deleted from the tree"
    else:
        message = f"!! WARNING REMOVED: {what} is no longer said"
    if lost.sample is None:
        yield f"{message}. No caller in the sample had met it."
    else:
        yield f"{message}, for {_whom(lost.callers, lost.of, lost.demos)}."
    if lost.when:
        yield f"   It was said when {lost.when}."
    if lost.now_when and lost.now_when != lost.when:
        yield f"   It is now said when {lost.now_when}."
    if lost.instead:
        yield f"   They hear '{lost.instead}' instead."
    if lost.stopped:
        count = "all of them" if lost.stopped == lost.callers else f"{lost.stopped} of them"
        yield f"   For {count}, another stop now ends the call."
    if lost.sample is not None:
        yield f"   {_sample(lost.sample)}"


def _row(row: ImpactRow) -> Iterator[str]:
    what = row.what
    if row.kind == "setting" and row.by is not None:
        what = f"{_plain(what)} {_moved(row.by)}"
    elif row.kind == "setting":
        what = _plain(what)
    elif row.kind == "caution gained":
        what = f"'{what}' ({row.level})"
    elif row.kind not in ("chair", "part", "need lost", "need gained", "not as expected"):
        what = f"'{what}'"
    yield f"  {what}: {_whom(row.callers, row.of, row.demos)}"
    if row.sample.answers:
        yield f"     {_sample(row.sample)}"


def _whom(callers: int, of: int, demos: tuple[str, ...]) -> str:
    people = [_of(callers, of)] if callers else []
    if demos:
        titles = ", ".join(f"“{title}”" for title in demos)
        people.append(f"demo {_plural(len(demos), 'call')} {titles}")
    return " and ".join(people)


def _sample(sample: Sample) -> str:
    answers = "; ".join(sample.answers)
    who = sample.who if sample.number is not None else f"“{sample.who}”"
    return f"For example {who}: {answers}." if answers else f"For example {who}."


def _lengths(effect: Effect) -> str:
    was, now = effect.lengths.old_mean, effect.lengths.new_mean
    if was == now and effect.lengths.old_most == effect.lengths.new_most:
        return f"A call has {now:.1f} questions on average, as before."
    return (
        f"A call has {now:.1f} questions on average (before: {was:.1f}); the longest has "
        f"{effect.lengths.new_most} (before: {effect.lengths.old_most})."
    )


def _unmet(effect: Effect) -> list[str]:
    if not effect.unmet:
        return []
    names = ", ".join(f"'{name}'" for name in effect.unmet)
    return ["", f"No caller in the sample met {names}, so the impact on such callers is not known."]


def _moved(by: tuple[float, float]) -> str:
    """In cm, which is what the desk is read in here; both ways where callers differ."""
    ends = [f"{abs(mm) / 10:.1f} cm {'more' if mm > 0 else 'less'}" for mm in by]
    return ends[0] if ends[0] == ends[1] else f"from {ends[0]} to {ends[1]}"


def _plain(name: str) -> str:
    return name.replace("_", " ")


def _of(count: int, of: int) -> str:
    return f"{count} of {_number(of, 'simulated caller')} ({_percent(count / of)})"


def _percent(share: float) -> str:
    whole = 100 * share
    return f"{whole:.0f} %" if whole >= 10 or whole == 0 else f"{whole:.1f} %"


def _number(count: int, what: str) -> str:
    return f"{count} {_plural(count, what)}"


def _plural(count: int, what: str) -> str:
    return what if count == 1 else f"{what}s"
