"""A finished exercise and its marks, made ready to be kept."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from consult.practice.learner.heard import noticed
from consult.practice.learner.model import Done, Mark, Met
from consult.practice.log import log_json

if TYPE_CHECKING:
    from datetime import date

    from consult.practice.log import Log
    from consult.practice.marking.item import Marks
    from consult.practice.model import Persona


def finished(learner: str, day: date, persona: Persona, log: Log, marks: Marks) -> Done:
    """What is kept of an exercise that ended on this day."""
    return Done(
        learner=learner,
        day=day,
        caller=persona.name,
        seed=log.seed,
        level=log.level,
        total=float(marks.total),
        out_of=float(marks.out_of),
        passed=marks.passed,
        marks=tuple(
            Mark(
                criterion=one.criterion,
                name=one.name,
                got=float(one.got),
                of=float(one.of),
                fails=one.fails,
                turn=one.turn,
                why=one.why,
                better=one.better,
                behaviour=one.behaviour,
            )
            for one in marks.items
        ),
        met=tuple(_met(persona, log, marks)),
        log=log_json(log),
    )


def _met(persona: Persona, log: Log, marks: Marks) -> Iterator[Met]:
    """Behaviours that showed, and those that the marks speak of though they never did.

    A sign that was never told, because nobody asked where it would have been, was missed too.
    """
    showed = {name for turn in log.turns for name in turn.shown}
    for one in persona.behaviours:
        about = [item for item in marks.items if item.behaviour == one.name]
        if about:
            well = all(item.got >= item.of and not item.fails for item in about)
            yield Met(one.name, one.kind, well)
        elif one.name in showed:
            yield Met(one.name, one.kind, noticed(one, persona, log))
