"""What a proof of a tree comes to: callers found, promises kept or broken, problems."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from consult.call.call import Answer
from consult.problems import Problem, Where

PieceKind = Literal["question", "caution", "advice", "need"]
Found = Literal["found", "not found", "impossible", "not decided"]
PromiseState = Literal["proven", "refuted", "not proven"]


@dataclass(frozen=True, slots=True)
class Caller:
    """One caller who was tried: every answer of a whole call."""

    answers: tuple[Answer, ...]
    telling: tuple[str, ...] | None = None
    """The questions whose answers bring it about, in the order asked; None: that is not known."""

    lifted: tuple[str, ...] = ()
    """Stops that were lifted with a reason."""

    @property
    def says(self) -> str:
        """The answers that matter, as "desk kind fixed, desk height 78 cm"."""
        telling = self.telling
        told = [each for each in self.answers if telling is None or each.question in telling]
        says = ", ".join(_said(each) for each in told) or "anything at all"
        names = ", ".join(f"'{name}'" for name in self.lifted)
        return f"{says} (and the stop {names} lifted)" if names else says


def _said(answer: Answer) -> str:
    said = "not known" if answer.said == "?" else answer.said
    return f"{answer.question} {said}".replace("_", " ")


@dataclass(frozen=True, slots=True)
class Witness:
    """Whether anybody can be asked, told or given this, and who."""

    part: PieceKind
    name: str
    where: Where
    found: Found
    caller: Caller | None = None
    """Replayed: with these answers it does appear. None unless found."""


@dataclass(frozen=True, slots=True)
class Property:
    """A promise about every call, and how it stands."""

    name: str
    where: Where
    standing: PromiseState
    reason: str = ""
    """Why it is not proven, one plain sentence."""
    caller: Caller | None = None
    """Who breaks it, replayed; None unless refuted."""


@dataclass(frozen=True, slots=True)
class Proofs:
    """All that was found out about one tree."""

    tree: str
    files: tuple[str, ...]
    """Every file of the tree."""
    problems: tuple[Problem, ...]
    witnesses: tuple[Witness, ...]
    properties: tuple[Property, ...]
    not_proven: str = ""
    """Why nothing could be proven, or not everything; empty where nothing stood in the way."""
