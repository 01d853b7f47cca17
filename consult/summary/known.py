"""What a call measured and estimated, its workplace, and what to try where a set-up feels wrong."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence, Set

from consult.body.measured import Measured
from consult.body.population import STATURE, Population
from consult.call.basis import Basis
from consult.call.call import Call
from consult.call.facts import Facts
from consult.call.route import Step
from consult.call.state import State
from consult.call.understand import Understood, understand
from consult.call.wording import value_words
from consult.sentence import CHAIR, amount_words
from consult.summary.lines import (
    AnswerLine,
    KnownLine,
    Measures,
    OrderAnswer,
    RemedyLine,
    SetupStep,
)
from consult.tree.model import Question
from consult.tree.placeholders import in_units
from consult.units import Unclear, format_mass, format_stature

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


def measured(
    population: Population, state: State, hidden: Set[str | None]
) -> tuple[KnownLine, ...]:
    """Every measure that was heard: those the fit rests on directly or by estimating the rest."""
    estimate = state.estimate
    return tuple(
        _heard(population, state, measure, used)
        for measures, used in ((estimate.used, True), (estimate.set_aside, False))
        for measure in measures
        if measure.dimension not in hidden
    )


def estimated(
    population: Population, state: State, hidden: Set[str | None]
) -> tuple[KnownLine, ...]:
    """The dimensions the fit uses that nobody measured."""
    lines = []
    used: tuple[str, ...] = FIT_USES
    if state.thing != CHAIR and state.fit is not None:
        asked = state.fit.requirements.values()
        used = tuple(dict.fromkeys(name for requirement in asked for name in requirement.rests_on))
    for name in used:
        dimension = state.estimate.dimensions.get(name)
        if dimension is None or dimension.origin == "measured" or name in hidden:
            continue
        # What a long list names stands right above.
        how = "estimated from these" if "," in dimension.origin else dimension.origin
        label = population.label(name)
        words = f"{label} about <mean> (<low> to <high>), {how}"
        values = {"mean": dimension.mean, "low": dimension.low, "high": dimension.high}
        text = _measures(words, values, name, mass=population.unit(name) == "kg")
        lines.append(KnownLine(name, label, text))
    return tuple(lines)


def _heard(population: Population, state: State, measure: Measured, used: bool) -> KnownLine:
    name, label = measure.dimension, population.label(measure.dimension)
    steps = [step for step in state.steps if step.question.measures == name and step.understood]
    heard = steps[-1].understood.value if steps and steps[-1].understood else None
    figure = heard if isinstance(heard, float) else measure.value
    words = f"{label} <said>, "
    values = {"said": figure}
    if not used:
        words += "not used until it is confirmed"
    elif abs(figure - measure.value) < _SAME:
        words += "measured"
    else:
        # A stature from memory and a weight: people say a little more, or a little less.
        words += "as told" if name == "weight" else "from memory"
        words += ", counted as <counted>"
        values["counted"] = measure.value
    note = steps[-1].answer.note if steps and steps[-1].answer else ""
    text = _measures(words, values, name, mass=population.unit(name) == "kg")
    return KnownLine(name, label, text, note)


def _measures(
    words: str, values: Mapping[str, float], dimension: str | None = None, *, mass: bool = False
) -> Measures:
    write = format_mass if mass else format_stature if dimension == STATURE else amount_words
    return Measures(words, values, write)


# -- what a call says of the workplace alone, whichever way the questions went --------------------
# The employer and the order team must not be able to tell from their document which way a call
# took, for the way depends on health and on the body: a topic opens because of an ache, a stop
# ends the questions. So an answer counts here as soon as it was given, asked or not, and nothing
# private does.


def answer_lines(state: State, withheld: frozenset[str]) -> tuple[AnswerLine, ...]:
    """The answers on the way, without those withheld."""
    return tuple(
        AnswerLine(
            step.question.name,
            in_units(step.question.ask, state.call.system),
            step.answer.said,
            step.understood.value if step.understood else None,
            step.question.private,
            step.status,
            step.answer.note,
            _meant(step),
        )
        for step in state.steps
        if step.answer is not None and step.question.name not in withheld
    )


def _meant(step: Step) -> Measures:
    """An answer as it was understood, in words."""
    question = step.question
    value = step.understood.value if step.understood else None
    if step.status == "unknown":
        return _measures("not known", {})
    if value is None or question.answer == "text":
        return _measures("", {})
    if isinstance(value, float) and question.answer in ("length", "mass"):
        return _measures("<it>", {"it": value}, question.measures, mass=question.answer == "mass")
    return _measures(value_words(question, value, "metric"), {})


def workplace_needs(basis: Basis, call: Call, country: str) -> tuple[str, ...]:
    """What advice says to an employer, of answers that are not private; each sentence once."""
    facts = Facts(basis, call.system)
    for question, understood in _told(basis, call):
        if question.private is None:
            facts.learn(question, understood, confirmed=False)
    needs = (
        in_units(advice.employer, call.system)
        for advice in basis.tree.advice
        if advice.employer and advice.holds_in(country)
        if advice.when.evaluate(facts.lookup) is True
    )
    return tuple(dict.fromkeys(needs))


def answer_of_fact(basis: Basis, call: Call, fact: str) -> str:
    """The answer that sets a fact, in words; '' where there is none."""
    for question, understood in _told(basis, call):
        if question.sets == fact and understood.value is not None:
            return value_words(question, understood.value, call.system)
    return ""


def order_answers(basis: Basis, call: Call) -> tuple[OrderAnswer, ...]:
    """The answers that stand on an order; never about health."""
    return tuple(
        OrderAnswer(question.name, value_words(question, understood.value, call.system))
        for question, understood in _told(basis, call)
        if question.for_order_team and question.private != "health"
        if understood.value is not None
    )


def _told(basis: Basis, call: Call) -> Iterator[tuple[Question, Understood]]:
    """The last answer to every question that has one that can be read."""
    for name, answer in call.latest().items():
        question = basis.tree.questions.get(name)
        if question is None:
            continue
        try:
            yield question, understand(question, answer.said, call.today)
        except Unclear:
            continue


# -- what to try where a set-up feels wrong: the same order and direction as its steps ------------
# Common practice, no source.


def remedies(steps: Sequence[SetupStep], *, kept_up: bool = False) -> tuple[RemedyLine, ...]:
    """One line a complaint; none without steps.

    With a footrest the seat keeps its height, which the desk or the lift calls for: the footrest
    gives way. Without one the seat goes back to its figure: whether it may be lower than that is
    not for a card to say. Nobody is told to set what the chair does not have.

    ``kept_up``: told not to sit low, after an operation; then no footrest lifts the knees.
    """
    spare = any(step.topic == "footrest" and not step.moves for step in steps)
    topics = {step.topic for step in steps if step.moves}
    return tuple(_lines(topics, spare, kept_up)) if steps else ()


def _lines(topics: set[str], spare: bool, kept_up: bool) -> Iterator[RemedyLine]:
    """``topics``: the steps that set something; parts without a setting have none.

    ``spare``: a footrest comes with the chair, to be used where the feet need it.
    """
    behind, feet = "Pressure behind the knee", "Feet not flat"
    first = "set the seat depth again, with two to four fingers free. If it still presses,"
    depth = {"seat_depth": "set"}
    if "footrest" in topics:
        then = "ring us" if kept_up else "raise the footrest"
        may = {} if kept_up else {"footrest": "raise"}
        yield RemedyLine(behind, f"{first} {then}.", depth, may)
        limit = ", but never so that your knees are higher than your hips" if kept_up else ""
        text = f"raise the footrest{limit}. Leave the seat."
        yield RemedyLine(feet, text, {"footrest": "raise"})
    else:
        yield RemedyLine(behind, f"{first} set the seat height again.", depth, {"seat": "set"})
        rest = "use the footrest" if spare else "add a footrest"
        text = f"set the seat again, to the height above. If that is not enough, {rest}."
        yield RemedyLine(feet, text, {"seat": "set"}, {"footrest": "add"})
    if "armrests" in topics:
        text = "set the armrests again, so that they just touch your elbows. Then bring the "
        text += "keyboard and the mouse nearer."
        yield RemedyLine("Shoulders get tired", text, {"armrests": "set"})
    else:
        yield RemedyLine("Shoulders get tired", "bring the keyboard and the mouse nearer.")
    back, text = "Your back does not touch", "sit further back. If that is not enough,"
    if "lumbar" in topics:
        yield RemedyLine(back, f"{text} move the lumbar support.", {}, {"lumbar": "set"})
    else:
        yield RemedyLine(back, f"{text} put a small rolled towel in the curve above your belt.")
