"""Figures of a tree: gaps and overlaps of routes, what no chair has, repeated limits, changes."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import groupby

from consult.problems import listed, nearest
from consult.tree.condition import parse_condition
from consult.tree.constant import Written, routes_of
from consult.tree.draft import Block, Draft
from consult.tree.nodes import Compare, pieces
from consult.tree.quantities import (
    FIGURES,
    HEAVIEST_CALLER,
    HIGHEST_RATING,
    UNITS_ADDED,
    Adjusts,
    adjusts_of,
    parse_adjusts,
)
from consult.tree.texts import QUESTION_TEXTS, question_texts
from consult.tree.truth_tables import (
    Possible,
    Region,
    compared_figures,
    points_of,
    regions,
    tables,
    values_of,
)
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
        low, high = f"{first.low:g}", f"{last.high:g}"
        if from_below and not first.is_point:
            return f"{high}{tail} and less" if last.is_point else f"under {high}{tail}"
        if to_above and not last.is_point:
            return f"{low}{tail} and more" if first.is_point else f"over {low}{tail}"
        if first is last and first.is_point:
            return f"exactly {low}{tail}"
        low = low if first.is_point else f"over {low}"
        return f"{low} to {high if last.is_point else f'under {high}'}{tail}"


def parting(whens: Sequence[Written], possible: Mapping[str, Possible]) -> Parting | None:
    """The routes of one question as ranges of a number; None where they are something else."""
    names = {name for written in whens for name in written.condition.names}
    if len(names) != 1 or len(whens) > MOST_ROUTES:
        return None
    name = next(iter(names))
    answer = possible.get(name)
    if answer is None or answer.sort != "number":
        return None
    return _parting(tuple(written.condition.text for written in whens), name, answer)


@lru_cache(maxsize=2048)
def _parting(texts: tuple[str, ...], name: str, answer: Possible) -> Parting | None:
    nodes = [parse_condition(text).node for text in texts]
    if not any(isinstance(piece, Compare) for node in nodes for piece in pieces(node)):
        return None
    cut = regions(points_of(nodes, name), answer)
    worked_out = tables(nodes, {name: answer})
    if cut is None or worked_out is None or worked_out.axes.keys() != {name}:
        return None
    takes = [worked_out.of(node)[0] & ((1 << len(cut)) - 1) for node in nodes]
    return Parting(name, answer.unit, cut, takes)


def runs(bits: int) -> Iterator[tuple[int, int]]:
    """The first and last of each run of bits that are set."""
    for is_set, run in groupby(range(bits.bit_length()), lambda index: bits >> index & 1):
        if is_set:
            first, *rest = run
            yield first, rest[-1] if rest else first


def check_ranges(
    conditions: Sequence[Written], possible: Mapping[str, Possible], draft: Draft
) -> None:
    """Note holes between ranges of routes, and ranges that partly overlap."""
    for whens in routes_of(conditions):
        block = whens[0].block
        routes = [route for route in block.data.get("next") or () if isinstance(route, dict)]
        split = parting(whens, possible)
        if split is not None and sum("when" in route for route in routes) == len(whens):
            _check_holes(split, block, draft)
            _check_overlaps(split, whens, draft)


def _check_holes(split: Parting, block: Block, draft: Draft) -> None:
    covered = 0
    for takes in split.takes:
        covered |= takes
    missing = ((1 << len(split.cut)) - 1) & ~covered
    following = block.data["next"]
    last = [index for index, route in enumerate(following) if "otherwise" in route]
    if not last:
        _tell_nowhere(split.words(missing), block, draft)
        return
    place = block.place("next", last[0], "otherwise")
    top = len(split.cut) - 1
    for first, end in runs(missing):
        if not covered or first == 0 or end == top:
            continue
        words = split.words(((1 << (end - first + 1)) - 1) << first)[0]
        message = f"{_capital(words)} is not covered by a route, so it goes to the otherwise."
        fix = "Add a route for it, or widen the one beside it."
        draft.says(place, "gap", message, fix, warning=True)


def _tell_nowhere(words: Sequence[str], block: Block, draft: Draft) -> None:
    """Say with the missing otherwise which numbers it is missed for."""
    place = block.key("next")
    for index, problem in enumerate(draft.problems):
        if words and (problem.where, problem.rule) == (place, "no-otherwise"):
            message = f"{problem.message} {_capital(' and '.join(words))} goes nowhere."
            draft.problems[index] = replace(problem, message=message)


def _check_overlaps(split: Parting, whens: Sequence[Written], draft: Draft) -> None:
    gone = [0]
    for takes in split.takes:
        gone.append(gone[-1] | takes)
    for second, mine in enumerate(split.takes):
        for first, theirs in enumerate(split.takes[:second]):
            both = mine & theirs
            if not both or both in (mine, theirs) or not both & ~gone[first]:
                continue
            go, other = (
                written.block.text(*written.steps[:-1], "go")
                for written in (whens[first], whens[second])
            )
            if go == other:
                continue
            words = _capital(" and ".join(split.words(both & ~gone[first])))
            message = f"{words} is covered by two routes. The first one, to '{go}', is used."
            fix = "End one range where the other begins."
            draft.says(whens[second].where, "overlap", message, fix, warning=True)


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]


# -- figures no chair and no body has: written in mm or inches where the fit is read in cm --------

_MOST = {"cm": 300.0, "kg": 300.0}
"""Taller and heavier than people and their desks are; common practice, no source."""


def check_far_off(conditions: Iterable[Written], draft: Draft) -> None:
    """Note each comparison of ``fit.`` or ``body.`` with a figure far beyond it."""
    for written in conditions:
        if not any("." in name for name in written.condition.names):
            continue
        for name, value, offset in compared_figures(written.condition.node):
            unit = values_of(name).unit
            if "." in name and abs(value) > _MOST[unit]:
                message = f"'{name}' is in {unit}, and {value:g} {unit} is far too much."
                fix = f"Did you mean {value / 10:g}?" if unit == "cm" else f"Write it in {unit}."
                draft.says(written.inside(offset), "far-off", message, fix, warning=True)


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
    for written in conditions:
        for name, value, offset in compared_figures(written.condition.node):
            kg = from_unit(value, weights[name]) if name in weights else 0.0
            if kg <= STANDARD_USER + _CLOSE:
                continue
            where, limit = written.inside(offset), _repeated(kg, draft)
            if limit is not None:
                limited = f"{draft.limits[limit]:.4g} kg"
                message = f"{value:g} repeats a limit of the chairs on sale, {limited}."
                fix = f"Write {limit}, which follows the range."
                draft.says(where, "repeated-limit", message, fix)
            elif draft.limits:
                message = f"{value:g} is not a weight limit of any chair on sale."
                fix = f"Where a limit of the range is meant, write {HEAVIEST_CALLER}."
                draft.says(where, "weight-limit", message, fix, warning=True)
    for block, steps in _texts(draft):
        for match in _KILOGRAMS.finditer(block.text(*steps) or ""):
            limit = _repeated(float(match[1]), draft)
            if limit is None or float(match[1]) <= STANDARD_USER:
                continue
            message = f"'{match[0]}' repeats a limit of the chairs on sale."
            fix = f"Write <{limit}>, which follows the range and is in the caller's unit."
            if steps[0] in QUESTION_TEXTS:
                fix = "Ask without the figure: it would stay when the range changes."
            draft.says(block.inside(steps, match.start()), "repeated-limit", message, fix)


def _repeated(kg: float, draft: Draft) -> str | None:
    limits = (limit for limit in (HIGHEST_RATING, HEAVIEST_CALLER) if limit in draft.limits)
    return next((limit for limit in limits if abs(draft.limits[limit] - kg) < _CLOSE), None)


def _texts(draft: Draft) -> Iterator[tuple[Block, tuple[str, ...]]]:
    for block in draft.questions.values():
        yield from ((block, steps) for steps in question_texts(block))
    for block in draft.blocks("cautions", "advice", "needs"):
        yield from ((block, (key,)) for key in ("say", "because", "employer"))


# -- figures that advice and needs change: what cannot be, and what would tell of an illness -------


def check_adjusts(conditions: Sequence[Written], draft: Draft) -> None:
    """Note each change of a figure that cannot be, or that would tell of an illness."""
    for block in draft.blocks("advice", "needs"):
        text = block.text("adjusts")
        adjusts = parse_adjusts(text or "")
        if adjusts is not None:
            _check_figure(adjusts, block, draft)
            if adjusts.question:
                _check_question(adjusts.question, block, draft)
        elif text is not None:
            fix = "Write it like this: heel + 3 cm, at most 6 cm."
            draft.says(block.place("adjusts"), "adjusts", _why_not(text), fix)
    for written in conditions:
        if written.part in ("advice", "needs") and adjusts_of(written.block) is not None:
            for name in sorted(written.condition.names):
                _check_read(name, written.block, draft)


def _why_not(text: str) -> str:
    """What is wrong with a change that cannot be read."""
    message = f"'{' '.join(text.split())}'"
    if re.search(r"[0-9],[0-9]", text):
        return f"{message} has a comma in a number, which has a decimal point."
    if re.search(r" [-\u2010-\u2015\u2212] ", text):
        return f"{message} takes something away, and a figure can only be added to."
    if re.search(r"[0-9](?:,|$| *,)", text) and not re.search(rf"[0-9] ?(?:{UNITS_ADDED})\b", text):
        return f"{message} has a number without a unit."
    if re.search(rf"[0-9](?:{UNITS_ADDED})\b", text):
        return f"{message} has no space before a unit."
    if "+" in text and "at most" not in text:
        return f"{message} does not say with 'at most' how much there is to be in all."
    return f"{message} does not say which figure changes, and by how much."


def _check_figure(adjusts: Adjusts, block: Block, draft: Draft) -> None:
    where = block.place("adjusts")
    most = FIGURES.get(adjusts.figure)
    if most is None:
        message = f"The fit has no figure '{adjusts.figure}' that could be changed."
        fix = nearest(adjusts.figure, sorted(FIGURES)) or f"There are {listed(sorted(FIGURES))}."
        draft.says(where, "adjusts", message, fix)
    elif adjusts.at_most > most:
        message = f"A {adjusts.figure} of more than {most / 10:g} cm is not counted with."
        draft.says(where, "adjusts", message, f"Write at most {most / 10:g} cm, or less.")
    elif adjusts.amount is not None and not 0 < adjusts.amount <= adjusts.at_most:
        message = (
            f"It adds {adjusts.amount / 10:g} cm, but at most {adjusts.at_most / 10:g} cm in all."
        )
        fix = f"Write at most {adjusts.amount / 10:g} cm or more."
        draft.says(
            where, "adjusts", message, fix if adjusts.amount else "Write a length above zero."
        )


def _check_question(name: str, block: Block, draft: Draft) -> None:
    asked = draft.questions.get(name)
    if asked is None:
        message = f"There is no question '{name}'."
        fix = nearest(name, sorted(draft.questions)) or "Write a length, such as 3 cm."
        draft.says(block.place("adjusts"), "adjusts", message, fix)
    elif asked.text("answer") != "length":
        message = f"The answer to '{name}' is not a length, so it cannot be added."
        draft.says(block.place("adjusts"), "adjusts", message, "Name a question for a length.")
    else:
        _check_read(name, block, draft)


def _check_read(name: str, block: Block, draft: Draft) -> None:
    """What the fit works out cannot decide what it counts with; and nobody may see in a figure
    what was said about health."""
    asked = draft.questions.get(name)
    fix = "Remove that name from the condition, or delete adjusts."
    if name.startswith("fit.") or name == "settled":
        message = f"'{name}' follows from the figure that this changes."
        draft.says(block.place("adjusts"), "adjusts", message, fix)
    elif asked is not None and asked.text("private") == "health":
        message = f"Others could find out from the figures what was answered to '{name}'."
        draft.says(block.place("adjusts"), "adjusts", message, fix)
