"""Two plots for the team lead: odds beside what was observed, and how long calls take."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from consult.learning.calibration import FEW
from consult.picture.svg_shapes import Circle, Line, Polygon, Text, hatch, svg_text

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from consult.learning.calibration import OddsBand
    from consult.picture.svg_shapes import Point, Shape

_SIZE = (120.0, 100.0)
"""mm of paper."""
_LEFT, _RIGHT, _TOP, _BOTTOM = 20.0, 112.0, 8.0, 82.0
_LETTERS = 3.4
_THIN, _THICK = 0.25, 0.6


def calibration_plot(bands: Sequence[OddsBand], prefix: str = "odds-") -> str:
    """Stated odds across, observed up, with the interval of each; SVG. On the dashed line both are
    the same."""
    lowest = min((min(one.stated, one.interval[0]) for one in bands), default=0.5)
    floor = min(90, math.floor(lowest * 10) * 10)

    def at(stated: float, observed: float) -> Point:
        x, y = (100 * one - floor for one in (stated, observed))
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
    for one in bands:
        low, high = one.interval
        x, y = at(one.stated, one.observed)
        ends = at(one.stated, low)[1], at(one.stated, high)[1]
        shapes.append(Line(((x, ends[0]), (x, ends[1])), _THICK, part="interval"))
        shapes += [Line(((x - 1.2, end), (x + 1.2, end)), _THICK) for end in ends]
        shapes.append(Circle((x, y), 1.4, "ink" if one.off else "paper", _THICK, "band"))
    return svg_text(
        shapes,
        _SIZE,
        title="Odds stated and what was observed",
        description=calibration_words(bands),
        prefix=prefix,
    )


def calibration_words(bands: Sequence[OddsBand]) -> str:
    """The plot in words."""
    told = [
        f"{one.calls} calls: {100 * one.stated:.0f} of 100 stated, {100 * one.observed:.0f} "
        f"observed ({100 * one.interval[0]:.0f} to {100 * one.interval[1]:.0f})."
        for one in bands
    ]
    return " ".join(told) or "Too few chairs are followed up."


def coarse_minutes(minutes: Sequence[int]) -> tuple[tuple[int, int, int], ...]:
    """From, to and how many calls: minutes joined until none holds fewer than five calls."""
    found: list[tuple[int, int, int]] = []
    start, held = 0, 0
    for minute, count in enumerate(minutes):
        held += count
        if held >= FEW:
            found.append((start, minute + 1, held))
            start, held = minute + 1, 0
        elif held == 0:
            start = minute + 1
    if held and found:
        low, _, count = found.pop()
        found.append((low, len(minutes), count + held))
    return tuple(found)


def minutes_plot(minutes: Sequence[int], prefix: str = "minutes-") -> str:
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
        prefix=prefix,
    )


def minutes_words(minutes: Sequence[int]) -> str:
    """The plot in words."""
    told = [
        f"{low} to {high} minutes: {count} calls." for low, high, count in coarse_minutes(minutes)
    ]
    return " ".join(told) or "Too few calls are timed."


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
