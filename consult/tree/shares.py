"""What callers are like and what they say, as a file that the content lead edits.

Shares and chances are numbers of 100 callers who answer. Which question of a pool comes next
depends on them, and so does what simulated callers say. A question without an entry gets defaults:
every choice as often as the others, a number around the middle of what is usual.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from consult.marked.schema import load_followed
from consult.problems import Problem
from consult.recall import recall
from consult.scale import IN_KG, IN_MM, from_unit

if TYPE_CHECKING:
    from consult.marked.marks import Marked, Steps, Texts
    from consult.tree.model import Question

SHARES_FILE = "callers.yaml"
_SCHEMA = Path(__file__).with_name("shares.schema.json")

NumberKind = Literal["length", "mass", "count"]
_Sex = Literal["female", "male"]

UNKNOWN = 5.0
"""Of 100 callers, where neither the file nor the question says how many do not know."""
REMEMBERED = 50.0
"""Of 100 callers, where the file does not say how many remember their stature."""
ROUNDING = 0.01
"""Of 100; shares that add up to within this of 100 add up."""

_MIDDLE = {"length": 300.0, "mass": 75.0, "count": 5.0}
"""Of a number that nothing is known of: mm, kg, plain."""
_AMOUNT = re.compile(r"([0-9.]+)(?: to ([0-9.]+))?(?: ([a-z]+))?")


@dataclass(frozen=True, slots=True)
class Amount:
    """A number of the file, or a lowest and a highest: mm, kg or plain, and of which of them."""

    of: NumberKind
    low: float
    high: float
    """The same as ``low`` where one number is meant."""


@dataclass(frozen=True, slots=True)
class QuestionShares:
    """What callers say to one question; whatever is left out is by default."""

    shares: Mapping[str, float] = field(default_factory=dict)
    chances: Mapping[str, float] = field(default_factory=dict)
    mean: Amount | None = None
    spread: Amount | None = None
    within: Amount | None = None
    says: tuple[str, ...] = ()
    unknown: float | None = None
    """Of 100; None: as for every question."""


@dataclass(frozen=True, slots=True)
class Shares:
    """A callers file."""

    name: str = ""
    sex: Mapping[_Sex, float] | None = None
    """Of 100; None: as the population file has it."""
    remembered: float = REMEMBERED
    """Of 100, those who say their stature from memory."""
    unknown: float = UNKNOWN
    questions: Mapping[str, QuestionShares] = field(default_factory=dict)

    def of(self, question: Question) -> QuestionShares | None:
        """What callers say to a question; None: by default."""
        return self.questions.get(question.name)

    def knowing(self, question: Question) -> float:
        """The part of callers, 0 to 1, who know the answer to a question."""
        if not question.unknown_allowed:
            return 1.0
        entry = self.of(question)
        stated = entry.unknown if entry is not None else None
        return 1 - (self.unknown if stated is None else stated) / 100

    def over(self, other: Shares) -> Shares:
        """These shares, with the other's for questions that these say nothing of.

        For two trees compared: a question that only the older one has is answered as before.
        """
        questions = {**other.questions, **self.questions}
        return Shares(self.name, self.sex, self.remembered, self.unknown, questions)

    def as_learned(self, learned: Mapping[str, float]) -> Shares:
        """These shares with some of a maker's own, of 100 callers, by ``question.choice``.

        What the file states of the other choices of a question keeps its proportions.
        """
        if not learned:
            return self
        questions = dict(self.questions)
        own: dict[str, dict[str, float]] = {}
        for name, share in learned.items():
            question, _, choice = name.partition(".")
            own.setdefault(question, {})[choice] = share
        for question, shares in own.items():
            entry = questions.get(question, QuestionShares())
            others = {key: share for key, share in entry.shares.items() if key not in shares}
            stated = sum(others.values())
            left = max(0.0, 100 - sum(shares.values()))
            times = left / stated if stated else 0.0
            scaled = {key: share * times for key, share in others.items()}
            questions[question] = replace(entry, shares={**scaled, **shares})
        return Shares(self.name, self.sex, self.remembered, self.unknown, questions)


NO_SHARES = Shares()
"""Every share by default, where a folder has no callers file."""


def weights_of(choices: Sequence[str], named: Mapping[str, float]) -> dict[str, float]:
    """How likely each choice is.

    Those not named share what the named ones leave of 100; where that is nothing, each gets as
    much as an even share, so that a new choice is given by somebody from the first day on.
    """
    stated = {name: share for name, share in named.items() if name in choices}
    left = 100 - sum(stated.values())
    others = [name for name in choices if name not in stated]
    even = left / len(others) if others and left > 0 else 100 / len(choices)
    return {name: stated.get(name, even) for name in choices}


def chances_of(question: Question, named: Mapping[str, float]) -> tuple[float, dict[str, float]]:
    """How likely the exclusive choice is (0 to 1), and each other among those who give it not."""
    even = 100 / len(question.choices)
    alone = question.exclusive
    share = min(named.get(alone, even), 100.0) / 100 if alone is not None else 0.0
    rest = [name for name in question.choices if name != alone]
    if not rest:
        return 1.0, {}
    most = 1 - share
    chances = {}
    for name in rest:
        of_all = named[name] / 100 if name in named else 1.5 * even / 100
        chances[name] = min(of_all / most, 1.0) if most > 0 else 1.0
    return share, chances


def usual_number(question: Question, entry: QuestionShares | None) -> tuple[float, float]:
    """Mean and spread of what is said to a length, mass or count; mm, kg or plain."""
    if entry is not None and entry.mean is not None and entry.mean.of == question.answer:
        mean = entry.mean.low
        return mean, entry.spread.low if entry.spread is not None else max(mean / 10, 1e-6)
    if question.expect is not None:
        low, high = question.expect
        return (low + high) / 2, (high - low) / 4
    middle = _MIDDLE[question.answer]
    return middle, middle / 3


def load_shares(path: Path, texts: Texts | None = None) -> tuple[Shares | None, list[Problem]]:
    """Read a callers file; None where it has errors, which stand among the problems.

    Only the file itself is looked at; ``check.callers_problems`` holds it against the trees too.
    """
    marked, problems = load_followed(path, _SCHEMA, texts)
    if marked is None:
        return None, problems
    key = str(path), marked.digest
    shares, kept = recall(_loaded, key, _MOST, lambda: _load(marked, problems))
    return shares, list(kept)


_MOST = 8
_loaded: dict[tuple[str, str], tuple[Shares | None, list[Problem]]] = {}
"""By file and text: each caller under practice reads it anew. When there are ``_MOST``, all are
forgotten."""


def _load(marked: Marked, problems: list[Problem]) -> tuple[Shares | None, list[Problem]]:
    if not problems:
        problems = _sums(marked)
    if any(problem.severity == "error" for problem in problems):
        return None, problems
    return _built(marked), problems


def amount(raw: str | None) -> Amount | None:
    """ "73 cm", "60 to 90 cm" or "7" as the schema lets them pass; None for nothing."""
    match = _AMOUNT.fullmatch(raw or "")
    if match is None:
        return None
    unit = match[3] or ""
    of: NumberKind = "length" if unit in IN_MM else "mass" if unit in IN_KG else "count"
    low, high = float(match[1]), float(match[2] or match[1])
    if unit:
        low, high = from_unit(low, unit), from_unit(high, unit)
    return Amount(of, low, high)


def _sums(marked: Marked) -> list[Problem]:
    """Sexes that are not all callers, shares of more callers than there are, spreads of nothing."""
    data = marked.data
    problems = []
    sex = data.get("sex")
    if sex is not None:
        total = float(sex["female"] + sex["male"])
        if abs(total - 100) > ROUNDING:
            problems.append(_not_100(marked, ("sex",), total))
    for name, entry in (data.get("questions") or {}).items():
        steps = ("questions", name)
        total = float(sum(entry.get("shares", {}).values()))
        if total > 100 + ROUNDING:
            problems.append(_not_100(marked, (*steps, "shares"), total))
        problems += _amounts(marked, steps)
    return problems


def _not_100(marked: Marked, steps: Steps, total: float) -> Problem:
    message = f"These shares add up to {total:g} of 100."
    return Problem(
        marked.key(*steps), message, "Change them so that they add up to 100.", "not-100"
    )


def _amounts(marked: Marked, steps: Steps) -> list[Problem]:
    """What is wrong with the numbers of one entry taken together."""
    amounts = {key: amount(marked.raw(*steps, key)) for key in ("mean", "spread", "within")}
    mean, spread, within = amounts["mean"], amounts["spread"], amounts["within"]
    problems = []
    if spread is not None and mean is None:
        words = "A spread needs a mean."
        problems.append(Problem(marked.key(*steps, "spread"), words, "Add mean:.", "no-mean"))
    if spread is not None and spread.low <= 0:
        words = "With a spread of zero, every caller says the same."
        fix = "Write how far callers usually are from the mean."
        problems.append(Problem(marked.value(*steps, "spread"), words, fix, "no-spread"))
    if within is not None and within.low >= within.high:
        words = "The higher number comes first here."
        problems.append(Problem(marked.value(*steps, "within"), words, "Swap them.", "backwards"))
    if mean is not None and within is not None and mean.of == within.of:
        inside = within.low <= mean.low <= within.high
        if not inside and within.low < within.high:
            words = "The mean is outside these limits."
            fix = "Write a mean between the two."
            problems.append(Problem(marked.value(*steps, "within"), words, fix, "mean-outside"))
    kinds = {given.of for given in amounts.values() if given is not None}
    if len(kinds) > 1:
        words = "Mean, spread and within need the same kind of unit."
        where, fix = marked.key(*steps), "Write lengths or masses for all of them."
        bare = next((key for key, given in amounts.items() if given and given.of == "count"), None)
        if bare is not None and len(kinds) == 2:
            unit = "kg" if "mass" in kinds else "cm"
            number = marked.raw(*steps, bare)
            where, words = marked.value(*steps, bare), f"{number} has no unit, and the others have."
            fix = f"Write {number} {unit}."
        problems.append(Problem(where, words, fix, "units-differ"))
    return problems


def _built(marked: Marked) -> Shares:
    data = marked.data
    sex = data.get("sex")
    remembered = data.get("stature_remembered")
    questions = {
        name: _entry(marked, ("questions", name), block)
        for name, block in (data.get("questions") or {}).items()
    }
    return Shares(
        name=marked.raw("callers") or "",
        sex=_sexes(sex) if sex else None,
        remembered=float(remembered["share"]) if remembered else REMEMBERED,
        unknown=float(data.get("unknown", UNKNOWN)),
        questions=questions,
    )


def _sexes(shares: Mapping[str, Any]) -> Mapping[_Sex, float]:
    return {"female": float(shares["female"]), "male": float(shares["male"])}


def _entry(marked: Marked, steps: Steps, block: Mapping[str, Any]) -> QuestionShares:
    places = range(len(block.get("says", ())))
    return QuestionShares(
        shares={name: float(share) for name, share in block.get("shares", {}).items()},
        chances={name: float(share) for name, share in block.get("chances", {}).items()},
        mean=amount(marked.raw(*steps, "mean")),
        spread=amount(marked.raw(*steps, "spread")),
        within=amount(marked.raw(*steps, "within")),
        says=tuple(marked.raw(*steps, "says", at) or "" for at in places),
        unknown=float(block["unknown"]) if "unknown" in block else None,
    )
