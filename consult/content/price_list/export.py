"""A range, or the parts of another product, as a price list that reads back the same."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Iterable, Mapping
from pathlib import Path
from typing import Any, Literal

from consult.content.names_in_words import spaced
from consult.content.price_list.columns import (
    COLUMN_BY_NAME,
    NEEDED_COLUMNS,
    PRICE_COLUMNS,
    PRODUCT_COLUMNS,
    SECTION_OF,
    Column,
    written_number,
)
from consult.content.price_list.reading import Layout, ListedRow, PriceList, at_home, listed_rows
from consult.marked.marks import Marked, load_marked
from consult.problems import Problem
from consult.range.fitting_file import load_fitting, numbers_of_kind
from consult.range.model import Range
from consult.range.parts import Part

Decimal = Literal["point", "comma"]
TEMPLATE = "prices.csv"

_EXAMPLES: tuple[tuple[str, Mapping[str, str]], ...] = (
    (
        "seat;S/M-100;Medium seat;172.50;5",
        {"rating": "130", "depth": "390-450", "width": "490", "compression": "25"}
        | {"features": "seat slide", "guarantee": "5 years", "find": "Lever at the front"},
    ),
    (
        "seat;S/L-100;Large seat;214;10",
        {"rating": "160 kg", "depth": "43-50 cm", "width": "540", "compression": "20"}
        | {"features": "seat slide + heavy duty"},
    ),
    (
        "gas lift;G-STD;Standard gas lift;28;5",
        {"rating": "130", "seat_height": "420-540", "stated": "unloaded", "find": "Lever, right"},
    ),
    (
        "gas lift;G-HD;Strong gas lift;64;12",
        {"rating": "160", "seat_height": "415-520", "stated": "loaded", "features": "heavy duty"}
        | {"not_with": "S/M-100"},
    ),
    (
        "back;B-HIGH;High back;132;5",
        {"rating": "160", "features": "heavy duty", "tilt": "0 to 20"}
        | {"tilt_find": "Flat lever, left", "quantity_prices": "5: 125,00 + 20: 118,50"},
    ),
    ("lumbar;L-FIX;Built-in lumbar support;0;5", {"height": "190"}),
    ("arms;A-NONE;No arms;0;5", {"features": "no arms"}),
    (
        "arms;A-UP-L;Height-adjustable arms;74;5",
        {"height": "170-270", "stated": "unloaded", "between": "470-540"}
        | {"features": "arms height", "also": "A-UP-R"},
    ),
    (
        "castors;C-SOFT;Soft castors for hard floors;16;5",
        {"rating": "160", "adds": "0", "features": "soft castors"},
    ),
    (
        "castors;C-HARD;Hard castors for carpet;12;5",
        {"rating": "160", "adds": "0", "features": "hard castors"},
    ),
    ("base;F-ALU;Aluminium base;45;5", {"rating": "160", "adds": "15", "features": "heavy duty"}),
    ("base;F-PLA;Plastic base;0;5", {"rating": "130", "adds": "0"}),
    ("footrest;R-LOW;Low footrest;36;3", {"height": "40-110"}),
    ("headrest;H-1;Headrest;58;5", {"fits_with": "B-HIGH"}),
    ("foot ring;FR-1;Foot ring;49;5", {"fits_with": "G-STD"}),
    ("fabric;W-GREY;Grey wool;0;0", {"group": "A"}),
    ("fabric;W-BLUE;Blue wool;40;10", {"group": "B"}),
    (
        "model;M-BASIC;Basic chair;345;5",
        {"parts": "S/M-100 + G-STD + B-HIGH + L-FIX + A-NONE + C-HARD + F-PLA"}
        | {"photo": "basic.jpg", "quantity_prices": "10: 329"},
    ),
    ("delivery;D-IE;Delivery in Ireland;25;2", {"country": "IE", "free_from": "500"}),
    ("delivery;D-ALL;Delivery abroad;80;", {}),
)
"""The first five columns of a row, and its others."""


def template(currency: str) -> str:
    """A list without a part, with examples that are not read."""
    heads = [column.name.replace("_", " ") for column in PRICE_COLUMNS]
    heads[heads.index("price")] = f"price {currency}"
    more = PRICE_COLUMNS[len(NEEDED_COLUMNS) :]
    return "\n".join(
        (
            "# One row is one part. Rows that begin with # are not read: copy an example, take",
            "# the # away and change it. What each column holds: consult range columns",
            ";".join(heads),
            *(
                ";".join((f"# {first}", *(row.get(column.name, "") for column in more)))
                for first, row in _EXAMPLES
            ),
            "",
        )
    )


def price_list(range_: Range, decimal: Decimal = "point") -> str:
    """Every part of a range, discontinued ones too, with the columns that hold something."""
    rows = [row_of(part) for kind in SECTION_OF for part in range_.parts.get(kind, ())]
    used = [column for column in PRICE_COLUMNS if any(row.get(column.name) for row in rows)]
    return price_csv(used, rows, decimal)


def price_csv(columns: list[Column], rows: Iterable[Mapping[str, str]], decimal: Decimal) -> str:
    """A table that a spreadsheet opens."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, delimiter=";", lineterminator="\n")
    writer.writerow(column.name.replace("_", " ") for column in columns)
    for row in rows:
        cells = [row.get(column.name, "") for column in columns]
        writer.writerow(
            cell.replace(".", ",") if decimal == "comma" and column.holds in _NUMBERS else cell
            for column, cell in zip(columns, cells, strict=True)
        )
    return out.getvalue()


