"""The results of a batch as CSV, and their totals."""

from __future__ import annotations

import csv
import io
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from typing import Any, get_args

from consult.call.basis import Basis
from consult.call.batch import Worked, to_ask
from consult.call.state import State
from consult.fit.assess import with_seat_as_set
from consult.range.model import Range
from consult.range.parts import OPTIONS, Kind
from consult.scale import money
from consult.summary.readers import cautions_to_keep, tells, withheld_questions
from consult.summary.specification import NO_CHAIR, part_lines
from consult.units import to_unit
from consult.visible import BOM, guarded, harmless

ResultRow = dict[str, Any]

_ADDED: tuple[Kind, ...] = ("base", "model")
"""Kinds that came later: their columns stand last."""
_KINDS: tuple[Kind, ...] = tuple(
    kind for kind in get_args(Kind) if kind not in (*_ADDED, *OPTIONS, "delivery")
)
_ORDER: tuple[Kind, ...] = ("model", *_KINDS, "base")
_SHOWS = {"metric": ("cm",), "imperial": ("in",), "both": ("cm", "in")}


def csv_text(rows: Sequence[ResultRow], delimiter: str, currency: str) -> str:
    """The results as CSV for a spreadsheet; lengths have a column for each unit."""
    read = {unit for row in rows for unit in _SHOWS[row["units"]]}
    units = [unit for unit in ("cm", "in") if unit in read]
    written = io.StringIO(newline="")
    writer = csv.writer(written, delimiter=delimiter, lineterminator="\n")
    writer.writerow(dict(_cells(rows[0], units, currency)))
    writer.writerows(dict(_cells(row, units, currency)).values() for row in rows)
    return BOM + written.getvalue()


def _cells(row: ResultRow, units: Sequence[str], currency: str) -> Iterator[tuple[str, str]]:
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


def _codes(kinds: Sequence[Kind], parts: Mapping[str, ResultRow]) -> Iterator[tuple[str, str]]:
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


def at_team_prices(rows: Sequence[ResultRow], range_: Range) -> list[ResultRow]:
    """The rows at what one part costs where so many of it are ordered together."""
    sold = {part.code: part for of_kind in range_.parts.values() for part in of_kind}
    order = _to_order(rows)
    if not any(sold[code].quantity_prices for _, code, _ in order):
        return list(rows)
    prices = {code: sold[code].price_for(count) for (_, code, _), count in order.items()}

    def price(row: ResultRow) -> float:
        return sum(round(100 * prices[p["code"]]) for p in row["parts"] if not p["within"]) / 100

    return [row | {"price": price(row)} if row["status"] == "done" else row for row in rows]


def _to_order(rows: Sequence[ResultRow]) -> Counter[tuple[Kind, str, str]]:
    """How many of each part all rows that are done order; the parts of a model in the model."""
    return Counter(
        (p["kind"], p["code"], p["name"])
        for row in rows
        if row["status"] == "done"
        for p in row["parts"]
        if not p["within"]
    )


def total_lines(rows: Sequence[ResultRow], currency: str) -> Iterator[str]:
    """The totals: rows done, rows left out, and the parts to order."""
    by_status: dict[str, list[int]] = {}
    for row in rows:
        by_status.setdefault(row["status"], []).append(row["line"])
    done = [row for row in rows if row["status"] == "done"]
    counted = "1 row" if len(rows) == 1 else f"{len(rows)} rows"
    yield f"{counted}, {len(done)} done."
    for status, title in (
        ("bad", "With errors"),
        ("stopped", "Stopped for safety"),
        ("no chair", "No suitable chair"),
    ):
        if lines := by_status.get(status):
            yield f"{title}: line{'s' if len(lines) > 1 else ''} {', '.join(map(str, lines))}."
    if not done:
        return
    yield "To order:"
    order = _to_order(rows)
    for kind, code, name in sorted(order, key=lambda row: (_ORDER.index(row[0]), row[1])):
        yield f"  {order[kind, code, name]:>4} x {code:<14} {name}"
    pence = sum(round(100 * row["price"]) for row in done)
    days = max(row["lead_days"] for row in done)
    yield f"Together {money(pence / 100, currency)}, ready in {days} days."


