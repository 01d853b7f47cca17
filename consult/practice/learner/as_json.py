"""A finished exercise as plain data and back."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import asdict
from datetime import date
from typing import Any

from consult.practice.learner.model import Done, Mark, Met
from consult.practice.levels import level_of


def done_json(done: Done) -> dict[str, Any]:
    """An exercise as plain data, for ``json.dumps``."""
    return {
        "learner": done.learner,
        "day": done.day.isoformat(),
        "caller": done.caller,
        "seed": done.seed,
        "level": done.level,
        "total": done.total,
        "out_of": done.out_of,
        "passed": done.passed,
        "marks": [asdict(mark) for mark in done.marks],
        "met": [asdict(one) for one in done.met],
        "log": dict(done.log),
    }


def done_of(data: Any) -> Done:
    """The exercise of plain data; ValueError in words where it is none."""
    try:
        return Done(
            learner=_text(data["learner"]),
            day=date.fromisoformat(data["day"]),
            caller=_text(data["caller"]),
            seed=_whole(data["seed"]),
            level=level_of(data["level"]),
            total=_number(data["total"]),
            out_of=_number(data["out_of"]),
            passed=_yes_no(data["passed"]),
            marks=tuple(_mark(one) for one in data["marks"]),
            met=tuple(_met(one) for one in data["met"]),
            log=_block(data.get("log", {})),
        )
    except (KeyError, TypeError, ValueError, AttributeError) as error:
        raise ValueError("This is not a finished exercise, or it is damaged.") from error


def _mark(data: Mapping[str, Any]) -> Mark:
    return Mark(
        criterion=_text(data["criterion"]),
        name=_text(data["name"]),
        got=_number(data["got"]),
        of=_number(data["of"]),
        fails=_yes_no(data["fails"]),
        turn=_whole(data["turn"]),
        why=_text(data["why"]),
        better=_text(data["better"]),
        behaviour=_text(data["behaviour"]),
    )


def _met(data: Mapping[str, Any]) -> Met:
    noticed = data["noticed"]
    judged = None if noticed is None else _yes_no(noticed)
    return Met(_text(data["name"]), _text(data["kind"]), judged)


def _text(value: Any) -> str:
    if not isinstance(value, str):
        raise TypeError(value)
    return value


def _yes_no(value: Any) -> bool:
    if not isinstance(value, bool):
        raise TypeError(value)
    return value


def _whole(value: Any) -> int:
    if isinstance(value, bool) or not isinstance(value, int):
        raise TypeError(value)
    return value


def _number(value: Any) -> float:
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        raise TypeError(value)
    try:
        number = float(value)
    except OverflowError:
        number = math.inf
    if not math.isfinite(number):
        raise ValueError(value)
    return number


def _block(value: Any) -> Mapping[str, Any]:
    if not isinstance(value, Mapping):
        raise TypeError(value)
    return value