_NUMBERS = ("money", "length", "span", "mass", "degrees", "prices", "measure")


def _number(value: float | None) -> str:
    return "" if value is None else written_number(value)


def _span(value: tuple[float, float] | None) -> str:
    if value is None:
        return ""
    low, high = value
    return _number(low) if low == high else f"{_number(low)}-{_number(high)}"


_WRITERS: Mapping[str, Callable[[Any], str]] = {
    "kind": spaced,
    **dict.fromkeys(("text", "stated", "days"), str),
    **dict.fromkeys(("money", "length", "mass"), _number),
    "span": _span,
    "flag": lambda yes: "yes" if yes else "",
    "day": lambda day: day.isoformat() if day else "",
    "list": lambda names: " + ".join(
        spaced(name) for name in (names if isinstance(names, tuple) else sorted(names))
    ),
    "degrees": lambda tilt: f"{tilt[0]:g} to {tilt[1]:g}" if tilt else "",
    "prices": lambda costs: " + ".join(f"{pieces}: {_number(price)}" for pieces, price in costs),
}
"""What a column holds -> the cell of what a part has there."""


def row_of(part: Part) -> dict[str, str]:
    """The cells of one part; none for what it has not."""
    fields = {
        column.name: "made_of" if column.name == "parts" else column.name
        for column in PRICE_COLUMNS
    }
    row = {
        column.name: _WRITERS[column.holds](getattr(part, fields[column.name]))
        for column in PRICE_COLUMNS
    }
    if part.kind == "delivery" and not part.lead_days:
        del row["lead_days"]
    if part.kind != "seat":
        del row["compression"]
    if part.kind not in ("castors", "base"):
        del row["adds"]
    if part.kind != "gas_lift" and (part.kind != "arms" or part.height is None):
        del row["stated"]
    return row


# -- the parts of another product as a price list, and a list put into the file that declares it --
# Everything in that file but its parts stays as it is, to the byte.


def product_list(range_: Range, decimal: Decimal = "point") -> str:
    """Every part, discontinued ones too, with the columns that hold something."""
    fitting = range_.fitting
    assert fitting is not None, "asked of what declares what it is"
    rows = []
    for part in (part for kind in fitting.kinds for part in range_.parts[kind]):
        row = {name: cell for name, cell in row_of(part).items() if name in PRODUCT_COLUMNS}
        for name, (low, high) in fitting.numbers[part.code].items():
            # A length as people write it, in cm; a mass in kg.
            by, unit = (1, "kg") if f"{part.kind}.{name}" in fitting.masses else (10, "cm")
            ends = dict.fromkeys(written_number(end / by) for end in (low, high))
            row[name] = f"{' - '.join(ends)} {unit}"
        rows.append(row)
    numbers = dict.fromkeys(name for row in rows for name in row if name not in PRODUCT_COLUMNS)
    order = [
        *NEEDED_COLUMNS,
        *numbers,
        *(name for name in COLUMN_BY_NAME if name in PRODUCT_COLUMNS - {*NEEDED_COLUMNS}),
    ]
    known = {**{name: Column(name, "measure", "", "") for name in numbers}, **COLUMN_BY_NAME}
    used = [known[name] for name in order if any(row.get(name) for row in rows)]
    return price_csv(used, rows, decimal)


