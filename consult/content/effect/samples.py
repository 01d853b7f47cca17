"""The answers of a call that bear on a change, in plain words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from consult.call.wording import value_words

if TYPE_CHECKING:
    from collections.abc import Mapping

    from consult.call.route import Step
    from consult.call.state import State
    from consult.content.effect.differences import Difference

_MOST = 6
"""Answers in a sample; more are not read."""


def answers_shown(
    difference: Difference, was: State, now: State, questions: Mapping[str, str]
) -> tuple[str, ...]:
    """What the caller said to the questions behind a change; ``questions`` have other names now.

    Where none is named, as of a chair that rests on the whole body, what was measured is told.
    """
    if difference.kind == "not as expected":
        return ()
    steps = _steps(was, now, questions)
    read = [steps[name] for name in steps if name in difference.about]
    if any("." in name for name in difference.about) or not read:
        read += [step for step in steps.values() if _is_measured(step) and step not in read]
    return tuple(_words(step, now) for step in read[:_MOST])


def _steps(was: State, now: State, questions: Mapping[str, str]) -> dict[str, Step]:
    """What was answered in either tree, in the order of the new one and by its names."""
    found: dict[str, Step] = {}
    for step in (*now.steps, *was.steps):
        if step.status != "open":
            name = step.question.name
            found.setdefault(questions.get(name, name), step)
    return found


def _is_measured(step: Step) -> bool:
    question = step.question
    return step.status == "answered" and (
        question.measures is not None or question.answer in ("length", "mass")
    )


def _words(step: Step, now: State) -> str:
    name = step.question.name.replace("_", " ")
    heard = step.understood
    if heard is None:
        said = f"“{step.answer.said if step.answer else ''}”, which could not be stored"
    elif heard.value is None:
        said = "not known"
    else:
        said = value_words(step.question, heard.value, now.call.system)
    return f"{name}: {said}"
