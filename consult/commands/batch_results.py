"""The results of a batch as CSV, and their totals."""

from __future__ import annotations

import csv
import io
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from typing import Any, get_args

from consult.cells import MARK, guarded
from consult.commands.batch_told import SETTINGS
from consult.fit.range_model import OPTIONS, Kind
from consult.summary.harmless import harmless
from consult.units import to_unit

Json = dict[str, Any]

_ADDED: tuple[Kind, ...] = ("base", "model")
"""Kinds that came later: their columns stand last."""
_KINDS: tuple[Kind, ...] = tuple(
    kind for kind in get_args(Kind) if kind not in (*_ADDED, *OPTIONS, "delivery")
)
_ORDER: tuple[Kind, ...] = ("model", *_KINDS, "base")
_SHOWS = {"metric": ("cm",), "imperial": ("in",), "both": ("cm", "in")}


def csv_text(rows: Sequence[Json], delimiter: str, currency: str) -> str:
    """The results as CSV for a spreadsheet; lengths have a column for each unit."""
    read = {unit for row in rows for unit in _SHOWS[row["units"]]}
    units = [unit for unit in ("cm", "in") if unit in read]
    written = io.StringIO(newline="")
    writer = csv.writer(written, delimiter=delimiter, lineterminator="\n")
    writer.writerow(dict(_cells(rows[0], units, currency)))
    writer.writerows(dict(_cells(row, units, currency)).values() for row in rows)
    return MARK + written.getvalue()


def _cells(row: Json, units: Sequence[str], currency: str) -> Iterator[tuple[str, str]]:
    """Heading and text of each cell of a row."""
    yield "reference", safe(row["reference"])
    yield "line", str(row["line"])
    yield "status", row["status"]
    yield "why", safe(row["why"])
    for name in SETTINGS:
        mm = row["settings"].get(name)
        for unit in units:
            shown = mm is not None and unit in _SHOWS[row["units"]]
            yield f"{name}_{unit}", f"{to_unit(mm, unit):.1f}" if shown else ""
    yield "fits_of_100", _of_100(row["p_fits"])
    parts = {part["kind"]: part for part in row["parts"]}
    yield from _codes(_KINDS, parts)
    yield f"price_{currency}", "" if row["price"] is None else f"{row['price']:.2f}"
    yield "lead_days", "" if row["lead_days"] is None else str(row["lead_days"])
    for name in ("cautions", "ask_next", "not_used"):
        yield name, safe("; ".join(row[name]))
    yield "note", safe(row["note"])
    yield from _codes(_ADDED, parts)


def _codes(kinds: Sequence[Kind], parts: Mapping[str, Json]) -> Iterator[tuple[str, str]]:
    for kind in kinds:
        yield f"{kind}_code", safe(parts[kind]["code"]) if kind in parts else ""
        yield f"{kind}_name", safe(parts[kind]["name"]) if kind in parts else ""


def safe(text: str) -> str:
    """A text on one line that is no formula to a spreadsheet and no command to a terminal."""
    return guarded(harmless(text))


def _of_100(share: float | None) -> str:
    """A share from 0 to 1 as a whole percentage, never rounded to 0 or 100."""
    if share is None:
        return ""
    rounded = round(100 * share)
    return str(min(max(rounded, int(share > 0)), 100 if share == 1 else 99))


def total_lines(rows: Sequence[Json], currency: str) -> Iterator[str]:
    """The totals: rows done, rows left out, and the parts to order."""
    by_status: dict[str, list[int]] = {}
    for row in rows:
        by_status.setdefault(row["status"], []).append(row["line"])
    done = [row for row in rows if row["status"] == "done"]
    counted = "1 row" if len(rows) == 1 else f"{len(rows)} rows"
    yield f"{counted}, {len(done)} done."
    titles = {
        "bad": "With errors",
        "stopped": "Stopped for safety",
        "no chair": "No suitable chair",
    }
    for status, title in titles.items():
        if status in by_status:
            lines = ", ".join(str(line) for line in by_status[status])
            yield f"{title}: line{'s' if len(by_status[status]) > 1 else ''} {lines}."
    if not done:
        return
    yield "To order:"
    order = Counter(
        (p["kind"], p["code"], p["name"]) for row in done for p in row["parts"] if not p["within"]
    )
    for kind, code, name in sorted(order, key=lambda one: (_ORDER.index(one[0]), one[1])):
        yield f"  {order[kind, code, name]:>4} x {code:<14} {name}"
    pence = sum(round(100 * row["price"]) for row in done)
    days = max(row["lead_days"] for row in done)
    yield f"Together {currency} {pence / 100:.2f}, ready in {days} days."