def product_guide(path: Path) -> str:
    """The columns that a list of this product may have, for people."""
    marked, _ = load_marked(path)
    if marked is None or load_fitting(path)[0] is None:
        return f"{path} has mistakes: consult check."
    layout = _layout(marked)
    kinds = ", ".join(layout.kinds)
    rows = [
        f"  {column.name.replace('_', ' '):<15} {kinds if column.name == 'kind' else column.means}"
        for column in layout.columns
    ]
    head = (
        "The first row names the columns, in any order. One row is one part. Lengths are cm and",
        "weights kg, unless the cell or the heading says otherwise.",
    )
    return "\n".join((*head, "", *rows))


def into_product(file: Path, content: bytes, path: Path) -> PriceList:
    """A list read into the file at ``path``; every mistake is told, by row and column."""
    marked, problems = load_marked(path)
    old, mistakes = load_fitting(path)
    if marked is None or old is None:
        return PriceList(None, "", [*problems, *mistakes], 0)
    row_problems: list[Problem] = []
    rows, at = listed_rows(file, content, old.currency, _layout(marked), row_problems)
    if any(problem.severity == "error" for problem in row_problems) or not at:
        return PriceList(
            None, "", sorted(row_problems, key=lambda problem: problem.where), len(rows)
        )
    text, origin = _with_parts(path, marked, rows)
    range_, wrong = load_fitting(path, {path: text})
    row_problems += [at_home(problem, file, origin, at) for problem in wrong]
    return PriceList(range_, text, row_problems, len(rows))


def _layout(marked: Marked) -> Layout:
    kinds: Mapping[str, Mapping[str, list[str]]] = marked.data["kinds"]
    units = {name: unit for kind in kinds.values() for name, unit in numbers_of_kind(kind).items()}
    numbers = [
        Column(name, "weight", "a weight", "80 kg")
        if unit == "kg"
        else Column(name, "measure", "a length or a span", "62 - 128 cm")
        for name, unit in units.items()
    ]
    needed = PRODUCT_COLUMNS & {"code", "name", "price", "kind"}
    return Layout(
        columns=[
            *(column for column in COLUMN_BY_NAME.values() if column.name in PRODUCT_COLUMNS),
            *numbers,
        ],
        kinds={kind.replace("_", " "): kind for kind in kinds},
        fields=lambda kind: {*PRODUCT_COLUMNS, *numbers_of_kind(kinds[kind])},
        needed=lambda kind: {*needed, *numbers_of_kind(kinds[kind])},
        features=dict.fromkeys(
            name for kind in kinds.values() for name in kind.get("features", ())
        ),
    )


def _with_parts(
    path: Path, marked: Marked, rows: list[ListedRow]
) -> tuple[str, dict[int, tuple[int, str]]]:
    """The file with these parts, and for each of its lines the row and column it comes from."""
    lines = path.read_text("utf-8-sig").splitlines()
    begins = marked.key("parts").line
    later = [marked.key(name).line for name in marked.data if marked.key(name).line > begins]
    rest = lines[min(later) - 1 :] if later else []
    made = lines[:begins]
    origin: dict[int, tuple[int, str]] = {begins: (rows[0].where if rows else 1, "kind")}
    for row in rows:
        cells = {"kind": row.kind or "", **row.values}
        for number, (name, value) in enumerate(cells.items()):
            made.append(f"  {'- ' if not number else '  '}{name}: {value}")
            origin[len(made)] = row.where, name
    return "\n".join([*made, *([""] if rest else []), *rest]) + "\n", origin
