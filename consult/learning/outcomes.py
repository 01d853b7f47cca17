"""What came of the chairs of past calls, counted; no group of fewer than five is given."""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence, Set
from dataclasses import dataclass

from consult.call.closing_lines import PastCall
from consult.learning.comparison import FEW, OddsBand, bands_of
from consult.picture.svg_shapes import Circle, Line, Polygon, Shape, SvgPoint, Text, hatch, svg_text


@dataclass(frozen=True, slots=True)
class MeasuredTwice:
    """A body measure of first calls beside what was measured later; mm."""

    calls: int
    mean: float
    """Measured later minus had in the first call."""
    sd: float


@dataclass(frozen=True, slots=True)
class OutcomeGroup:
    """Chairs of one part, or calls of one adviser, of which it is known what came of them."""

    calls: int
    failed: int
    """Exchanged or returned because they do not fit or a part is faulty."""
    stated: float
    """Mean of the odds stated, 0 to 1."""


@dataclass(frozen=True, slots=True)
class Outcomes:
    """The figures of past calls. Counts are exact: they are made coarse where they are shown."""

    calls: int
    """Finished calls with a chair agreed on."""
    came: Mapping[str, int]
    """What came of the chair -> calls; of the others nobody has asked."""
    because: Mapping[str, int]
    """Why chairs were exchanged or returned -> calls."""
    bands: tuple[OddsBand, ...]
    told: Mapping[str, MeasuredTwice]
    """Body dimension that callers told -> how far it was off."""
    estimated: Mapping[str, MeasuredTwice]
    """Body dimension that was estimated -> how far it was off."""
    parts: Mapping[str, OutcomeGroup]
    """Code of a part -> chairs with it."""
    exchanged: Mapping[str, int]
    """Kind of part exchanged -> calls."""
    advisers: Mapping[str, OutcomeGroup]
    would_have_helped: Mapping[str, int]
    """Body dimension that was behind a chair's wrong figure and not asked -> calls."""
    told_wrong: Mapping[str, int]
    """Body dimension that was behind a chair's wrong figure though told -> calls."""
    minutes: tuple[int, ...]
    """Calls of under one minute, one to two, and so on."""


