"""A learner's record as a file for the trainer, and what a trainer's program reads back."""

from __future__ import annotations

import csv
import io
import json
import re
from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from consult.practice.learner.done import Done, LearnerRecord, PracticeTrouble
from consult.practice.learner.store import done_json, done_of
from consult.visible import MARK, guarded, visible

_BREAKS = re.compile("\r\n|[\n\r\t\v\f\x85\u2028\u2029]")


def on_one_line(text: str) -> str:
    """The text on one line, unable to do anything to a terminal or to what stands beside it."""
    return visible(_BREAKS.sub(" ", text))


def cell(text: str) -> str:
    """The text as a cell."""
    return guarded(on_one_line(text))


def learner_csv(columns: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """A table with its headings, a row a line."""
    written = io.StringIO(newline="")
    writer = csv.writer(written, lineterminator="\r\n")
    writer.writerow(columns)
    writer.writerows([cell(text) for text in row] for row in rows)
    return MARK + written.getvalue()


KIND = "consult practice record"
FORM = 1
SCORE_COLUMNS = (
    *("learner", "day", "caller", "seed", "level", "total", "out_of", "passed"),
    *("criterion", "item", "got", "of", "fails", "turn", "behaviour", "why", "better"),
)


def export_json(record: LearnerRecord, *, logs: bool = True) -> str:
    """Everything of a learner; ``logs`` takes the conversations in.

    Troubles are in it, so that the trainer sees where something is missing.
    """
    data = {
        "kind": KIND,
        "form": FORM,
        "learner": record.learner,
        "exercises": [_without_log(one) if not logs else done_json(one) for one in record.done],
        "troubles": list(record.troubles),
    }
    return json.dumps(data, indent=1, allow_nan=False) + "\n"


def read_export(text: str, file: str) -> LearnerRecord:
    """The record of an export; ``PracticeTrouble`` in words, naming ``file``, where it is none."""
    name = on_one_line(file)
    try:
        data = json.loads(text)
    except (ValueError, RecursionError) as error:
        said = f"{name} is not an exported record of practice, or it is damaged."
        raise PracticeTrouble(said) from error
    if not isinstance(data, dict) or data.get("kind") != KIND:
        raise PracticeTrouble(f"{name} is not an exported record of practice.")
    if data.get("form") != FORM:
        said = f"{name} was written by another version of consult. Ask for a new export."
        raise PracticeTrouble(said)
    try:
        troubles = tuple(str(one) for one in data["troubles"])
        done = tuple(done_of(one) for one in data["exercises"])
        return LearnerRecord(_name(data), done, troubles)
    except (KeyError, TypeError, ValueError) as error:
        said = f"{name} is damaged. Ask for a new export."
        raise PracticeTrouble(said) from error


def export_csv(record: LearnerRecord) -> str:
    """Every item of the score that came up as a row, for a spreadsheet; without conversations."""
    return learner_csv(SCORE_COLUMNS, (row for one in record.done for row in _rows(one)))


def figure_text(value: float) -> str:
    """A number as people write it: 7 or 7.5."""
    return f"{round(value, 2):g}"


def _rows(done: Done) -> Iterator[tuple[str, ...]]:
    about = (
        *(done.learner, done.day.isoformat(), done.caller, str(done.seed), done.level),
        *(figure_text(done.total), figure_text(done.out_of), _yes(done.passed)),
    )
    for item in done.items:
        if not item.came_up:
            continue
        yield (
            *(*about, item.criterion, item.name, figure_text(item.got), figure_text(item.of)),
            *(_yes(item.fails), str(item.turn), item.behaviour, item.why, item.better),
        )
    if not done.items:
        yield (*about, *[""] * (len(SCORE_COLUMNS) - len(about)))


def _without_log(done: Done) -> dict[str, Any]:
    return {**done_json(done), "log": {}}


def _name(data: dict[str, Any]) -> str:
    name = data["learner"]
    if not isinstance(name, str):
        raise TypeError(name)
    return name


def _yes(value: bool) -> str:
    return "yes" if value else "no"
