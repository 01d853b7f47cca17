"""Figures in conditions: gaps and overlaps of routes, figures no chair has, repeated limits."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import groupby

from consult.tree.condition import parse_condition
from consult.tree.constant import Written
from consult.tree.draft import Block, Draft
from consult.tree.nodes import Compare, Node, pieces
from consult.tree.possible import Possible, Region, regions, values_of
from consult.tree.quantities import HEAVIEST_CALLER, HIGHEST_RATING
from consult.tree.tables import compared_figures, points_of, tables
from consult.tree.texts import QUESTION_TEXTS, question_texts
from consult.units import from_unit

MOST_ROUTES = 50
"""Routes of one question; each is compared with each."""


@dataclass(frozen=True, slots=True)
class Parting:
    """The routes of a question that all compare one number with others."""

    name: str
    unit: str
    cut: Sequence[Region]
    """All numbers there can be, from below, as far as the routes tell them apart."""
    takes: Sequence[int]
    """For each route the regions it is true for, bit *n* for region *n*."""

    def words(self, regions_of: int) -> list[str]:
        """The numbers of some regions as people say them: "76 to 80 cm"."""
        return [self._run(run) for run in runs(regions_of)]

    def _run(self, run: tuple[int, int]) -> str:
        first, last = self.cut[run[0]], self.cut[run[1]]
        from_below, to_above = run[0] == 0, run[1] == len(self.cut) - 1
        tail = f" {self.unit}" if self.unit else ""
        if from_below and to_above:
            return "every number"
        if from_below and not first.is_point:
            return (
                f"{last.high:g}{tail} and less" if last.is_point else f"under {last.high:g}{tail}"
            )
        if to_above and not last.is_point:
            return (
                f"{first.low:g}{tail} and more" if first.is_point else f"over {first.low:g}{tail}"
            )
        if first is last and first.is_point:
            return f"exactly {first.low:g}{tail}"
        low = f"{first.low:g}" if first.is_point else f"over {first.low:g}"
        high = f"{last.high:g}" if last.is_point else f"under {last.high:g}"
        return f"{low} to {high}{tail}"


def parting(whens: Sequence[Written], possible: Mapping[str, Possible]) -> Parting | None:
    """The routes of one question as ranges of a number; None where they are something else."""
    names = {name for each in whens for name in each.condition.names}
    if len(names) != 1 or len(whens) > MOST_ROUTES:
        return None
    name = next(iter(names))
    answer = possible.get(name)
    if answer is None or answer.sort != "number":
        return None
    return _parting(tuple(each.condition.text for each in whens), name, answer)


@lru_cache(maxsize=2048)
def _parting(texts: tuple[str, ...], name: str, answer: Possible) -> Parting | None:
    nodes = [parse_condition(text).node for text in texts]
    if not any(map(_compares, nodes)):
        return None
    cut = regions(points_of(nodes, name), answer)
    worked_out = tables(nodes, {name: answer})
    if cut is None or worked_out is None or worked_out.axes.keys() != {name}:
        return None
    takes = [worked_out.of(node)[0] & ((1 << len(cut)) - 1) for node in nodes]
    return Parting(name, answer.unit, cut, takes)


def runs(bits: int) -> Iterator[tuple[int, int]]:
    """The first and last of each run of bits that are set."""
    index = 0
    while bits >> index:
        if bits >> index & 1:
            first = index
            while bits >> index & 1:
                index += 1
            yield first, index - 1
        index += 1


def check_ranges(
    conditions: Sequence[Written], possible: Mapping[str, Possible], draft: Draft
) -> None:
    """Note holes between ranges of routes, and ranges that partly overlap."""
    routes = [each for each in conditions if each.part == "route"]
    for _, group in groupby(routes, key=lambda each: each.owner):
        whens = list(group)
        block = whens[0].block
        following = block.data.get("next")
        written = sum("when" in route for route in following or () if isinstance(route, dict))
        if written != len(whens):
            continue
        found = parting(whens, possible)
        if found is not None:
            _check_holes(found, block, draft)
            _check_overlaps(found, whens, draft)


def _check_holes(found: Parting, block: Block, draft: Draft) -> None:
    covered = 0
    for takes in found.takes:
        covered |= takes
    missing = ((1 << len(found.cut)) - 1) & ~covered
    following = block.data["next"]
    last = [index for index, route in enumerate(following) if "otherwise" in route]
    if not last:
        _tell_nowhere(found.words(missing), block, draft)
        return
    place = block.place("next", last[0], "otherwise")
    top = len(found.cut) - 1
    for first, end in runs(missing):
        if not covered or first == 0 or end == top:
            continue
        words = found.words(((1 << (end - first + 1)) - 1) << first)[0]
        said = f"{_capital(words)} is not covered by a route, so it goes to the otherwise."
        fix = "Add a route for it, or widen the one beside it."
        draft.says(place, "gap", said, fix, warning=True)


def _tell_nowhere(words: Sequence[str], block: Block, draft: Draft) -> None:
    """Say with the missing otherwise which numbers it is missed for."""
    place = block.key("next")
    for index, problem in enumerate(draft.problems):
        if words and (problem.where, problem.rule) == (place, "no-otherwise"):
            said = f"{problem.message} {_capital(' and '.join(words))} goes nowhere."
            draft.problems[index] = replace(problem, message=said)


def _check_overlaps(found: Parting, whens: Sequence[Written], draft: Draft) -> None:
    gone = [0]
    for takes in found.takes:
        gone.append(gone[-1] | takes)
    for second, mine in enumerate(found.takes):
        for first, theirs in enumerate(found.takes[:second]):
            both = mine & theirs
            if not both or both in (mine, theirs) or not both & ~gone[first]:
                continue
            goes = [
                each.block.text(*each.steps[:-1], "go") for each in (whens[first], whens[second])
            ]
            if goes[0] == goes[1]:
                continue
            each = whens[second]
            words = " and ".join(found.words(both & ~gone[first]))
            said = (
                f"{_capital(words)} is covered by two routes. The first one, to '{goes[0]}', is "
                "used."
            )
            fix = "End one range where the other begins."
            draft.says(each.block.place(*each.steps), "overlap", said, fix, warning=True)


def _compares(node: Node) -> bool:
    return any(isinstance(each, Compare) for each in pieces(node))


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]


# -- figures no chair and no body has: written in mm or inches where the fit is read in cm --------

MOST = {"cm": 300.0, "kg": 300.0}
"""Taller and heavier than people and their desks are; common practice, no source."""


def check_far_off(conditions: Iterable[Written], draft: Draft) -> None:
    """Note each comparison of ``fit.`` or ``body.`` with a figure far beyond it."""
    for each in conditions:
        if not any("." in name for name in each.condition.names):
            continue
        for name, value, offset in compared_figures(each.condition.node):
            if "." not in name:
                continue
            unit = values_of(name).unit
            if abs(value) <= MOST[unit]:
                continue
            where = each.block.marked.inside((*each.block.steps, *each.steps), offset)
            said = f"'{name}' is in {unit}, and {value:g} {unit} is far too much."
            fix = f"Did you mean {value / 10:g}?" if unit == "cm" else f"Write it in {unit}."
            draft.says(where, "far-off", said, fix, warning=True)


# -- A limit of the chairs on sale that a tree repeats as a figure --------------------------------
# Once the range changes, such a figure contradicts it: a caller is refused a chair that carries
# them, or hears of one that does not.

STANDARD_USER = 110.0
"""kg that an office chair is built for; no limit of any range. EN 1335-2, design user."""
_CLOSE = 0.6
"""kg: a limit rounded to a whole kilogram repeats it too."""
_KILOGRAMS = re.compile(r"(?<![0-9.])([0-9]{2,3}(?:\.[0-9])?) ?(?:kg|kilos?|kilograms?)\b")


def check_repeated(conditions: Sequence[Written], draft: Draft) -> None:
    """Note each weight of a condition, and each of a text, that stands for a limit of the range."""
    weights = {
        name: block.text("unit") or "kg"
        for name, block in draft.questions.items()
        if block.text("measures") == "weight"
    } | {"body.weight": "kg"}
    for each in conditions:
        for name, value, offset in compared_figures(each.condition.node):
            if name not in weights:
                continue
            kg = from_unit(value, weights[name])
            if kg <= STANDARD_USER + _CLOSE:
                continue
            where = each.block.marked.inside((*each.block.steps, *each.steps), offset)
            limit = _repeated(kg, draft)
            if limit is not None:
                limited = f"{draft.limits[limit]:.4g} kg"
                said = f"{value:g} repeats a limit of the chairs on sale, {limited}."
                fix = f"Write {limit}, which follows the range."
                draft.says(where, "repeated-limit", said, fix)
            elif draft.limits:
                said = f"{value:g} is not a weight limit of any chair on sale."
                fix = f"Where a limit of the range is meant, write {HEAVIEST_CALLER}."
                draft.says(where, "weight-limit", said, fix, warning=True)
    for block, steps in _texts(draft):
        for found in _KILOGRAMS.finditer(block.text(*steps) or ""):
            limit = _repeated(float(found[1]), draft)
            if limit is None or float(found[1]) <= STANDARD_USER:
                continue
            where = block.marked.inside((*block.steps, *steps), found.start())
            said = f"'{found[0]}' repeats a limit of the chairs on sale."
            fix = f"Write <{limit}>, which follows the range and is in the caller's unit."
            if steps[0] in QUESTION_TEXTS:
                fix = "Ask without the figure: it would stay when the range changes."
            draft.says(where, "repeated-limit", said, fix)


def _repeated(kg: float, draft: Draft) -> str | None:
    for limit in (HIGHEST_RATING, HEAVIEST_CALLER):
        if limit in draft.limits and abs(draft.limits[limit] - kg) < _CLOSE:
            return limit
    return None


def _texts(draft: Draft) -> Iterator[tuple[Block, tuple[str, ...]]]:
    for block in draft.questions.values():
        yield from ((block, steps) for steps in question_texts(block))
    for part in ("cautions", "advice", "needs"):
        for block in draft.blocks(part):
            for key in ("say", "because", "employer"):
                yield block, (key,)
