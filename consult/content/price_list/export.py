"""A range as a price list that reads back as the same range, and the template of a new one."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Mapping
from typing import Literal

from consult.content.price_list.columns import COLUMNS, NEEDED, SECTION_OF, Column
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
    heads = [one.name.replace("_", " ") for one in COLUMNS]
    heads[heads.index("price")] = f"price {currency}"
    more = COLUMNS[len(NEEDED) :]
    return "\n".join(
        (
            "# One row is one part. Rows that begin with # are not read: copy an example, take",
            "# the # away and change it. What each column holds: consult range columns",
            ";".join(heads),
            *(
                ";".join((f"# {first}", *(row.get(one.name, "") for one in more)))
                for first, row in _EXAMPLES
            ),
            "",
        )
    )


def price_list(range_: Range, decimal: Decimal = "point") -> str:
    """Every part of a range, discontinued ones too, with the columns that hold something."""
    rows = [row_of(part) for kind in SECTION_OF for part in range_.parts.get(kind, ())]
    used = [one for one in COLUMNS if any(row.get(one.name) for row in rows)]
    return csv_text(used, rows, decimal)


def csv_text(columns: list[Column], rows: Iterable[Mapping[str, str]], decimal: Decimal) -> str:
    """A table that a spreadsheet opens."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, delimiter=";", lineterminator="\n")
    writer.writerow(one.name.replace("_", " ") for one in columns)
    for row in rows:
        cells = [row.get(one.name, "") for one in columns]
        writer.writerow(
            cell.replace(".", ",") if decimal == "comma" and one.holds in _NUMBERS else cell
            for one, cell in zip(columns, cells, strict=True)
        )
    return out.getvalue()


_NUMBERS = ("money", "length", "span", "mass", "degrees", "prices", "measure")
_WORD_OF = {kind: kind.replace("_", " ") for kind in SECTION_OF}


def row_of(part: Part) -> dict[str, str]:
    """The cells of one part; none for what it has not."""
    row = {
        "kind": _WORD_OF.get(part.kind, part.kind.replace("_", " ")),
        "code": part.code,
        "name": part.name,
        "price": _number(part.price),
        "lead_days": str(part.lead_days or "") if part.kind == "delivery" else str(part.lead_days),
        "rating": _number(part.rating),
        "depth": _span(part.depth),
        "width": _number(part.width),
        "compression": _number(part.compression) if part.kind == "seat" else "",
        "seat_height": _span(part.seat_height),
        "height": _span(part.height),
        "between": _span(part.between),
        "adds": _number(part.adds) if part.kind in ("castors", "base") else "",
        "raises": _span(part.raises),
        "features": " + ".join(one.replace("_", " ") for one in sorted(part.features)),
        "fits_with": " + ".join(sorted(part.fits_with)),
        "not_with": " + ".join(sorted(part.not_with)),
        "also": " + ".join(part.also),
        "parts": " + ".join(sorted(part.made_of)),
        "models_only": "yes" if part.models_only else "",
        "group": part.group,
        "guarantee": part.guarantee,
        "country": part.country,
        "free_from": _number(part.free_from),
        "discontinued": "yes" if part.discontinued else "",
        "until": part.until.isoformat() if part.until else "",
        "quantity_prices": " + ".join(f"{n}: {_number(p)}" for n, p in part.quantity_prices),
        "photo": part.photo,
        "tilt": f"{_degrees(part.tilt[0])} to {_degrees(part.tilt[1])}" if part.tilt else "",
        "tilt_find": part.tilt_find,
        "find": part.find,
    }
    if part.kind == "gas_lift" or (part.kind == "arms" and part.height is not None):
        row["stated"] = part.stated
    return row


def _number(value: float | None) -> str:
    """Written so that no reader takes a point for a thousands separator: 1.25, never 1.250."""
    return "" if value is None else f"{value:.2f}".rstrip("0").rstrip(".")


def _degrees(value: float) -> str:
    return f"{value:g}"


def _span(value: tuple[float, float] | None) -> str:
    if value is None:
        return ""
    low, high = value
    return _number(low) if low == high else f"{_number(low)}-{_number(high)}"
