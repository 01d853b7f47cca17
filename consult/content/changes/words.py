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
    one, other = " ".join(old.split()), " ".join(new.split())
    if one == other:
        return f"{what} is the same in words; only spaces or line breaks changed."
    one, other = _apart(one, other)
    return f"{what} now {verb} “{other}”; before it was “{one}”."


def quote_text(text: str) -> str:
    """A wording in quotes, on one line, its end left out where it is long."""
    one = " ".join(text.split())
    return f"“{one}”" if len(one) <= LONGEST_WORDING else f"“{one[: LONGEST_WORDING - 1]}…”"


def _apart(one: str, other: str) -> tuple[str, str]:
    if max(len(one), len(other)) <= LONGEST_WORDING:
        return one, other
    shortest = min(len(one), len(other))
    pairs = enumerate(zip(one, other, strict=False))
    start = next((n for n, (a, b) in pairs if a != b), shortest)
    pairs = enumerate(zip(reversed(one), reversed(other), strict=False))
    end = next((n for n, (a, b) in pairs if a != b), shortest)
    end = min(end, shortest - start)
    return _cut(one, start, end), _cut(other, start, end)


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
    at = {each: place for place, each in enumerate(old)}
    both = [each for each in new if each in at]
    stay = _longest_rising([at[each] for each in both])
    for place, each in enumerate(both):
        if at[each] not in stay:
            yield each, f"after {called(both[place - 1])}" if place else "first"


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
    return [each for each in ones if each not in known]


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
