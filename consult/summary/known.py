"""What was measured and what was estimated, in words with values."""

from __future__ import annotations

from typing import TYPE_CHECKING

from consult.body.population import STATURE
from consult.summary.lines import KnownLine, Measures

if TYPE_CHECKING:
    from consult.body.measured import Measured
    from consult.body.population import Population
    from consult.call.route import Step
    from consult.call.state import State

FIT_USES = (
    "weight",
    "popliteal_height",
    "buttock_popliteal_length",
    "hand_breadth",
    "elbow_rest_height",
    "thigh_clearance",
    "hip_breadth_sitting",
    "eye_height_sitting",
)
"""Body dimensions a set-up is worked out from (weight for the rating)."""

_SAME = 0.05
"""mm or kg below which two values are written alike."""


def measured(population: Population, state: State) -> list[KnownLine]:
    """Every measure that was heard: those the fit rests on directly or by estimating the rest."""
    estimate = state.estimate
    lines = [_heard(population, state, one, True) for one in estimate.used]
    return lines + [_heard(population, state, one, False) for one in estimate.set_aside]


def estimated(population: Population, state: State) -> list[KnownLine]:
    """The dimensions the fit uses that nobody measured."""
    lines = []
    for name in FIT_USES:
        found = state.estimate.dimensions.get(name)
        if found is None or found.origin == "measured":
            continue
        # What a long list names stands right above.
        how = "estimated from these" if "," in found.origin else found.origin
        words = f"{population.label(name)} about <mean> (<low> to <high>), {how}"
        values = {"mean": found.mean, "low": found.low, "high": found.high}
        lines.append(
            KnownLine(name, population.label(name), _measures(population, name, words, values))
        )
    return lines


def _heard(population: Population, state: State, one: Measured, used: bool) -> KnownLine:
    step = _step_of(state, one.dimension)
    said = _value(step, one.value)
    words = f"{population.label(one.dimension)} <said>, "
    values = {"said": said}
    if not used:
        words += "not used until it is confirmed"
    elif abs(said - one.value) < _SAME:
        words += "measured"
    else:
        # A stature from memory and a weight: people say a little more, or a little less.
        words += "as told" if one.dimension == "weight" else "from memory"
        words += ", counted as <counted>"
        values["counted"] = one.value
    note = step.answer.note if step is not None and step.answer is not None else ""
    name = one.dimension
    label = population.label(name)
    return KnownLine(name, label, _measures(population, name, words, values), note)


def _step_of(state: State, dimension: str) -> Step | None:
    found = [s for s in state.steps if s.question.measures == dimension and s.understood]
    return found[-1] if found else None


def _value(step: Step | None, otherwise: float) -> float:
    heard = step.understood.value if step is not None and step.understood is not None else None
    return heard if isinstance(heard, float) else otherwise


def _measures(
    population: Population, dimension: str, words: str, values: dict[str, float]
) -> Measures:
    if population.unit(dimension) == "kg":
        return Measures(words, masses=values)
    if dimension == STATURE:
        return Measures(words, statures=values)
    return Measures(words, lengths=values)
