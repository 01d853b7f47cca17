"""Compare two calls: what the first advised, the situation now, what to do, what came of the chair.

The second call works out no chair. Its numbers are compared with the figures of the first, which
are worked out again if something was measured since.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from consult.call.call import COUNTRY, Answer, Call
from consult.call.chosen import NOTICED
from consult.call.closing_lines import Because, Came, ChairOutcome, MeasuredAgain, Origin
from consult.call.state import State, state_so_far
from consult.call.stops import WITHHELD
from consult.call.wording import NINE_IN_TEN, figure_name, question_label, value_words
from consult.sentence import Sentence
from consult.units import System, format_length, format_range

if TYPE_CHECKING:
    from datetime import date

    from consult.call.basis import Basis
    from consult.call.understand import AnswerValue
    from consult.fit.requirements import Requirement
    from consult.tree.model import Tree

_STEP = 5.0
"""mm; nobody sets a chair finer (common practice, no source)."""
MEASURED_BY_CALLERS = ("popliteal_height", "buttock_popliteal_length", "elbow_rest_height")
"""The dimensions a figure hangs on that a caller can measure."""
THINGS = {
    "seat_height": ("Lower the seat", "Raise the seat"),
    "seat_depth": ("Make the seat shorter", "Make the seat longer"),
    "armrest_height": ("Lower the armrests", "Raise the armrests"),
    "desk_height": ("Lower the desk", "Raise the desk"),
}
"""Figure -> what to do if it is too high, or too low."""


@dataclass(frozen=True, slots=True)
class ThenAndNow:
    """One thing then and now, in the reader's words and units; '' where there is nothing."""

    topic: str
    then: str = ""
    """Advised, or said, in the first call."""
    good: str = ""
    """The acceptable range, worked out with all that is known now."""
    now: str = ""
    do: str = ""
    because: str = ""
    """Whether the first call's figure was wrong, in words."""


@dataclass(frozen=True, slots=True)
class FirstCall:
    """What a call that was held before gives to one that is about the same chair."""

    said: str
    """The reference as it was given."""
    told: str
    """Day and parts, in a line for the adviser; or why it cannot be read, or has no card."""
    answers: tuple[Answer, ...] = ()
    """What the second call need not ask."""
    card: Mapping[str, Sentence] = field(default_factory=dict)
    """Step of the set-up card -> its figure, and where the lever is on these parts."""


def begin(tree: Tree, first: Call, name: str, reference: str, today: date) -> Call:
    """Start a follow-up call, with the answers that the first call already gives."""
    answers = already_given(tree, first, name, reference)
    return Call(today, first.system, first.country, answers)


def already_given(tree: Tree, first: Call, name: str, reference: str) -> tuple[Answer, ...]:
    """The answers to questions of ``tree`` that an earlier call gives: reference, name, country."""
    given = {"first_reference": reference, "caller_name": name}
    answers = tuple(
        Answer(question.name, given[question.sets])
        for question in tree.questions.values()
        if question.sets in given and given[question.sets].strip()
    )
    place = first.latest().get(COUNTRY)
    return answers if place is None else (*answers, Answer(COUNTRY, place.said))


def again(basis: Basis, first: State, second: State) -> State:
    """The first call with what the second measured: the body, and a desk that does not move.

    ``basis`` is the first call's.
    """
    heard = []
    for step in second.steps:
        value = step.understood.value if step.understood else None
        if not isinstance(value, float) or step.answer is None:
            continue
        fact = (step.question.measures, step.question.sets)
        # Also what the first call went past without asking.
        for asked in basis.tree.questions.values():
            is_body = asked.measures is not None and asked.measures == fact[0]
            is_desk = asked.sets == "desk_height" == fact[1]
            if is_body or is_desk:
                heard.append(Answer(asked.name, f"{value:.1f} mm", step.answer.confirmed))
    if not heard:
        return first
    return state_so_far(basis, replace(first.call, answers=(*first.call.answers, *heard)))


def compare(
    first: State, second: State, system: System, newer: State | None = None
) -> tuple[ThenAndNow, ...]:
    """What was advised, how it stands and what to do, in the order to go through it.

    ``newer`` is the first call with what was measured since (``again``). Where one of the calls is
    stopped there is the caution and nothing else. Complaints are compared only with consent in
    both calls.
    """
    agreed = first.consent is True and second.consent is True
    if first.stopped is not None or second.stopped is not None:
        return tuple(_stops(first, second, told=agreed))
    lines = [*_done(first, second, system), *_numbers(first, second, newer or first, system)]
    return (*lines, *(_complaints(first, second) if agreed else ()))


def _stops(first: State, second: State, *, told: bool) -> Iterator[ThenAndNow]:
    if second.stopped is not None:
        yield ThenAndNow("This call is stopped", do=_words_of_stop(second))
    if first.stopped is not None:
        words = _words_of_stop(first) if told or _harmless(first) else WITHHELD.say
        yield ThenAndNow("The first call was stopped", do=words)


