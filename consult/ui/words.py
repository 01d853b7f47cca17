"""State as lines of literal text: the one place where text enters the screen."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.content import Content

from consult.call.wording import NAMES, value_words
from consult.units import format_length
from consult.visible import visible

if TYPE_CHECKING:
    from consult.call.route import Step
    from consult.call.state import State
    from consult.fit.result import Requirement
    from consult.units import System

LEVELS = {"stop": "STOP", "refer": "REFER", "note": "NOTE"}
NINE_IN_TEN = 1.645
"""Standard deviations either side that hold nine people in ten."""


def literal(text: str, style: str = "") -> Content:
    """Text shown exactly as it stands; brackets are only brackets."""
    shown = visible(text)
    return Content.styled(shown, style) if style else Content(shown)


def question_label(name: str) -> str:
    """A question's name as people read it."""
    return name.replace("_", " ").capitalize()


def step_line(step: Step, system: System) -> Content:
    """One thing said: the question, the answer, and how it was understood."""
    label = literal(f"{question_label(step.question.name)}: ", "bold")
    if step.answer is None:
        return label + literal("not asked yet", "dim")
    said = literal(" ".join(step.answer.said.split())[:200])
    if step.status == "unknown":
        return label + literal("? not known")
    if step.status == "unclear":
        return label + said + literal("  ! not understood")
    value = step.understood.value if step.understood else None
    read = value_words(step.question, value, system) if value is not None else ""
    arrow = literal(f" → {read}") if read and read != step.answer.said.strip() else Content("")
    stands = literal(" (measured twice)") if step.answer.confirmed else Content("")
    return label + said + arrow + stands


def fit_lines(state: State, before: State | None, *, roomy: bool) -> Content:
    """The running set-up: value, how sure, band, and what the last answer changed."""
    if state.stopped:
        return literal(
            "Product advice has ended.\n\nA warning sign comes before any chair. "
            "Say whom to contact, agree when to ring again, and end the call."
        )
    if state.fit is None:
        return Content("")
    system = state.call.system
    lines = []
    for name, one in state.fit.requirements.items():
        lines.append(_requirement(name, one, _changed(name, one, before), system, roomy))
    lines.extend(
        literal(f"! {note.say.text(system)}") for note in state.fit.notes if note.level != "note"
    )
    if roomy:
        lines.append(Content(""))
    lines.extend(
        literal(f"! {note.say.text(system)}") for note in state.fit.notes if note.level == "note"
    )
    lines.extend(literal(f"? {NAMES.get(n, n)}: {why}", "dim") for n, why in state.missing.items())
    return Content("\n").join(lines)


def _requirement(
    name: str, one: Requirement, changed: bool, system: System, roomy: bool
) -> Content:
    sure = one.sd * NINE_IN_TEN
    mark = "» " if changed else "  "
    head = literal(f"{mark}{NAMES[name]}: ") + literal(format_length(one.target, system), "bold")
    head += literal(f" ±{format_length(sure, system)}")
    if not roomy:
        return head
    band = f"    fits from {format_length(one.low, system)} to {format_length(one.high, system)}"
    return head + literal("\n" + band, "dim")


def _changed(name: str, one: Requirement, before: State | None) -> bool:
    """Whether the last answer moved the target or its certainty by a millimetre or more."""
    if before is None or before.fit is None:
        return False
    was = before.fit.requirements.get(name)
    return was is None or abs(was.target - one.target) >= 1 or abs(was.sd - one.sd) >= 1


def chair_lines(state: State) -> Content:
    """The chair that suits best so far."""
    picked = state.picked
    if picked is None:
        return Content("")
    system = state.call.system
    lines = [literal(part.name) for part in picked.parts.values()]
    lines += [literal(f"! {short.say.text(system)}") for short in picked.shortfalls]
    return Content("\n").join(lines)


def caution_line(state: State) -> Content:
    """Every caution that applies, by level and name, in one place that never goes away."""
    return Content("\n").join(
        literal(f"{LEVELS[raised.caution.level]}: {raised.say}", "bold")
        for raised in state.cautions
        if raised.caution.level != "note"
    )
