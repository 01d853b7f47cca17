"""A range file read: into a Range, or into what is wrong with the file and where.

Beyond the shape of the file that is its codes, lengths, features, days and what is left on sale.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from consult.former import feature_now
from consult.marked.marks import Marked, Steps, Texts, load_marked
from consult.marked.schema import load_schema, schema_problems
from consult.problems import Problem, Severity, listed, nearest, shortened
from consult.range.fitting import Fitting
from consult.range.model import Range
from consult.range.parts import CHAIR_KINDS, FEATURES, OPTIONS, SECTIONS, Kind, Part, Span
from consult.range.whole import range_as_whole
from consult.recall import recall

_SPAN = re.compile(r"([0-9]+(?:\.[0-9]+)?) to ([0-9]+(?:\.[0-9]+)?)")
_DEGREES = re.compile(r"(-?[0-9]+(?:\.[0-9]+)?) to (-?[0-9]+(?:\.[0-9]+)?)")
_QUANTITY = re.compile(r"[0-9]{1,6} at [0-9]{1,7}(?:\.[0-9]{1,2})?")
_LENGTHS: Mapping[tuple[Kind, str], Span] = {
    ("seat", "depth"): (250, 700),
    ("seat", "width"): (300, 900),
    ("gas_lift", "seat_height"): (200, 1000),
    ("lumbar", "height"): (50, 400),
    ("arms", "height"): (100, 400),
    ("arms", "between"): (300, 900),
    ("footrest", "height"): (10, 400),
    ("desk_raiser", "raises"): (5, 400),
}
"""The lengths of each kind and, in mm, what nobody makes beyond (common practice, no source)."""
_MOST_TILT = 15, 45
"""Degrees forwards and backwards beyond which hardly a chair tilts (common practice, no source)."""
_NEEDS_TRAVEL = {"seat_slide": "depth", "lumbar_height": "height", "arms_height": "height"}
RANGE_SCHEMA = Path(__file__).with_name("range.schema.json")


@dataclass(frozen=True, slots=True)
class _Entry:
    """One part as the file has it, well shaped or not."""

    section: str
    index: int
    kind: Kind
    block: Mapping[str, Any]

    def steps(self, *more: str | int) -> Steps:
        return (self.section, self.index, *more)

    def texts(self, name: str) -> Iterator[tuple[int, str]]:
        """The texts of a list and their positions; what is not text the schema has told of."""
        items = self.block.get(name)
        if isinstance(items, list):
            yield from ((at, item) for at, item in enumerate(items) if isinstance(item, str))


def as_span(value: Any) -> Span | None:
    """'380 to 430' or one number, in mm; None for anything else."""
    if isinstance(value, (int, float)) and not isinstance(value, bool):
        return float(value), float(value)
    match = _SPAN.fullmatch(value) if isinstance(value, str) else None
    return (float(match[1]), float(match[2])) if match else None


def as_degrees(value: Any) -> Span | None:
    """'-4 to 8' or one number, in degrees; None for anything else. One number is from level on."""
    if isinstance(value, (int, float)) and not isinstance(value, bool):
        return min(0.0, float(value)), max(0.0, float(value))
    match = _DEGREES.fullmatch(value) if isinstance(value, str) else None
    return (float(match[1]), float(match[2])) if match else None


def as_quantity_price(value: str) -> tuple[int, float]:
    """'5 at 165': the pieces from which on one costs so much."""
    pieces, _, price = value.partition(" at ")
    return int(pieces), float(price)


def as_day(value: Any) -> date | None:
    """'2027-03-31'; None for anything else."""
    try:
        return date.fromisoformat(value) if isinstance(value, str) else None
    except ValueError:
        return None


def entry_problems(marked: Marked) -> Iterator[Problem]:
    """Problems of the parts one by one and of the codes among them."""
    entries = list(_entries(marked.data))
    kinds: dict[str, _Entry] = {}
    for entry in entries:
        code = entry.block.get("code")
        if not isinstance(code, str):
            continue
        if code in kinds:
            line = marked.value(*kinds[code].steps("code")).line
            message = f"The code '{shortened(code)}' is used already, on line {line}."
            where = marked.value(*entry.steps("code"))
            yield Problem(where, message, "Every part needs a code of its own.", "duplicate-code")
        else:
            kinds[code] = entry
    for entry in entries:
        yield from _code_problems(marked, entry, kinds)
        yield from _length_problems(marked, entry)
        yield from _feature_problems(marked, entry)
        yield from _day_problems(marked, entry)
        yield from _tilt_problems(marked, entry)
        yield from _quantity_problems(marked, entry)
    yield from _nothing_on_sale(marked, entries)


def _entries(data: Any) -> Iterator[_Entry]:
    if not isinstance(data, dict):
        return
    for section, kind in SECTIONS.items():
        blocks = data.get(section)
        if isinstance(blocks, list):
            for index, block in enumerate(blocks):
                if isinstance(block, dict):
                    yield _Entry(section, index, kind, block)


def _code_problems(marked: Marked, entry: _Entry, kinds: Mapping[str, _Entry]) -> Iterator[Problem]:
    others = [code for code, kind in kinds.items() if _may_go(entry.kind, kind.kind)]
    wanted = {code for _, code in entry.texts("fits_with")}
    for name in ("fits_with", "not_with"):
        for at, code in entry.texts(name):
            where = marked.value(*entry.steps(name, at))
            if code not in kinds:
                fix = nearest(code, others) or "Check the code, or leave it out."
                message = f"No part has the code '{shortened(code)}'."
                yield Problem(where, message, fix, "unknown-code")
            elif code not in others:
                message = f"'{shortened(code)}' is never on the same chair as this part anyway."
                yield Problem(where, message, "Leave it out.", "needless-code", "warning")
            elif name == "not_with" and code in wanted:
                message = f"'{shortened(code)}' stands under both fits_with and not_with."
                yield Problem(where, message, "Leave one of the two out.", "contradiction")


def _may_go(kind: Kind, other: Kind) -> bool:
    return kind != other and other in (*CHAIR_KINDS, *OPTIONS)


def _length_problems(marked: Marked, entry: _Entry) -> Iterator[Problem]:
    for (kind, name), (least, most) in _LENGTHS.items():
        span = as_span(entry.block.get(name)) if kind == entry.kind else None
        if span is None:
            continue
        where = marked.value(*entry.steps(name))
        low, high = span
        if low > high:
            message = f"The {_in_words(name)} runs backwards: {low:g} is more than {high:g}."
            yield Problem(where, message, f"Write {high:g} to {low:g}.", "backwards-range")
        elif low < least or high > most:
            odd = low if low < least else high
            message = f"{odd:g} mm is unlikely for the {_in_words(name)} of {_a(kind)}."
            fix = f"Lengths are in mm here; {least:g} to {most:g} would be usual."
            yield Problem(where, message, fix, "unlikely-length", "warning")


def _feature_problems(marked: Marked, entry: _Entry) -> Iterator[Problem]:
    for at, named in entry.texts("features"):
        feature = feature_now(named)
        where = marked.value(*entry.steps("features", at))
        able = [name for name, kinds in FEATURES.items() if entry.kind in kinds]
        if feature not in FEATURES:
            message = f"'{shortened(feature)}' is not a feature."
            fix = nearest(feature, FEATURES) or f"{_a(entry.kind).capitalize()} may have " + (
                f"{listed(able)}."
            )
            yield Problem(where, message, fix, "unknown-feature")
        elif feature not in able:
            owners = listed(_a(kind) for kind in FEATURES[feature])
            message = f"'{feature}' is not something {_a(entry.kind)} can have."
            yield Problem(where, message, f"It belongs to {owners}.", "misplaced-feature")
        elif feature in _NEEDS_TRAVEL:
            length = _NEEDS_TRAVEL[feature]
            span = as_span(entry.block.get(length))
            if span is None or span[0] == span[1]:
                message = f"'{feature}' says that the {length} adjusts, but no travel is given."
                fix = f"Give the {length} as a range, or leave the feature out."
                yield Problem(where, message, fix, "feature-without-travel", "warning")


def _day_problems(marked: Marked, entry: _Entry) -> Iterator[Problem]:
    until = entry.block.get("until")
    if isinstance(until, str) and as_day(until) is None:
        message = f"'{shortened(until)}' is no day of the calendar."
        yield Problem(
            marked.value(*entry.steps("until")), message, "Write 2027-03-31.", "unknown-day"
        )


def _tilt_problems(marked: Marked, entry: _Entry) -> Iterator[Problem]:
    span = as_degrees(entry.block.get("tilt"))
    where = marked.value(*entry.steps("tilt"))
    if span is None:
        if entry.block.get("tilt_find") is not None:
            where = marked.value(*entry.steps("tilt_find"))
            message = "It says where the lever of a tilt is, but not how far it tilts."
            yield Problem(
                where, message, "Give the tilt in degrees: 0 to 20.", "lever-without-tilt"
            )
    elif span[0] > span[1]:
        message = f"The tilt runs backwards: {span[0]:g} is more than {span[1]:g}."
        yield Problem(where, message, f"Write {span[1]:g} to {span[0]:g}.", "backwards-range")
    elif span[0] < -_MOST_TILT[0] or span[1] > _MOST_TILT[1]:
        message = f"{span[0]:g} to {span[1]:g} degrees is unlikely for a chair."
        fix = f"{-_MOST_TILT[0]} to {_MOST_TILT[1]} would be usual; 0 is level, or upright."
        yield Problem(where, message, fix, "unlikely-tilt", "warning")


def _quantity_problems(marked: Marked, entry: _Entry) -> Iterator[Problem]:
    """Prices from so many pieces that begin at one, stand in no order, or rise."""
    before, price = 1, entry.block.get("price")
    for at, text in entry.texts("quantity_prices"):
        if not _QUANTITY.fullmatch(text):
            continue
        pieces, cost = as_quantity_price(text)
        where = marked.value(*entry.steps("quantity_prices", at))
        if pieces <= before:
            message = f"'{text}' comes after {before}, and has to be from more pieces."
            yield Problem(
                where, message, "Write the fewest pieces first, from 2 on.", "pieces-order"
            )
        elif isinstance(price, (int, float)) and cost > price:
            message = f"From {pieces} pieces one costs more than before: {cost:g} after {price:g}."
            yield Problem(where, message, "Look at both prices.", "dearer-in-quantity", "warning")
        before, price = pieces, cost


def _nothing_on_sale(marked: Marked, entries: list[_Entry]) -> Iterator[Problem]:
    for section, kind in SECTIONS.items():
        listed_ = [entry for entry in entries if entry.section == section]
        if listed_ and all(entry.block.get("discontinued") is True for entry in listed_):
            where = marked.key(section)
            message = f"Nothing under '{section}' can be ordered; every part is discontinued."
            fix = "Add the part that is sold instead."
            severity: Severity = "error" if kind in CHAIR_KINDS else "warning"
            yield Problem(where, message, fix, "nothing-on-sale", severity)


def _in_words(name: str) -> str:
    return "width between the arms" if name == "between" else name.replace("_", " ")


def _a(kind: Kind) -> str:
    return _in_words(kind) if kind in ("arms", "castors") else f"a {_in_words(kind)}"


_MOST = 4
_loaded: dict[str, Range] = {}
"""By text: what is worked out of a range is kept with it, and an editor loads it with every
change. When there are ``_MOST``, all are forgotten."""


def load_range(path: Path, texts: Texts | None = None) -> tuple[Range | None, list[Problem]]:
    """Read a range file.

    The range is None where a problem is an error; warnings come along with the range. Nothing a
    file can hold raises an exception. A text of this path is read in place of the file.
    """
    marked, problems = load_marked(path, texts)
    if marked is None:
        return None, problems
    problems = [
        *problems,
        *schema_problems(marked, load_schema(RANGE_SCHEMA)),
        *entry_problems(marked),
    ]
    loaded = None
    if not _errors(problems):
        loaded = recall(_loaded, marked.digest, _MOST, lambda: _built(marked))
        problems += range_as_whole(marked, loaded)
        if _errors(problems):
            loaded = None
    return loaded, sorted(problems, key=lambda problem: problem.where)


def _errors(problems: list[Problem]) -> bool:
    return any(problem.severity == "error" for problem in problems)


def _built(marked: Marked) -> Range:
    data = marked.data
    parts: dict[Kind, tuple[Part, ...]] = {
        kind: tuple(
            _chair_part(kind, block, marked.raw(section, index, "name") or "")
            for index, block in enumerate(data.get(section, ()))
        )
        for section, kind in SECTIONS.items()
    }
    return range_of(marked, data["range"], parts)


def range_of(
    marked: Marked,
    name: str,
    parts: Mapping[Kind, tuple[Part, ...]],
    fitting: Fitting | None = None,
) -> Range:
    """A range with what the head of any file of parts states."""
    return Range(
        name=name,
        maker=marked.raw("maker") or "",
        version=marked.raw("version") or "",
        currency=marked.data["currency"],
        parts=parts,
        vat=marked.data.get("vat", ""),
        fitting=fitting,
    )


def part_of(kind: Kind, block: Mapping[str, Any], name: str, **own: Any) -> Part:
    """A part with what any file of parts may state of it, and what is its own."""
    common: dict[str, Any] = {
        "price": float(block["price"]),
        "lead_days": int(block.get("lead_days", 0)),
        "find": _on_one_line(block.get("find")),
        "discontinued": block.get("discontinued", False),
        "until": as_day(block.get("until")),
        "fits_with": frozenset(block.get("fits_with", ())),
        "not_with": frozenset(block.get("not_with", ())),
        "features": frozenset(block.get("features", ())),
        "guarantee": _on_one_line(block.get("guarantee")),
    }
    return Part(kind, block["code"], name, **{**common, **own})


def _on_one_line(text: Any) -> str:
    return " ".join(str(text or "").split())


def _number(value: Any) -> float | None:
    return None if value is None else float(value)


def _chair_part(kind: Kind, block: dict[str, Any], name: str) -> Part:
    return part_of(
        kind,
        block,
        name,
        features=frozenset(map(feature_now, block.get("features", ()))),
        rating=_number(block.get("rating")),
        depth=as_span(block.get("depth")),
        width=_number(block.get("width")),
        compression=float(block.get("compression", 0.0)),
        seat_height=as_span(block.get("seat_height")),
        height=as_span(block.get("height")),
        stated=block.get("stated", "loaded"),
        between=as_span(block.get("between")),
        adds=float(block.get("adds", 0.0)),
        raises=as_span(block.get("raises")),
        also=tuple(block.get("also", ())),
        models_only=block.get("models_only", False),
        made_of=frozenset(block.get("parts", ())),
        group=str(block.get("group", "")),
        country=block.get("country", ""),
        quantity_prices=tuple(map(as_quantity_price, block.get("quantity_prices", ()))),
        photo=block.get("photo", ""),
        tilt=as_degrees(block.get("tilt")),
        tilt_find=_on_one_line(block.get("tilt_find")),
        free_from=_number(block.get("free_from")),
    )
