"""A new range tried on simulated callers before it is published: what nobody gets, and who gets
nothing."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from consult.call.basis import Basis
from consult.call.state import with_chair
from consult.content.callers.says import person
from consult.content.callers.simulation import CallerSource, led_state
from consult.range.model import Range
from consult.range.parts import CHAIR_KINDS, Kind
from consult.units import format_length, format_mass

_BESIDE: tuple[Kind, ...] = ("footrest", "model")
"""What is chosen with the chair; a desk raiser is advised later, where the desk is too low."""
_NAMED = 10
"""Callers without a chair who are named one by one."""


@dataclass(frozen=True, slots=True)
class RangeTrial:
    """What came of it."""

    callers: int
    """Who reached the end of the call with or without a chair; not those whom a sign stopped."""
    chosen: Counter[str]
    """Code -> callers whose chair has the part."""
    without: tuple[str, ...]
    """Each caller for whom no chair remains, in words, with the reason."""


def tried(
    basis: Basis, source: CallerSource, count: int, said: Callable[[int], None]
) -> RangeTrial:
    """Lead ``count`` callers through a call in full; ``said`` hears the number of each."""
    chosen: Counter[str] = Counter()
    without = []
    led = 0
    assert basis.range is not None, "a range is tried"
    for number in range(1, count + 1):
        said(number)
        now = with_chair(basis, led_state(basis, source, number, thorough=True))
        if now.stopped is not None or now.chosen is None:
            continue
        led += 1
        # What was suggested, whatever the caller then settled on.
        choice = now.chosen.choice
        if choice.best is not None:
            parts = choice.best.parts
            of_it = (*parts.values(), *basis.range.sold_as(parts))
            chosen.update({part.code for part in of_it})
        else:
            because = choice.none_because.text("metric") if choice.none_because else ""
            without.append(_words(basis, source, number, because))
    return RangeTrial(led, chosen, tuple(without))


def _words(basis: Basis, source: CallerSource, number: int, because: str) -> str:
    who = person(basis.population, source.shares, source.seed, number)
    size = f"{format_length(who.body['stature'], 'metric')}, "
    size += format_mass(who.body["weight"], "metric")
    return f"{'a woman' if who.sex == 'female' else 'a man'} of {size}: {because}"


def _kinds(range_: Range) -> tuple[Kind, ...]:
    return tuple(range_.parts) if range_.fitting is not None else (*CHAIR_KINDS, *_BESIDE)


def told(basis: Basis, trial: RangeTrial) -> Iterator[str]:
    """The trial in sentences."""
    assert basis.range is not None, "a range is tried"
    yield f"Tried on {trial.callers} simulated callers."
    never: dict[Kind, list[str]] = {
        kind: [
            one.code for one in basis.range.on_sale(kind) if one.code and not trial.chosen[one.code]
        ]
        for kind in _kinds(basis.range)
    }
    for kind, codes in never.items():
        if codes:
            yield f"Never chosen, {kind.replace('_', ' ')}: {', '.join(codes)}."
    if not trial.without:
        yield "There was a chair for everybody."
        return
    yield f"No chair remains for {len(trial.without)} of them:"
    for words in trial.without[:_NAMED]:
        yield f"  {words}"
    if len(trial.without) > _NAMED:
        yield f"  and {len(trial.without) - _NAMED} more."