def _harmless(now: State) -> bool:
    """Whether a stop reads nothing but questions asked that are not about health."""
    asked = [step.question for step in now.steps if step.question.private != "health"]
    plain = {question.name for question in asked} | {
        name for question in asked for name in question.choices
    }
    return (
        now.stopped is not None and bool(now.stopped.when.names) and now.stopped.when.names <= plain
    )


def _words_of_stop(now: State) -> str:
    words = (raised.say for raised in now.cautions if raised.caution is now.stopped)
    return next(words, now.stopped.say if now.stopped else "")


# -- what was advised, and done or not --------------------------------------------------------


def _done(first: State, second: State, system: System) -> Iterator[ThenAndNow]:
    came = _words(second, "chair_came", system)
    if came:
        yield ThenAndNow("The chair", then=_words(first, "agreed", system), now=came)
    card = _words(second, "card_set", system)
    if card:
        to_do = understood_value(second, "card_set") == "not_yet_set"
        do = "Seat height first, then depth, then armrests, the desk last." if to_do else ""
        yield ThenAndNow("Set as the card says", then="advised", now=card, do=do)
    bothers = understood_value(second, "still_disturbs")
    rest = first.fit.requirements.get("footrest_height") if first.fit else None
    if rest is not None and rest.target > 0 and isinstance(bothers, frozenset):
        hang = "feet_hang" in bothers
        high = format_length(rest.target, system)
        do = f"Put a footrest of about {high} under the feet." if hang else "Leave it."
        yield ThenAndNow(
            "Footrest", high, now="feet do not reach the floor" if hang else "feet rest", do=do
        )


# -- numbers ----------------------------------------------------------------------------------


def _numbers(first: State, second: State, newer: State, system: System) -> Iterator[ThenAndNow]:
    if first.fit is None or newer.fit is None:
        return
    stands = {
        "seat_height": second.present.seat_height,
        "seat_depth": second.present.seat_depth,
        "armrest_height": second.present.armrest_height,
        "desk_height": second.workplace.desk.height,
    }
    for name, now in stands.items():
        then, good = first.fit.requirements.get(name), newer.fit.requirements.get(name)
        if then is None or good is None:
            continue
        if name == "desk_height" and now is None and first.workplace.desk.kind == "fixed":
            # A desk that does not move stands as it stood.
            continue
        if name == "seat_height":
            good = _not_below(good, second.workplace.lowest_seat)
        yield ThenAndNow(
            figure_name(name),
            format_length(then.target, system),
            format_range(good.low, good.high, system),
            "not measured" if now is None else format_length(now, system),
            "" if now is None else _do(name, good, now).text(system),
            _because(then, good, now, first, newer).text(system),
        )


def _not_below(good: Requirement, lowest: float | None) -> Requirement:
    """A seat height raised to the lowest that the caller may sit on."""
    if lowest is None:
        return good
    low, target, high = (max(value, lowest) for value in (good.low, good.target, good.high))
    return replace(good, low=low, target=target, high=high)


def _do(name: str, good: Requirement, now: float) -> Sentence:
    if abs(now - good.target) <= NOTICED:
        return Sentence("It is set correctly. Leave it.")
    if good.low <= now <= good.high:
        return Sentence("It is within the acceptable range. Change it only if it is uncomfortable.")
    lower, higher = THINGS[name]
    by = round(abs(now - good.target) / _STEP) * _STEP
    return Sentence(f"{lower if now > good.target else higher} by <by>.", {"by": by})


def _because(
    then: Requirement, good: Requirement, now: float | None, first: State, newer: State
) -> Sentence:
    """Whether an estimate, or another desk, is behind what is wrong now."""
    guessed = [name for name in _hangs_on(then) if not _measured(first, name)]
    since = [name for name in guessed if _measured(newer, name)]
    moved = good.target - then.target
    way = "higher" if moved > 0 else "lower"
    by = {"by": abs(moved), "new": good.target}
    if since and abs(moved) >= NOTICED:
        blame = ""
        if now is not None and abs(now - then.target) <= NOTICED:
            blame = " It was set as advised, so the estimate was wrong."
        return Sentence(
            f"The first figure was estimated. As measured now it is <new>, <by> {way}.{blame}", by
        )
    if since:
        return Sentence("The first figure was estimated. Today's measurement confirms it.")
    if newer.workplace.desk != first.workplace.desk and abs(moved) >= NOTICED:
        return Sentence(f"For the desk as it is now, it is <new>, <by> {way}.", by)
    if guessed:
        what = " and ".join(question_label(name).lower() for name in guessed)
        give = {"give": good.sd * NINE_IN_TEN}
        return Sentence(
            "The first figure was estimated and may be wrong by <give> either way. Measure "
            f"{what} before you change much.",
            give,
        )
    return Sentence("")


def _hangs_on(requirement: Requirement) -> list[str]:
    return [name for name in MEASURED_BY_CALLERS if name in requirement.rests_on]


def _measured(now: State, dimension: str) -> bool:
    return now.estimate.dimensions[dimension].origin == "measured"


# -- complaints -------------------------------------------------------------------------------


