"""The way a call takes through its tree: what was asked, what comes now, what lies ahead."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from consult.call.call import READ_OUT
from consult.call.facts import Facts
from consult.call.understand import Understood, understand
from consult.call.wording import in_own_unit
from consult.tree.condition import SETTLED
from consult.tree.model import END
from consult.units import Unclear

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from datetime import date

    from consult.call.call import Answer
    from consult.tree.model import Caution, Question, Tree
    from consult.tree.nodes import Lookup

Status = Literal["answered", "unknown", "unclear", "open"]


@dataclass(frozen=True, slots=True)
class Step:
    """One question on the way."""

    question: Question
    status: Status
    answer: Answer | None = None
    understood: Understood | None = None
    trouble: str = ""
    """Why the answer cannot be used ('unclear'), or why to ask once more."""


def walk(
    tree: Tree,
    answers: Mapping[str, Answer],
    facts: Facts,
    today: date,
    ends: Callable[[Caution, Lookup], bool],
    held: Caution | None = None,
) -> tuple[list[Step], Caution | None]:
    """Follow the tree through the answers, teaching ``facts`` each one on the way.

    Past the first open question the way goes on as if the caller did not know, so that answers
    given earlier to later questions still count and what lies ahead can be shown. The second
    result is the stop caution that ended product advice, if one did: ``ends`` tells which do, as
    far as is known by then.
    ``held`` is a stop that holds whatever the answers say now; then nothing open is asked but what
    the tree asks after a stop.
    """
    steps: list[Step] = []
    seen: set[str] = set()
    stopped = held
    stops = [(one, _derived(one)) for one in tree.cautions if one.level == "stop"]
    name, closing = tree.first, False
    while name != END and name not in seen:
        question = tree.questions[name]
        if held is not None and not closing and name not in answers:
            closing, name = True, tree.after_stop or END
            continue
        seen.add(name)
        step = read(question, answers.get(name), today)
        if not _skipped(question, step, facts):
            steps.append(step)
            if step.understood and step.answer:
                facts.learn(question, step.understood, step.answer.confirmed)
        name = _next(question, facts)
        if stopped is None:
            # Only an answer to a question it reads can have raised a stop since the last look.
            read_here = (c for c, far in stops if far or question.name in c.when.names)
            stopped = next(
                (c for c in read_here if c.when.evaluate(facts.lookup) and ends(c, facts.lookup)),
                None,
            )
            if stopped is not None:
                # A sign told out of turn ends the questions before it, too.
                steps = [step for step in steps if step.status != "open"]
                name = tree.after_stop or END
    return steps, stopped


def _skipped(question: Question, step: Step, facts: Facts) -> bool:
    """Whether it is passed by; one that names itself in its skip_when sees its own answer."""
    when = question.skip_when
    if when is None:
        return False
    if question.name in when.names and step.understood is not None:
        facts = facts.copy()
        facts.learn(question, step.understood, confirmed=False)
    return when.evaluate(facts.lookup) is True


def _derived(caution: Caution) -> bool:
    """Whether it reads what is worked out from several answers: ``fit.``, ``body.``, settled."""
    return any("." in name or name == SETTLED for name in caution.when.names)


def read(question: Question, answer: Answer | None, today: date) -> Step:
    """What became of the answer to one question."""
    if answer is None:
        return Step(question, "open")
    if read_out(question, answer):
        return Step(question, "unknown", answer, Understood(None))
    try:
        heard = understand(question, answer.said, today)
    except Unclear as unclear:
        return Step(question, "unclear", answer, trouble=str(unclear))
    if heard.value is None:
        return Step(question, "unknown", answer, heard)
    trouble = "" if answer.confirmed else outside(question, heard)
    return Step(question, "answered", answer, heard, trouble)


def read_out(question: Question, answer: Answer) -> bool:
    """Whether all that was stored of an answer is that the list was read to the caller."""
    return question.stored_with_consent and answer.said == READ_OUT


def outside(question: Question, heard: Understood) -> str:
    """Why to ask once more: the value lies outside what is usual. Empty where it does not."""
    if question.expect is None or not isinstance(heard.value, float):
        return ""
    low, high = question.expect
    if low <= heard.value <= high:
        return ""
    said = in_own_unit(question, heard.value)
    usual = f"{in_own_unit(question, low)} to {in_own_unit(question, high)}"
    return f"{said} is outside the usual {usual}. Please have it measured once more."


def _next(question: Question, facts: Facts) -> str:
    for route in question.routes:
        if route.when is None or route.when.evaluate(facts.lookup) is True:
            return route.go
    return END
