"""Compare the results of a call with those its file expects."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import TYPE_CHECKING

from consult.problems import Problem, Where, nearest
from consult.tree.quantities import BODY_DIMENSIONS, FIT_QUANTITIES

if TYPE_CHECKING:
    from consult.call.state import State
    from consult.call.transcript import Transcript

_NUMBER = r"(-?\d+(?:\.\d+)?)"
_SPAN = re.compile(rf"{_NUMBER}(?:\s+to\s+{_NUMBER})?")
_ROUNDING = 0.05
"""cm or kg: a single expected number is met by whatever is written the same to one decimal."""


def disappointments(transcript: Transcript, state: State) -> list[Problem]:
    """Every expectation of the file that is not met, and every answer that cannot be used."""
    found = [
        Problem(
            transcript.answers_at[step.question.name],
            f"'{step.question.name}' was not understood: {step.trouble}",
            rule="not-understood",
        )
        for step in state.steps
        if step.status == "unclear"
    ]
    for name, wanted in transcript.expect.items():
        said = _compare(name, wanted, state)
        if said:
            where = transcript.expect_at.get(name, Where(str(transcript.path), 1, 1))
            found.append(Problem(where, said, rule="expectation"))
    return found


def _compare(name: str, wanted: object, state: State) -> str:
    if name in ("finished", "stopped"):
        came = state.finished if name == "finished" else state.stopped is not None
        return "" if _yes(wanted) == came else f"{name}: {_word(came)} came out."
    if "." in name:
        return _quantity(name, str(wanted), state)
    names = set(map(str, wanted)) if isinstance(wanted, list) else set()
    came_out = _lists(state)[name]
    exact = name in ("cautions", "plausibility", "missing")
    if name == "not_asked":
        wrong = names & came_out
        return f"not_asked: {_named(wrong)} was asked." if wrong else ""
    lacking, extra = names - came_out, (came_out - names if exact else set())
    parts = [f"{_named(lacking)} did not come out"] if lacking else []
    parts += [f"{_named(extra)} came out besides"] if extra else []
    return f"{name}: {' and '.join(parts)}." if parts else ""


def _lists(state: State) -> Mapping[str, set[str]]:
    asked = {step.question.name for step in state.steps}
    return {
        "cautions": {raised.caution.name for raised in state.cautions},
        "advice": {given.advice.topic for given in state.advice},
        "asked": asked,
        "not_asked": asked,
        "plausibility": {doubt.dimension for doubt in state.doubts if not doubt.confirmed},
        "missing": set(state.missing),
        "parts": {part.code for part in state.picked.parts.values()} if state.picked else set(),
    }


def _quantity(name: str, wanted: str, state: State) -> str:
    kind, _, rest = name.partition(".")
    known = FIT_QUANTITIES if kind == "fit" else BODY_DIMENSIONS
    if rest not in known:
        return f"There is no {name}. {nearest(rest, known)}".rstrip()
    if kind == "body":
        mean = state.estimate.dimensions[rest].mean
        came: float | bool | None = mean if BODY_DIMENSIONS[rest] == "kg" else mean / 10
    elif state.fit is None:
        came = None
    else:
        quantity = state.fit.quantities.get(rest)
        in_mm = isinstance(quantity, float) and not isinstance(quantity, bool)
        came = quantity / 10 if in_mm and quantity is not None else quantity
    if came is None:
        return "" if wanted == "absent" else f"{name} could not be worked out."
    if wanted == "absent":
        what = _word(came) if isinstance(came, bool) else f"{came:.1f}"
        return f"{name}: {what} came out, not absent."
    if isinstance(came, bool):
        if wanted.lower() not in ("yes", "no", "true", "false"):
            return f"{name}: '{wanted}' is neither yes nor no."
        return "" if _yes(wanted) == came else f"{name}: {_word(came)} came out."
    match = _SPAN.fullmatch(wanted.strip())
    if match is None:
        return f"{name}: '{wanted}' is not a number or a span such as 52 to 54."
    low = float(match[1])
    low, high = (low, float(match[2])) if match[2] else (low - _ROUNDING, low + _ROUNDING)
    return "" if low <= came <= high else f"{name}: {came:.1f} came out, not {wanted}."


def _yes(wanted: object) -> bool:
    return wanted is True or str(wanted).lower() in ("yes", "true")


def _word(value: bool) -> str:
    return "yes" if value else "no"


def _named(names: set[str]) -> str:
    return ", ".join(sorted(names))
