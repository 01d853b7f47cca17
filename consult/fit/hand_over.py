"""How each of several people sets one chair, and what that changes from person to person."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from consult.fit.assess import assess
from consult.fit.range_model import Kind, Part, arms_above_loaded_seat, loaded_seat_height
from consult.fit.shortfall import nearest_setting
from consult.fit.sitter import sitter_of
from consult.fit.workplace import Reach
from consult.sentence import Sentence

if TYPE_CHECKING:
    from consult.body.estimate import Estimate
    from consult.fit.workplace import Workplace

NOTICED = 5.0
"""mm; a setting this near is left as it stands (common practice, no source)."""

_WORDS = {
    "seat_height": (
        "Set the seat to <amount> above the floor.",
        "Raise the seat to <amount> above the floor.",
        "Lower the seat to <amount> above the floor.",
    ),
    "seat_depth": (
        "Set the seat to a depth of <amount>.",
        "Slide the seat out to a depth of <amount>.",
        "Slide the seat in to a depth of <amount>.",
    ),
    "armrest_height": (
        "Set the armrests to <amount> above the seat.",
        "Raise the armrests to <amount> above the seat.",
        "Lower the armrests to <amount> above the seat.",
    ),
}
"""Setting -> as it is told first, and to go further or less far than it stands."""


def settings_for(
    estimate: Estimate, workplace: Workplace, parts: Mapping[Kind, Part], rest: Part | None
) -> dict[str, float]:
    """How one person sets a chair, mm, kept to what its parts can do; only what adjusts."""
    span = loaded_seat_height(parts["seat"], parts["gas_lift"], parts["castors"])
    wanted = assess(estimate, workplace, Reach(span, rest.height if rest else None))
    legs = sitter_of(estimate, workplace).seat_for_legs
    target = wanted.requirements["seat_height"].target
    # Without a footrest the desk may not lift the feet off the floor.
    height = nearest_setting(span, target if rest else min(target, legs))
    height = max(height, min(span[1], workplace.lowest_seat or 0.0))
    found = {"seat_height": height}
    arms = arms_above_loaded_seat(parts["seat"], parts["arms"])
    for name, reach in (("seat_depth", parts["seat"].depth), ("armrest_height", arms)):
        if reach is not None and reach[0] < reach[1]:
            found[name] = nearest_setting(reach, wanted.requirements[name].target)
    if rest is not None and rest.height is not None and round(height - legs) > 0:
        found["footrest_height"] = nearest_setting(rest.height, height - legs)
    return found


def handed_over(
    settings: Sequence[Mapping[str, float]], rests: Sequence[Part | None]
) -> list[tuple[Sentence, ...]]:
    """What each person changes, given how the people before left the chair."""
    stands: dict[str, float] = {}
    under: Part | None = None
    found = []
    for wanted, rest in zip(settings, rests, strict=True):
        said = []
        for name, (first, up, down) in _WORDS.items():
            if name not in wanted:
                continue
            before = stands.get(name)
            if before is None or abs(wanted[name] - before) >= NOTICED:
                words = first if before is None else up if wanted[name] > before else down
                said.append(Sentence(words, {"amount": wanted[name]}))
                stands[name] = wanted[name]
        now = rest if "footrest_height" in wanted else None
        said += _footrest(under, now, stands, wanted)
        under = now
        found.append(tuple(said))
    return found


def _footrest(
    under: Part | None, now: Part | None, stands: dict[str, float], wanted: Mapping[str, float]
) -> list[Sentence]:
    if now is None:
        return [Sentence("Take the footrest away.")] if under is not None else []
    height = wanted["footrest_height"]
    same = under is not None and under.code == now.code
    before = stands.get("footrest_height", 0.0)
    if same and abs(height - before) < NOTICED:
        return []
    stands["footrest_height"] = height
    if same:
        said = f"{'Raise' if height > before else 'Lower'} the footrest to <amount>."
    else:
        said = f"Put the footrest under the feet ({now.name}) and set it to <amount>."
    return [Sentence(said, {"amount": height})]
