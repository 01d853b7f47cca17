"""The parts of another product as a price list, and a list put into the file that declares it.

Everything in that file but its parts stays as it is, to the byte.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from consult.content.price_list.columns import BY_NAME, NEEDED, PRODUCT_COLUMNS, Column
from consult.content.price_list.export import Decimal, csv_text, row_of
from consult.content.price_list.reading import Layout, ListedRow, PriceList, at_home, listed_rows
from consult.marked.marks import Marked, load_marked
from consult.range.fitting_file import load_fitting, numbers_of_kind

if TYPE_CHECKING:
    from consult.problems import Problem
    from consult.range.model import Range


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
            ends = dict.fromkeys(f"{end / by:.2f}".rstrip("0").rstrip(".") for end in (low, high))
            row[name] = f"{' - '.join(ends)} {unit}"
        rows.append(row)
    numbers = dict.fromkeys(name for row in rows for name in row if name not in PRODUCT_COLUMNS)
    order = [*NEEDED, *numbers, *(name for name in BY_NAME if name in PRODUCT_COLUMNS - {*NEEDED})]
    known = {**{name: Column(name, "measure", "", "") for name in numbers}, **BY_NAME}
    used = [known[name] for name in order if any(row.get(name) for row in rows)]
    return csv_text(used, rows, decimal)


def product_guide(path: Path) -> str:
    """The columns that a list of this product may have, for people."""
    marked, _ = load_marked(path)
    if marked is None or load_fitting(path)[0] is None:
        return f"{path} has mistakes: consult check."
    layout = _layout(marked)
    kinds = ", ".join(layout.kinds)
    rows = [
        f"  {one.name.replace('_', ' '):<15} {kinds if one.name == 'kind' else one.means}"
        for one in layout.columns
    ]
    head = (
        "The first row names the columns, in any order. One row is one part. Lengths are cm and",
        "weights kg, unless the cell or the heading says otherwise.",
    )
    return "\n".join((*head, "", *rows))


def into_product(file: Path, content: bytes, path: Path) -> PriceList:
    """A list read into the file at ``path``; every mistake is told, by row and column."""
    marked, problems = load_marked(path)
    old, told = load_fitting(path)
    if marked is None or old is None:
        return PriceList(None, "", [*problems, *told], 0)
    found: list[Problem] = []
    rows, at = listed_rows(file, content, old.currency, _layout(marked), found)
    if any(one.severity == "error" for one in found) or not at:
        return PriceList(None, "", sorted(found, key=lambda one: one.where), len(rows))
    text, origin = _with_parts(path, marked, rows)
    range_, wrong = load_fitting(path, {path: text})
    found += [at_home(one, file, origin, at) for one in wrong]
    return PriceList(range_, text, found, len(rows))


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
        columns=[*(one for one in BY_NAME.values() if one.name in PRODUCT_COLUMNS), *numbers],
        kinds={kind.replace("_", " "): kind for kind in kinds},
        fields=lambda kind: {*PRODUCT_COLUMNS, *numbers_of_kind(kinds[kind])},
        needed=lambda kind: {*needed, *numbers_of_kind(kinds[kind])},
        features={name for kind in kinds.values() for name in kind.get("features", ())},
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