# -- what the results of a row may show; they go to the buyer of the chairs -----------------------
# Nothing that follows from an answer about health, whatever the person consented to: the consent
# is for choosing the chair, not for showing it to an employer. Only the parts, and that a call
# was stopped, can depend on it.

STOPPED_ROW = "This row was stopped for safety. Speak to this person before you choose a chair."
NOT_HEARD = (
    "Nobody has read this person the list of warning signs. Read it to them before you order."
)
SETTINGS = ("seat_height", "seat_depth", "armrest_height", "footrest_height", "desk_height")


def told(basis: Basis, worked: Worked) -> ResultRow:
    """One row of the results: lengths in mm, shares from 0 to 1, lists where there are several."""
    row: ResultRow = {
        "line": worked.line,
        "reference": worked.reference,
        "status": "bad",
        "why": "",
        "units": worked.system,
        "settings": {},
        "p_fits": None,
        "parts": [],
        "price": None,
        "lead_days": None,
        "cautions": [],
        "ask_next": list(to_ask(basis, worked)),
        "not_used": list(worked.not_used),
        "note": worked.note,
        "bad": [
            {"column": bad.place + 1, "heading": bad.heading, "say": bad.say} for bad in worked.bad
        ],
    }
    now, shown = worked.state, worked.told
    if now is None or shown is None:
        row["why"] = " ".join(f"{bad.heading}: {bad.say}" for bad in worked.bad)
        return row
    withheld = withheld_questions(basis.tree, consent=None)
    raised = cautions_to_keep(withheld, (shown if now.stopped is None else now).cautions)
    row["cautions"] = [
        caution_line.name for caution_line in raised if caution_line.name is not None
    ]
    if now.stopped is not None:
        # A stop is told before anything else; others beside it would hint at what it was.
        row["status"], row["why"] = "stopped", STOPPED_ROW
        if tells(withheld, now.stopped.when, now.stopped.say):
            row["cautions"] = []
        else:
            told_why = (
                caution_line.say for caution_line in raised if caution_line.name == now.stopped.name
            )
            row["why"] = next(told_why, STOPPED_ROW)
        return row
    result = row | _chair(now, withheld)
    if any(step.question.signs and step.status != "answered" for step in now.steps):
        result["why"] = f"{NOT_HEARD} {result['why']}".strip()
    return result


def sent_elsewhere(basis: Basis, worked: Worked) -> bool:
    """Whether a referral applies that the results may not show."""
    if worked.state is None:
        return False
    withheld = withheld_questions(basis.tree, consent=None)
    return any(
        raised.caution.level != "note" and tells(withheld, raised.caution.when, raised.caution.say)
        for raised in worked.state.cautions
    )


def _chair(now: State, withheld: frozenset[str]) -> ResultRow:
    """The chair, its settings and shortfalls; without a chair, the settings it would need."""
    system = now.call.system
    picked, fit, chosen = now.picked, now.fit, now.chosen
    assert picked is not None
    assert fit is not None
    assert chosen is not None
    set_up = with_seat_as_set(fit, picked, now.workplace.desk)
    wanted = {name: requirement.target for name, requirement in set_up.requirements.items()}
    set_to: Mapping[str, float] = picked.settings if picked.parts else wanted
    settings = {**set_to, **{n: mm for n, mm in wanted.items() if n == "desk_height"}}
    short = " ".join(shortfall.say.text(system) for shortfall in picked.shortfalls)
    result: ResultRow = {
        "status": "done" if picked.parts else "no chair",
        "why": short,
        "settings": {name: round(settings[name], 1) for name in SETTINGS if name in settings},
    }
    if not picked.parts:
        secret = any(tells(withheld, need.when, need.because) for need in now.needs)
        return result | {"why": NO_CHAIR.text(system) if secret else short}
    best = chosen.choice.best
    return result | {
        "p_fits": round(best.p_fits, 4) if best else None,
        "parts": [
            {"kind": part.kind, "code": part.code, "name": part.name, "within": part.within}
            for part in part_lines(chosen.chosen_for.range, picked)
        ],
        "price": picked.price,
        "lead_days": picked.lead_days,
    }