def outcomes_of(past: Sequence[PastCall], agreed: Set[str] = frozenset()) -> Outcomes:
    """The figures of past calls; of advisers only those who ``agreed`` to it."""
    came: Counter[str] = Counter()
    because: Counter[str] = Counter()
    exchanged: Counter[str] = Counter()
    helped: Counter[str] = Counter()
    wrong: Counter[str] = Counter()
    off: dict[str, defaultdict[str, list[float]]] = {
        "told": defaultdict(list),
        "estimated": defaultdict(list),
    }
    for call in past:
        outcome = call.outcome
        if outcome is None:
            continue
        came[outcome.came] += 1
        if outcome.because:
            because[outcome.because] += 1
        exchanged.update(outcome.parts)
        for name, again in outcome.again.items():
            off[again.origin][name].append(again.later - again.first)
        if outcome.blamed in outcome.again:
            asked = outcome.again[outcome.blamed].origin == "told"
            (wrong if asked else helped)[outcome.blamed] += 1
    minutes = Counter(call.odds.seconds // 60 for call in past if call.odds.seconds is not None)
    known = [(call, call.outcome.held) for call in past if call.outcome]
    settled = [(call, held) for call, held in known if held is not None]
    return Outcomes(
        len(past),
        dict(came),
        dict(because),
        bands_of((call.odds.fits, held) for call, held in settled),
        {name: _measured(values) for name, values in sorted(off["told"].items())},
        {name: _measured(values) for name, values in sorted(off["estimated"].items())},
        _groups((part, call, held) for call, held in settled for part in call.odds.parts),
        dict(exchanged),
        _groups((call.adviser, call, held) for call, held in settled if call.adviser in agreed),
        dict(helped),
        dict(wrong),
        tuple(minutes[at] for at in range(max(minutes, default=-1) + 1)),
    )


def _measured(values: Sequence[float]) -> MeasuredTwice:
    mean = sum(values) / len(values)
    spread = sum((value - mean) ** 2 for value in values) / max(1, len(values) - 1)
    return MeasuredTwice(len(values), mean, math.sqrt(spread))


def _groups(calls: Iterable[tuple[str, PastCall, bool]]) -> dict[str, OutcomeGroup]:
    """By name, those of five calls or more."""
    inside: defaultdict[str, list[tuple[float, bool]]] = defaultdict(list)
    for name, call, held in calls:
        inside[name].append((call.odds.fits, held))
    return {
        name: OutcomeGroup(
            len(held_calls),
            sum(not held for _, held in held_calls),
            sum(stated for stated, _ in held_calls) / len(held_calls),
        )
        for name, held_calls in sorted(inside.items())
        if len(held_calls) >= FEW
    }


# -- two plots for the team lead: odds beside what was observed, and how long calls take ----------

_SIZE = (120.0, 100.0)
"""mm of paper."""
_LEFT, _RIGHT, _TOP, _BOTTOM = 20.0, 112.0, 8.0, 82.0
_LETTERS = 3.4
_THIN, _THICK = 0.25, 0.6


def calibration_plot(bands: Sequence[OddsBand]) -> str:
    """Stated odds across, observed up, with the interval of each; SVG. On the dashed line both are
    the same."""
    lowest = min((min(band.stated, band.interval[0]) for band in bands), default=0.5)
    floor = min(90, math.floor(lowest * 10) * 10)

    def at(stated: float, observed: float) -> SvgPoint:
        x, y = (100 * value - floor for value in (stated, observed))
        wide, high = _RIGHT - _LEFT, _BOTTOM - _TOP
        return _LEFT + wide * x / (100 - floor), _BOTTOM - high * y / (100 - floor)

    step = 10 if floor < 70 else 5
    shapes: list[Shape] = [*_frame("Odds stated, of 100 chairs", "Fit and last, of 100 chairs")]
    for tick in range(floor, 101, step):
        x, y = at(tick / 100, tick / 100)
        shapes += _tick_across(x, tick)
        shapes += [Line(((_LEFT - 1.5, y), (_LEFT, y)), _THIN)]
        shapes += [Text((_LEFT - 2.5, y + 1.2), str(tick), _LETTERS, "end")]
    shapes.append(Line((at(floor / 100, floor / 100), at(1, 1)), _THIN, (1.5, 1.5), "same"))
    for band in bands:
        low, high = band.interval
        x, y = at(band.stated, band.observed)
        ends = at(band.stated, low)[1], at(band.stated, high)[1]
        shapes.append(Line(((x, ends[0]), (x, ends[1])), _THICK, part="interval"))
        shapes += [Line(((x - 1.2, end), (x + 1.2, end)), _THICK) for end in ends]
        shapes.append(Circle((x, y), 1.4, "ink" if band.off else "paper", _THICK, "band"))
    return svg_text(
        shapes,
        _SIZE,
        title="Odds stated and what was observed",
        description=calibration_words(bands),
        prefix="odds-",
    )


def calibration_words(bands: Sequence[OddsBand]) -> str:
    """The plot in words."""
    sentences = [
        f"{band.calls} calls: {100 * band.stated:.0f} of 100 stated, {100 * band.observed:.0f} "
        f"observed ({100 * band.interval[0]:.0f} to {100 * band.interval[1]:.0f})."
        for band in bands
    ]
    return " ".join(sentences) or "Too few chairs are followed up."


def coarse_minutes(minutes: Sequence[int]) -> tuple[tuple[int, int, int], ...]:
    """From, to and how many calls: minutes joined until none holds fewer than five calls."""
    spans: list[tuple[int, int, int]] = []
    start, held = 0, 0
    for minute, count in enumerate(minutes):
        held += count
        if held >= FEW:
            spans.append((start, minute + 1, held))
            start, held = minute + 1, 0
        elif held == 0:
            start = minute + 1
    if held and spans:
        low, _, count = spans.pop()
        spans.append((low, len(minutes), count + held))
    return tuple(spans)


def minutes_plot(minutes: Sequence[int]) -> str:
    """How many calls took so many minutes, as bars; SVG. Calls joined over several minutes are
    shown as the average of these."""
    bars = coarse_minutes(minutes)
    last = max((high for _, high, _ in bars), default=1)
    most = max((count / (high - low) for low, high, count in bars), default=1.0)
    shapes: list[Shape] = [*_frame("Minutes", "Calls in a minute of these")]
    wide, high_ = (_RIGHT - _LEFT) / last, (_BOTTOM - _TOP) / most
    for low, high, count in bars:
        left, right = _LEFT + low * wide, _LEFT + high * wide
        top = _BOTTOM - high_ * count / (high - low)
        outline = ((left, _BOTTOM), (left, top), (right, top), (right, _BOTTOM))
        shapes.append(Polygon(outline, "paper", _THICK, part="bar"))
        shapes += hatch(outline, 45, 1.6, _THIN)
    every = max(1, math.ceil(last / 12))
    for tick in range(0, last + 1, every):
        x = _LEFT + tick * wide
        shapes += _tick_across(x, tick)
    shapes += [Text((_LEFT - 2.5, _TOP + 1.2), f"{most:.0f}", _LETTERS, "end")]
    return svg_text(
        shapes,
        _SIZE,
        title="How long calls take",
        description=minutes_words(minutes),
        prefix="minutes-",
    )


def minutes_words(minutes: Sequence[int]) -> str:
    """The plot in words."""
    sentences = [
        f"{low} to {high} minutes: {count} calls." for low, high, count in coarse_minutes(minutes)
    ]
    return " ".join(sentences) or "Too few calls are timed."


def _frame(across: str, up: str) -> Iterator[Shape]:
    """The axes and what they are."""
    yield Line(((_LEFT, _TOP), (_LEFT, _BOTTOM), (_RIGHT, _BOTTOM)), _THIN)
    yield Text(((_LEFT + _RIGHT) / 2, _BOTTOM + 12), across, _LETTERS, "middle")
    yield Text((2, _TOP - 3), up, _LETTERS)


def _tick_across(x: float, number: int) -> tuple[Shape, ...]:
    return (
        Line(((x, _BOTTOM), (x, _BOTTOM + 1.5)), _THIN),
        Text((x, _BOTTOM + 5.5), str(number), _LETTERS, "middle"),
    )