def _complaints(first: State, second: State) -> Iterator[ThenAndNow]:
    """Place by place; call this only with consent in both calls."""
    step = second.step("pain_sites")
    was, is_ = understood_value(first, "pain_sites"), understood_value(second, "pain_sites")
    if step is None or not isinstance(was, frozenset) or not isinstance(is_, frozenset):
        return
    worse, better = understood_value(second, "worse_now"), understood_value(second, "better_now")
    for site, label in step.question.choices.items():
        if site == step.question.exclusive or site not in was | is_:
            continue
        if site not in is_:
            yield ThenAndNow(label, "named", now="gone")
        elif site not in was:
            yield ThenAndNow(label, "not named", now="new")
        elif isinstance(worse, frozenset) and site in worse:
            yield ThenAndNow(
                label, "named", now="worse", do="Say the referral, and note what they do."
            )
        elif isinstance(better, frozenset) and site in better:
            yield ThenAndNow(label, "named", now="better")
        else:
            both = isinstance(worse, frozenset) and isinstance(better, frozenset)
            yield ThenAndNow(label, "named", now="the same" if both else "still named")


def understood_value(now: State, question: str) -> AnswerValue | None:
    """What was understood of the answer to a question; None where there is none."""
    step = now.step(question)
    return step.understood.value if step is not None and step.understood is not None else None


def _words(now: State, question: str, system: System) -> str:
    step, value = now.step(question), understood_value(now, question)
    return "" if step is None or value is None else value_words(step.question, value, system)


# -- what came of the chair, from the call that chose it and the one that followed up -------------

KEEPS, PART, WHY = "keeps", "exchange_part", "return_because"
"""The questions of the follow-up tree about this, besides those above."""
_WHY: Mapping[str, Because] = {"does_not_fit": "fit", "is_faulty": "fault"}
"""Reason for a return -> what it says about the chair; any other says nothing."""


def came_of_it(reference: str, first: State, second: State, newer: State) -> ChairOutcome | None:
    """What came of the chair; None where the second call does not say.

    ``newer`` is the first call with what the second measured (``again``).
    """
    if first.stopped is not None or second.stopped is not None:
        return None
    came = _came(second)
    if came is None:
        return None
    off = _off(first, newer)
    again = dict(_again(first, second))
    parts: tuple[str, ...] = ()
    if came == "exchanged" and isinstance(part := understood_value(second, PART), str):
        parts = (part,)
    because = _why_back(second, came)
    return ChairOutcome(reference, came, parts, because, off, again, _blamed(first, off, again))


def _came(second: State) -> Came | None:
    bothers, keeps = understood_value(second, "still_disturbs"), understood_value(second, KEEPS)
    if understood_value(second, "chair_came") != "came":
        return None
    if keeps in ("exchange", "send_back"):
        return "exchanged" if keeps == "exchange" else "returned"
    if not isinstance(bothers, frozenset):
        return None
    untouched = understood_value(second, "card_set") == "as_card" and bothers == {"none"}
    if untouched:
        return "kept"
    return "adjusted" if keeps == "keep" else None


def _why_back(second: State, came: Came) -> Because | None:
    if came == "returned":
        why = understood_value(second, WHY)
        return _WHY.get(why, "other") if isinstance(why, str) else "other"
    if came == "exchanged":
        bothers = understood_value(second, "still_disturbs")
        faulty = isinstance(bothers, frozenset) and "part_faulty" in bothers
        return "fault" if faulty else "fit"
    return None


def _off(first: State, newer: State) -> dict[str, float]:
    """How far each figure should have been from what was advised, where that is noticed."""
    if first.fit is None or newer.fit is None:
        return {}
    then, now = first.fit.requirements, newer.fit.requirements
    moved = {
        name: now[name].target - then[name].target
        for name in THINGS
        if name in then and name in now
    }
    return {name: round(by) for name, by in moved.items() if abs(by) >= NOTICED}


def _again(first: State, second: State) -> Mapping[str, MeasuredAgain]:
    """Body measures taken in the second call, beside what the first call had."""
    measured = {measure.dimension: measure.value for measure in first.estimate.used}
    agains: dict[str, MeasuredAgain] = {}
    for step in second.steps:
        dimension = step.question.measures
        value = step.understood.value if step.understood else None
        if dimension not in MEASURED_BY_CALLERS or not isinstance(value, float):
            continue
        origin: Origin = "told" if dimension in measured else "estimated"
        had = measured.get(dimension, first.estimate.dimensions[dimension].mean)
        agains[dimension] = MeasuredAgain(origin, round(had), round(value))
    return agains


def _blamed(first: State, off: Mapping[str, float], again: Mapping[str, MeasuredAgain]) -> str:
    """The measure that differs most, of those behind the figure that was off most."""
    if first.fit is None or not off:
        return ""
    worst = first.fit.requirements[max(off, key=lambda name: abs(off[name]))]
    behind = [name for name in worst.rests_on if name in again]
    return max(behind, key=lambda n: abs(again[n].later - again[n].first), default="")
