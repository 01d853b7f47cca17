"""A condition put together by choosing: the question, then what its answer is to be."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from consult.tree.quantities import QUANTITIES
from consult.ui.edit.sheets import Sheets

NUMBER = "{}"
"""Where the number goes in a test that needs one."""


@dataclass(frozen=True, slots=True)
class Asked:
    """One thing a condition may ask."""

    condition: str
    """As the file has it; with ``NUMBER`` in it where a number is still to be given."""
    words: str


def subjects(sheets: Sheets, file: str) -> Iterator[tuple[str, str]]:
    """Everything a condition can look at, and what it is: questions, and what the fit says."""
    for one in sheets.steps_near(file, "question"):
        yield one.name, " ".join(one.words.split())
    for owner, what in (("fit", "what the fit works out"), ("range", "of the chairs on sale")):
        for name, unit in QUANTITIES[owner].items():
            how = "yes or no" if unit == "yes-no" else f"in {unit}"
            yield f"{owner}.{name}", f"{what}, {how}"


def asked_of(subject: str, sheets: Sheets, file: str) -> list[Asked]:
    """What may be asked about a subject."""
    owner, _, quantity = subject.partition(".")
    if quantity:
        unit = QUANTITIES[owner][quantity]
        return _yes_no(subject) if unit == "yes-no" else _numbers(subject, unit)
    entry = next(one for one in sheets.steps_near(file, "question") if one.name == subject)
    answer = sheets.value(entry.place, "answer")
    known = [
        Asked(f"known({subject})", "it was answered"),
        Asked(f"not known({subject})", "it was not answered, or not asked"),
    ]
    choices = sheets.data(entry.place.inside("choices"))
    names = {
        name: sheets.value(entry.place, "choices", name)
        for name in (choices if isinstance(choices, dict) else ())
    }
    if answer == "choice":
        found = [Asked(f"{subject} == {name}", f"is: {label}") for name, label in names.items()]
        found += [
            Asked(f"{subject} != {name}", f"is not: {label}") for name, label in names.items()
        ]
    elif answer == "choices":
        found = [Asked(f"{name} in {subject}", f"has: {label}") for name, label in names.items()]
        found += [
            Asked(f"{name} not in {subject}", f"has not: {label}") for name, label in names.items()
        ]
    elif answer == "yes-no":
        found = _yes_no(subject)
    elif answer in ("length", "mass", "count"):
        found = _numbers(subject, sheets.value(entry.place, "unit"))
    else:
        found = []
    return [*found, *known]


def _yes_no(subject: str) -> list[Asked]:
    return [Asked(subject, "yes"), Asked(f"not {subject}", "no")]


def _numbers(subject: str, unit: str) -> list[Asked]:
    what = f"a number of {unit}" if unit else "a number"
    return [
        Asked(f"{subject} {sign} {NUMBER}", f"{words} {what}")
        for sign, words in {
            ">": "is more than",
            ">=": "is at least",
            "<": "is less than",
            "<=": "is at most",
            "==": "is exactly",
        }.items()
    ]


def joined(old: str, how: str, new: str) -> str:
    """Two conditions made one: ``how`` is "and", "or" or "anew"."""
    if how == "anew" or not old.strip():
        return new
    other = " or " if how == "and" else " and "
    kept = f"({old.strip()})" if other in old else old.strip()
    return f"{kept} {how} {new}"
