"""What a call shows in words: state as lines of literal text, cautions, how to answer."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from textual.content import Content

from consult.call.call import UNNAMED_STOP
from consult.call.chair_lines import too_late
from consult.call.fit_json import choice_lines
from consult.call.route import read_out
from consult.call.wording import (
    NINE_IN_TEN,
    HowKnown,
    figure_name,
    how_known,
    question_label,
    value_words,
)
from consult.call.worth import minutes
from consult.tree.sources import citation
from consult.ui.literal import literal
from consult.units import bare_length

if TYPE_CHECKING:
    from collections.abc import Callable

    from consult.call.ahead import Pace, TopicLine
    from consult.call.call import Handled
    from consult.call.raised import Raised
    from consult.call.route import Step
    from consult.call.session import Session
    from consult.call.state import State
    from consult.fit.requirements import Requirement
    from consult.tree.model import Question
    from consult.units import System

_BEFORE = "STOP. Read this before you go on:"
_TITLES = {
    "stop": "STOP. Say this now, word for word:",
    "refer": "Say this before going on:",
    "note": "Say this when it fits:",
}
NOT_STORED = (
    "The caller has not consented, so these answers are not stored. Say any caution as written."
)
TO_LIFT = "Press l to lift a stop. You must give a reason."


def nameless(raised: Raised) -> bool:
    """Whether nobody may read what the stop was about, so that it is read and not said."""
    return raised.caution.name == UNNAMED_STOP


def caution_title(raised: Raised) -> str:
    """What the adviser does with the words."""
    return _BEFORE if nameless(raised) else _TITLES[raised.caution.level]


def below_caution(raised: Raised, country: str) -> list[str]:
    """What stands below the words; ``country`` is the name of the one whose contact it is."""
    lines, contact = [], raised.contact
    if contact:
        if contact not in raised.say:
            lines.append(f"Whom to contact: {contact}")
        sources = citation(raised.contact_sources, brief=True)
        lines.append(f"Contact for {country}. Source: {sources}.")
    if raised.was_lifted is not None:
        lines.append(lifted_before(raised.was_lifted))
    if raised.caution.level == "stop":
        lines.append("No product advice in this call. You are not assessing the caller.")
    return lines


def cautions_text(now: State, to_lift: str = TO_LIFT) -> str:
    """Every caution word for word, and what was done; ``to_lift`` says how a stop is lifted."""
    told = "\n\n".join(_caution(raised) for raised in now.cautions)
    if not told:
        return "No caution applies so far."
    return told if now.stopped is None else f"{told}\n\n{to_lift}"


def _caution(raised: Raised) -> str:
    lines = [f"{raised.caution.level.upper()}: {raised.say}"]
    if raised.contact:
        lines.append(f"Whom to contact: {raised.contact} ({citation(raised.contact_sources)})")
    if raised.outranked:
        lines.append("Not said, because the stop above is more urgent.")
    if raised.said is not None:
        lines.append(f"Said to the caller{_at(raised.said)}.")
    if raised.lifted is not None:
        lines.append(f"Lifted{_at(raised.lifted)}, because: {raised.lifted.lifted}")
    if raised.was_lifted is not None:
        lines.append(lifted_before(raised.was_lifted))
    if raised.sources:
        lines.append(f"Source: {citation(raised.sources)}")
    return "\n".join(lines)


def lifted_before(lift: Handled) -> str:
    """Why a stop that holds again had been lifted."""
    return f"It was lifted{_at(lift)}, because: {lift.lifted} It applies again, for a new reason."


def _at(handled: Handled) -> str:
    """When a caution was dealt with, to come after another word."""
    return f" at {handled.at.astimezone():%H:%M}" if handled.at else ""


# -- the state of a call as lines -----------------------------------------------------------------

ROOMY = 40
"""Cells from which a panel has room for whole words."""
WHOLE_WORDS = 47
KNOWN_SHORT: dict[HowKnown, str] = {
    "measured": "meas.",
    "partly": "part.",
    "estimated": "est.",
    "given": "given",
}
SHORT = {
    "seat_width": "Seat width",
    "armrest_height": "Armrests",
    "keyboard_height": "Keyboard",
    "footrest_height": "Footrest",
    "screen_top": "Screen top",
    "standing_desk_height": "Desk, stood",
}
"""Names for a narrow panel."""


def step_line(step: Step, system: System) -> Content:
    """One thing said: the question, the answer, and how it was understood."""
    label = literal(f"{question_label(step.question.name)}: ", "bold")
    if step.answer is None:
        return label + literal("not asked yet", "dim")
    said = literal(" ".join(step.answer.said.split())[:200])
    written = " ".join(step.answer.note.split())[:200]
    note = literal(f"  [{written}]", "italic") if written else Content("")
    if read_out(step.question, step.answer):
        return label + literal(step.answer.said)
    if step.status == "unknown":
        return label + literal("? not known") + note
    if step.status == "unclear":
        return label + said + literal("  ! not understood")
    value = step.understood.value if step.understood else None
    read = value_words(step.question, value, system) if value is not None else ""
    arrow = literal(f" → {read}") if read and read != step.answer.said.strip() else Content("")
    stands = literal(" (measured twice)") if step.answer.confirmed else Content("")
    return label + said + arrow + stands + note


def fit_lines(state: State, before: State | None, width: int) -> Content:
    """The running set-up, a line a figure: value, what will do, how sure, measured or estimated.

    In ``width`` cells. A figure the last answer moved is marked.
    """
    if state.stopped:
        return literal(
            f"Product advice has ended.\n\nA warning sign comes before any {state.thing}. "
            "Say whom to contact and end the call."
        )
    fit = state.fit_at_desk
    if fit is None:
        return _advice_lines(state)
    rows = [
        _figure(name, requirement, _changed(name, requirement, before), state, width)
        for name, requirement in fit.requirements.items()
        if name != "footrest_height" or requirement.high > 0  # none is needed
    ]
    widest = [max(len(row[at]) for row in rows) for at in range(5)]
    return Content("\n").join(_aligned(row, widest) for row in rows)


def _advice_lines(state: State) -> Content:
    """Where no chair is worked out: what the caller is to do, and why, as far as it is known."""
    lines = [] if state.advice else [literal("No chair is worked out in this call.")]
    if state.first_reference:
        lines.append(literal("F7: the first call and the situation now."))
    for given in state.advice:
        lines.append(literal(f"- {given.say}", "bold") + literal(f" {given.because}"))
    return Content("\n\n").join(lines)


def _figure(
    name: str, requirement: Requirement, changed: bool, state: State, width: int
) -> tuple[str, ...]:
    """Name with its mark, value, what will do, how sure, how known."""
    narrow = width < ROOMY
    # Beside each other, both units are wider than any panel.
    imperial = state.call.system == "imperial"

    def bare(mm: float, whole: Callable[[float], int] | None = None) -> str:
        if whole is not None and not imperial:
            return str(whole(round(mm / 10, 3)))
        return bare_length(mm, "imperial" if imperial else "metric")

    def end(mm: float, outwards: Callable[[float], int]) -> str:
        # What is to be set stays within its band when the ends are told in whole centimetres.
        return bare(mm, outwards if narrow or mm >= 1000 else None)

    low = end(requirement.low, math.floor)
    band = (
        f"{low}-{end(requirement.high, math.ceil)}"
        if math.isfinite(requirement.high)
        else f"{low}+"
    )
    sure = requirement.sd * NINE_IN_TEN
    known = how_known(state.estimate, requirement)
    short = state.fit.short if state.fit is not None else {}
    label = short.get(name) or SHORT.get(name) or figure_name(name)
    return (
        f"{'»' if changed else ' '}{label[:11] if narrow else label}",
        bare(requirement.target, round if narrow and requirement.target >= 1000 else None),
        band,
        f"±{bare(sure, round if narrow and sure >= 100 else None)}",
        known[0] if narrow else (known if width >= WHOLE_WORDS else KNOWN_SHORT[known]),
    )


def _aligned(row: tuple[str, ...], widest: list[int]) -> Content:
    name, value, band, sure, known = row
    return (
        literal(f"{name:<{widest[0]}} ")
        + literal(f"{value:>{widest[1]}}", "bold")
        + literal(f" {band:<{widest[2]}} {sure:<{widest[3]}} {known}")
    )


def note_lines(state: State) -> Content:
    """What must be said about the workplace, odd measures, and what cannot be worked out yet."""
    if state.fit is None:
        return Content("")
    said = [f"! {note.say.text(state.call.system)}" for note in state.fit.notes]
    said += [f"! {doubt.message}" for doubt in state.doubts if not doubt.confirmed]
    said += [f"? {figure_name(name, state.fit)}: {why}" for name, why in state.missing.items()]
    return literal("\n".join(said))


def _changed(name: str, requirement: Requirement, before: State | None) -> bool:
    """Whether the last answer moved the target or its certainty by a millimetre or more."""
    fit = before.fit_at_desk if before is not None else None
    if fit is None:
        return False
    was = fit.requirements.get(name)
    return (
        was is None
        or abs(was.target - requirement.target) >= 1
        or abs(was.sd - requirement.sd) >= 1
    )


def body_lines(state: State) -> Content:
    """What was measured, as the estimate now has it; all else is estimated."""
    names = [
        name
        for name, dimension in state.estimate.dimensions.items()
        if dimension.origin == "measured"
    ]
    measured = ", ".join(question_label(name).lower() for name in names) or "nothing yet"
    return literal(f"Measured: {measured}. The rest is estimated from {state.estimate.population}.")


def chair_panel_lines(state: State) -> Content:
    """The chair most likely to fit so far, and how sure that is."""
    if state.chosen is None:
        return Content("")
    late = too_late(state)
    lines = [*choice_lines(state.chosen, state.call.system), *([f"! {late}"] if late else [])]
    return literal(f"{state.thing.capitalize()}: ", "bold") + literal("\n".join(lines))


def caution_line(state: State) -> Content:
    """Every stop and referral, gravest first, in one place that is always shown."""
    return Content("\n").join(
        literal(_caution_words(raised), "bold")
        for raised in state.cautions
        if raised.caution.level != "note" and not raised.outranked
    )


def _caution_words(raised: Raised) -> str:
    """A line each: the box had the words, F6 has them still."""
    level = raised.caution.level.upper()
    if raised.lifted is not None:
        return f"{level} lifted ({raised.lifted.lifted}): {raised.say}"
    if raised.said is None:
        return f"{level}: {raised.say}"
    return f"{level}, said{_at(raised.said)} (words: F6): {raised.contact or raised.say}"


# -- how an answer may be typed, in words, for the call screen and the call in plain lines --------

NO_NOTE = "There is no answer yet to add a note to."
_HOW = {
    "yes-no": "y or n",
    "choice": "a number, or the first letters",
    "choices": "numbers or first letters, separated by commas",
    "date": "a date, or “in 2 weeks”, or “next Tuesday”",
    "text": "as said",
    "count": "a number",
}
_BARE = {
    ("length", "imperial"): "inches",
    ("length", "both"): "cm or inches",
    ("mass", "imperial"): "stones or lb",
    ("mass", "both"): "kg, stones or lb",
}


def how_to_answer(question: Question, system: System) -> str:
    """What may be typed for a question, in a few words."""
    bare = _BARE.get((question.answer, system), question.unit)
    how = _HOW.get(question.answer) or f"any unit; a number without a unit is {bare}"
    return how if not question.unknown_allowed else f"{how}; ? if not known"


def to_hand(session: Session) -> str:
    """The answer that a question asked again has; '' where it has none that may be shown.

    The list of warning signs is read anew: nothing said before may slip into what is said now.
    """
    old, asking = session.amending, session.asking
    if old is None or (asking is not None and (asking.signs or read_out(asking, old))):
        return ""
    return old.said


def topic_line(at: int, topic: TopicLine) -> str:
    """A line of the list: number, title, whether it is done, how long it takes, what it changes."""
    if topic.status == "done":
        return f"{at}  {topic.title}: done"
    status = "open, " if topic.status == "open" else ""
    return f"{at}  {topic.title}: {status}{minutes(topic.seconds)}; may change {topic.changes}"


# -- the first line of the call screen: the minutes, and whose call it is -------------------------

_GAP = " | "
_LONGEST_NAME = 40
IN_FULL = "in full"


def head_line(pace: Pace, reference: str, session: Session, width: int) -> str:
    """As much as goes into ``width`` cells, the minutes first.

    The country comes before the rest: it says whose emergency numbers a caution names.
    """
    now, basis = session.now, session.basis
    country = basis.contacts.name(now.country)
    minutes = pace.words
    if len(_GAP.join((minutes, reference, country))) > width:
        minutes = pace.short
    parts = [minutes, reference]
    room = width - len(_GAP.join((*parts, "", country)))
    name = " ".join(now.caller_name.split())[: max(0, min(_LONGEST_NAME, room))]
    rest = (name, country, IN_FULL if now.call.thorough else "", now.call.system, basis.tree.title)
    for part in filter(None, rest):
        if len(_GAP.join((*parts, part))) <= width:
            parts.append(part)
    return _GAP.join(parts)
