"""The practice callers that can be chosen: how hard each is, what it lets the adviser practise."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from consult.marked.marks import load_marked
from consult.paths import shipped_trees, trees_folder
from consult.practice import caller_file
from consult.practice.learner.due import due
from consult.practice.learner.standing import next_caller
from consult.practice.learner.topics import Topic
from consult.practice.load import FOLDER, Listed, personas_in

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from consult.marked.marks import Marked
    from consult.practice.learner.model import Done
    from consult.practice.model import Behaviour
    from consult.problems import Problem

Difficulty = Literal["easy", "middling", "hard"]

_EASY, _MIDDLING = 1, 3
"""Most points of an easy caller, and of a middling one."""
_WEIGHS = {"sign_in_passing": 2, "contradicts": 2}
"""Points of a kind of behaviour that is hard to notice; any other is one (our own)."""


@dataclass(frozen=True, slots=True)
class Choice:
    """One caller as a trainee chooses among them."""

    listed: Listed
    behaviours: tuple[Behaviour, ...]
    stated: Difficulty | None = None
    """How hard the file says it is; needed where the seed decides what there is to notice."""

    @property
    def name(self) -> str:
        """As on the command line."""
        return self.listed.name

    @property
    def difficulty(self) -> Difficulty:
        """By how much there is to notice."""
        if self.stated is not None:
            return self.stated
        points = sum(_WEIGHS.get(one.kind, 1) for one in self.behaviours)
        if points <= _EASY:
            return "easy"
        return "middling" if points <= _MIDDLING else "hard"

    @property
    def topics(self) -> frozenset[Topic]:
        """What the caller lets the adviser practise."""
        return frozenset(Topic("behaviour", one.kind) for one in self.behaviours)


def callers_folder() -> Path:
    """Where the practice callers of the house are; those of the program where it has none."""
    own = trees_folder() / FOLDER
    return own if own.is_dir() else shipped_trees() / FOLDER


def choices_in(folder: Path) -> tuple[list[Choice], list[Problem]]:
    """The callers of a folder, easy ones first, and what is wrong with those left out."""
    found, problems = personas_in(folder)
    callers = [_choice(one) for one in found]
    order = ("easy", "middling", "hard")
    return sorted(callers, key=lambda one: (order.index(one.difficulty), one.name)), problems


def suggested(choices: Sequence[Choice], done: Sequence[Done], today: date) -> Choice | None:
    """Whom to practise on next: who shows what is due, else the first not played yet.

    ``choices`` has the easy ones first. None without callers.
    """
    played = {one.caller for one in done}
    fresh = [one for one in choices if one.name not in played]
    if fresh and not due(done, today):
        return fresh[0]
    name = next_caller({one.name: one.topics for one in choices}, done, today)
    return next((one for one in choices if one.name == name), None)


def choice_of(path: Path) -> Choice | None:
    """The caller of one file; None where it is none, or has errors."""
    marked, _ = load_marked(path)
    if marked is None or not isinstance(marked.data, dict) or caller_file.KEY not in marked.data:
        return None
    if caller_file.file_problems(marked):
        return None
    name, title, tree = (marked.raw(key) or "" for key in (caller_file.KEY, "title", "tree"))
    return _choice_in(Listed(path, name, title, tree), marked)


def tree_of(listed: Listed) -> Path:
    """The tree that a caller's call follows: in the folder above, else of the house."""
    beside = listed.path.absolute().parent.parent / f"{listed.tree}.yaml"
    return beside if beside.is_file() else trees_folder() / f"{listed.tree}.yaml"


def _choice(listed: Listed) -> Choice:
    marked, _ = load_marked(listed.path)
    return _choice_in(listed, marked) if marked is not None else Choice(listed, ())


def _choice_in(listed: Listed, marked: Marked) -> Choice:
    return Choice(listed, caller_file.behaviours(marked), marked.data.get("difficulty"))
