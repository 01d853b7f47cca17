"""A range as a price list that reads back as the same range, and the template of a new one."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Mapping
from typing import Literal

from consult.content.price_list.columns import COLUMNS, SECTION_OF, Column
from consult.fit.range_model import Part, Range

Decimal = Literal["point", "comma"]
TEMPLATE = "prices.csv"

_EXAMPLES = (
    "seat;S/M-100;Medium seat;172.50;5;130;390-450;490;25;;;;;;seat slide;;;;Lever at the front",
    "seat;S/L-100;Large seat;214;10;160 kg;43-50 cm;540;20;;;;;;seat slide + heavy duty;;;;",
    "gas lift;G-STD;Standard gas lift;28;5;130;;;;420-540;;unloaded;;;;;;;Lever on the right",
    "gas lift;G-HD;Strong gas lift;64;12;160;;;;415-520;;loaded;;;heavy duty;;S/M-100;;",
    "back;B-HIGH;High back;132;5;160;;;;;;;;;heavy duty;;;;",
    "lumbar;L-FIX;Built-in lumbar support;0;5;;;;;;190;;;;;;;;",
    "arms;A-NONE;No arms;0;5;;;;;;;;;;no arms;;;;",
    "arms;A-UP;Height-adjustable arms;74;5;;;;;;170-270;unloaded;470-540;;arms height;;;;",
    "castors;C-SOFT;Soft castors for hard floors;16;5;160;;;;;;;;0;soft castors;;;;",
    "castors;C-HARD;Hard castors for carpet;12;5;160;;;;;;;;0;hard castors;;;;",
    "footrest;R-LOW;Low footrest;36;3;;;;;;40-110;;;;;;;;",
)
_TEMPLATE_COLUMNS = (
    *("kind", "code", "name", "price", "lead_days", "rating", "depth", "width", "compression"),
    *("seat_height", "height", "stated", "between", "adds", "features", "fits_with", "not_with"),
    *("discontinued", "find"),
)


def template(currency: str) -> str:
    """A list without a part, with examples that are not read."""
    heads = [name.replace("_", " ") for name in _TEMPLATE_COLUMNS]
    heads[_TEMPLATE_COLUMNS.index("price")] = f"price {currency}"
    return "\n".join(
        (
            "# One row is one part. Rows that begin with # are not read: copy an example, take",
            "# the # away and change it. What each column holds: consult range columns",
            ";".join(heads),
            *(f"# {row}" for row in _EXAMPLES),
            "",
        )
    )


def price_list(range_: Range, decimal: Decimal = "point") -> str:
    """Every part of a range, discontinued ones too, with the columns that hold something."""
    rows = [row_of(part) for kind in SECTION_OF for part in range_.parts.get(kind, ())]
    used = [one for one in COLUMNS if any(row.get(one.name) for row in rows)]
    return _csv(used, rows, decimal)


def _csv(columns: list[Column], rows: Iterable[Mapping[str, str]], decimal: Decimal) -> str:
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


_NUMBERS = ("money", "length", "span", "mass")
_WORD_OF = {kind: kind.replace("_", " ") for kind in SECTION_OF}


def row_of(part: Part) -> dict[str, str]:
    """The cells of one part; none for what it has not."""
    row = {
        "kind": _WORD_OF[part.kind],
        "code": part.code,
        "name": part.name,
        "price": _number(part.price),
        "lead_days": str(part.lead_days),
        "rating": _number(part.rating),
        "depth": _span(part.depth),
        "width": _number(part.width),
        "compression": _number(part.compression) if part.kind == "seat" else "",
        "seat_height": _span(part.seat_height),
        "height": _span(part.height),
        "between": _span(part.between),
        "adds": _number(part.adds) if part.kind == "castors" else "",
        "raises": _span(part.raises),
        "features": " + ".join(one.replace("_", " ") for one in sorted(part.features)),
        "fits_with": " + ".join(sorted(part.fits_with)),
        "not_with": " + ".join(sorted(part.not_with)),
        "discontinued": "yes" if part.discontinued else "",
        "until": part.until.isoformat() if part.until else "",
        "find": part.find,
    }
    if part.kind == "gas_lift" or (part.kind == "arms" and part.height is not None):
        row["stated"] = part.stated
    return row


def _number(value: float | None) -> str:
    """Written so that no reader takes a point for a thousands separator: 1.25, never 1.250."""
    return "" if value is None else f"{value:.2f}".rstrip("0").rstrip(".")


def _span(value: tuple[float, float] | None) -> str:
    if value is None:
        return ""
    low, high = value
    return _number(low) if low == high else f"{_number(low)}-{_number(high)}"
