"""The parts of a call summary that are tables: the chair to order, and the figures to set."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING

from consult.call.chosen_json import of_a_hundred
from consult.summary.blocks import Alert, Block, Heading, Item, Items, Paragraph, Table
from consult.summary.words import label
from consult.units import System, format_length

if TYPE_CHECKING:
    from consult.summary.lines import Figure, NeedLine, Specification
    from consult.summary.model import Summary

NINE_IN_TEN = 1.645
"""Standard deviations either side that hold nine people in ten, of a normal distribution."""

_FROM = {"floor": "floor", "loaded seat": "seat, sat on", "length": ""}
_SETTING_FROM = {"footrest_height": "floor"}


def specification(summary: Summary, system: System) -> Iterator[Block]:
    """The chair, its price, what it cannot do, and the features asked for."""
    found = summary.specification
    if found is None:
        return
    yield Heading(2, "Your chair")
    for short in found.shortfalls:
        yield Alert("Falls short", short.say.text(system))
    for need in summary.needs:
        if need.met is False and need.strength == "must":
            yield Alert("Lacks", _feature(need))
    yield from _agreed(found)
    if found.parts:
        money = [f"{found.currency} {part.price:,.2f}" for part in found.parts]
        rows = [
            (label(part.kind), part.name, part.code, price)
            for part, price in zip(found.parts, money, strict=True)
        ]
        rows.append(("Together", "", "", f"{found.currency} {found.price:,.2f}"))
        yield Table(("Part", "Name", "Code", "Price"), tuple(rows))
        days = "day" if found.lead_days == 1 else "days"
        yield Paragraph(f"Ready in {found.lead_days} {days}.")
        yield from _how_likely(found)
    has = [need for need in summary.needs if need.met]
    if has:
        yield Paragraph("It has what you need:")
        yield Items(tuple(Item(_feature(need)) for need in has))
    lacks = [need for need in summary.needs if need.met is False and need.strength != "must"]
    if lacks:
        yield Paragraph("It would be better with, but does not have:")
        yield Items(tuple(Item(_feature(need)) for need in lacks))
    if found.why_not:
        yield Paragraph("Why not another:")
        yield Items(tuple(Item(line.text(system)) for line in found.why_not))


def _agreed(found: Specification) -> Iterator[Block]:
    """How the chair below came to be the one."""
    agreed = found.agreed
    if agreed is None:
        return
    why = f" Why: {agreed.because}." if agreed.because else ""
    if agreed.chair == "none":
        yield Paragraph("No chair was agreed on for now; this is the one we would suggest.")
    elif agreed.chair == "other" and agreed.other:
        yield Paragraph(f"As you chose it, with {', '.join(agreed.other)}.{why}")
        if agreed.suggested:
            yield Paragraph(f"We had suggested {', '.join(agreed.suggested)}.")
    elif agreed.chair == "recommended":
        yield Paragraph("As we agreed.")


def _how_likely(found: Specification) -> Iterator[Block]:
    if found.p_fits is None:
        return
    said = f"It fits {of_a_hundred(found.p_fits)} people with your measures."
    if found.tied == 1:
        said += " 1 other chair fits as well; this one costs least."
    elif found.tied:
        said += f" {found.tied} other chairs fit as well; this one costs least."
    yield Paragraph(said)


def figures_table(summary: Summary, system: System) -> Iterator[Block]:
    """Every figure of the set-up: what to set, what is good enough, how sure it is."""
    settings = summary.specification.settings if summary.specification else {}
    rows = [
        _row(name, one, settings.get(name), system)
        for name, one in summary.fit.items()
        # A footrest of no height is none; the reason below says so.
        if not (name == "footrest_height" and one.target == 0 and name not in settings)
    ]
    rows += [
        (label(name), format_length(mm, system), "", _SETTING_FROM.get(name, ""), "")
        for name, mm in settings.items()
        if name not in summary.fit
    ]
    if not rows:
        return
    yield Heading(2, "Your figures")
    yield Table(("What", "Figure", "Good between", "Measured from", "Give or take"), tuple(rows))
    yield Paragraph("Give or take: of ten people with your measures, nine lie within it.")
    reasons = [Item(f"{label(name)}: {one.reason}") for name, one in summary.fit.items()]
    if reasons:
        yield Items(tuple(reasons))


def _row(name: str, one: Figure, setting: float | None, system: System) -> tuple[str, ...]:
    return (
        label(name),
        format_length(one.target if setting is None else setting, system),
        _band(one, system),
        _FROM[one.measured_from],
        format_length(NINE_IN_TEN * one.sd, system),
    )


def _band(one: Figure, system: System) -> str:
    if math.isinf(one.low):
        return "" if math.isinf(one.high) else f"{format_length(one.high, system)} or less"
    if math.isinf(one.high):
        return f"{format_length(one.low, system)} or more"
    return f"{format_length(one.low, system)} to {format_length(one.high, system)}"


def _feature(need: NeedLine) -> str:
    return f"{label(need.feature)}: {need.because}" if need.because else label(need.feature)
