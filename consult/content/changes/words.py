"""Pieces of a change in words: two wordings side by side, names, and what moved in a list."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import IntEnum
from typing import TypeVar

from consult.content.wording_of_conditions import in_words
from consult.tree.condition import Condition
from consult.tree.model import Tree

_T = TypeVar("_T", bound=Hashable)
_V = TypeVar("_V")
LONGEST_WORDING = 160
"""Characters of a wording that are shown; of longer ones only the part that differs."""
_AROUND = 30
"""Characters shown on either side of what differs."""


class Weight(IntEnum):
    """What a change may do to callers, the most serious first."""

    SAFETY = 0
    PRIVACY = 1
    WAY = 2
    """Which questions are asked, and in which order."""
    ANSWERS = 3
    """What may be answered and what it counts for."""
    ADVICE = 4
    WORDS = 5
    REST = 6


@dataclass(frozen=True, slots=True)
class Change:
    """One difference."""

    weight: Weight
    text: str
    about: str = ""
    """What it touches, as "caution.numb_legs" or "contact.GB.emergency": of safety and privacy."""
    weaker: bool = False
    """It may protect callers less than before; publishing it needs a reason."""

    @property
    def is_safety(self) -> bool:
        """Whether it touches what keeps callers safe, or what is private to them."""
        return self.weight <= Weight.PRIVACY


def reworded(what: str, old: str, new: str, verb: str = "says") -> str:
    """ "The caution 'a' now says “…”; it said “…”.", cut down to where the two differ."""
    if not old:
        return f"{what} now {verb} {quote_text(new)}; before there was nothing."
    if not new:
        return f"{what} no longer {verb} anything; before there was {quote_text(old)}."
    before, after = " ".join(old.split()), " ".join(new.split())
    if before == after:
        return f"{what} is the same in words; only spaces or line breaks changed."
    before, after = _apart(before, after)
    return f"{what} now {verb} “{after}”; before it was “{before}”."


def quote_text(text: str) -> str:
    """A wording in quotes, on one line, its end left out where it is long."""
    line = " ".join(text.split())
    return f"“{line}”" if len(line) <= LONGEST_WORDING else f"“{line[: LONGEST_WORDING - 1]}…”"


def _apart(old: str, new: str) -> tuple[str, str]:
    if max(len(old), len(new)) <= LONGEST_WORDING:
        return old, new
    shortest = min(len(old), len(new))
    pairs = enumerate(zip(old, new, strict=False))
    start = next((n for n, (a, b) in pairs if a != b), shortest)
    pairs = enumerate(zip(reversed(old), reversed(new), strict=False))
    end = next((n for n, (a, b) in pairs if a != b), shortest)
    end = min(end, shortest - start)
    return _cut(old, start, end), _cut(new, start, end)


def _cut(text: str, start: int, end: int) -> str:
    """The text without most of its first ``start`` and last ``end`` characters, on whole words."""
    low = max(text.rfind(" ", 0, max(start - _AROUND, 0)) + 1, start - 2 * _AROUND)
    stop = text.find(" ", len(text) - end + _AROUND)
    stop = min(len(text) if stop < 0 else stop, len(text) - end + 2 * _AROUND)
    if stop - low > LONGEST_WORDING:
        first = text[low : low + LONGEST_WORDING // 2]
        last = text[stop - LONGEST_WORDING // 2 : stop]
        middle = f"{first} … {last}"
    else:
        middle = text[low:stop]
    return f"{'… ' if low else ''}{middle}{' …' if stop < len(text) else ''}"


def moved_members(
    old: Iterable[_T], new: Iterable[_T], called: Callable[[_T], str]
) -> Iterator[tuple[_T, str]]:
    """Of those in both, the fewest that have moved, each with its new place in words."""
    places = {name: place for place, name in enumerate(old)}
    both = [name for name in new if name in places]
    stay = _longest_rising([places[name] for name in both])
    for place, name in enumerate(both):
        if places[name] not in stay:
            yield name, f"after {called(both[place - 1])}" if place else "first"


def _longest_rising(places: Sequence[int]) -> set[int]:
    """The members of a longest rising run within the places, which all differ."""
    tops: list[int] = []
    ends: list[int] = []
    before: dict[int, int | None] = {}
    for place in places:
        level = bisect_left(tops, place)
        before[place] = ends[level - 1] if level else None
        tops[level : level + 1] = [place]
        ends[level : level + 1] = [place]
    run: set[int] = set()
    last: int | None = ends[-1] if ends else None
    while last is not None:
        run.add(last)
        last = before[last]
    return run


def only_in(ones: Iterable[_T], others: Iterable[_T]) -> list[_T]:
    """Those of the first that are not among the second, in their order."""
    known = set(others)
    return [item for item in ones if item not in known]


def renamed(
    old: Mapping[str, _V], new: Mapping[str, _V], sign: Callable[[_V], Hashable]
) -> dict[str, str]:
    """Those that are gone -> new ones with the same ``sign``."""
    come = {sign(new[name]): name for name in reversed(only_in(new, old))}
    pairs = ((name, come.pop(sign(old[name]), None)) for name in only_in(old, new))
    return {name: twin for name, twin in pairs if twin is not None}


# -- conditions of two trees, compared and put in words -------------------------------------------

LONGEST_CONDITION = 400
"""Characters of a condition in words; a longer one is shown as it is written."""


def said(condition: Condition, tree: Tree) -> str:
    """A condition in words, as the part of a sentence after "when"."""
    words = in_words(condition, tree)
    if len(words) <= LONGEST_CONDITION:
        return words
    return words[: LONGEST_CONDITION - 1] + "…"


def same(old: Condition | None, new: Condition | None) -> bool:
    """Whether two conditions are written alike, but for spaces."""
    if old is None or new is None:
        return old is new
    return old.text.split() == new.text.split()


def now_when(what: str, old: Condition, new: Condition, trees: tuple[Tree, Tree]) -> str:
    """ "The caution 'a' now counts when …; before, when …."."""
    before, after = said(old, trees[0]), said(new, trees[1])
    if before == after:
        # Written otherwise, or longer than is shown: the text of it tells them apart.
        return f"{what} has its condition written differently: {new.text}; before: {old.text}."
    return f"{what} now counts when {after}; before, when {before}."
