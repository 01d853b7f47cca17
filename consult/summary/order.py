"""An agreed order as data for the system that ships: JSON with a version, or one CSV line a part.

Both are made of the order team's document, so they hold nothing that it may not hold.
"""

from __future__ import annotations

import csv
import io
import json
from typing import Any

from consult.summary.model import Summary
from consult.visible import guarded

ORDER_VERSION = "1"
"""Of both forms: raised when a field changes its name or meaning or goes, not when one is added."""
ORDER_COLUMNS = (
    *("order", "date", "hold", "quantity", "code", "name", "kind", "price", "currency", "vat"),
    *("ready", "needed", "to", "address", "country", "contact", "adviser", "late"),
    *("answers", "arrives"),
)
"""Of the CSV form, in this order; new ones are added at the end."""


def is_order(summary: Summary) -> bool:
    """Whether there is anything to send: a chair with parts that was agreed on."""
    chair = summary.specification
    if chair is None or not chair.parts or chair.agreed is None:
        return False
    return chair.agreed.chair in ("recommended", "other")


def waits_for(summary: Summary) -> str:
    """What an order still waits for before it is sent to anybody; '' where it is complete."""
    chair = summary.specification
    if summary.hold:
        return "the adviser"
    return "a fabric" if chair is not None and chair.fabric_open else ""


def order_json(summary: Summary) -> dict[str, Any]:
    """One order. Money is a number in ``currency``; a day is YYYY-MM-DD; null is not known."""
    chair = summary.specification
    assert chair is not None, "asked of an order only"
    return {
        "order_version": ORDER_VERSION,
        "order": summary.call.reference,
        "date": summary.call.date.isoformat(),
        "hold": bool(summary.hold),
        "lines": [
            {"quantity": many, "code": code, "name": part.name, "kind": part.kind, "price": price}
            for many, part in (
                *((chair.pieces, part) for part in chair.parts),
                *([(1, chair.delivery)] if chair.delivery else []),
            )
            if not part.within
            for code, price in ((part.code, part.price), *((code, 0.0) for code in part.also))
        ],
        "total": chair.total,
        "delivery_open": chair.delivery_open,
        "fabric_open": chair.fabric_open,
        "currency": chair.currency,
        "vat": chair.vat or None,
        "ready": chair.ready.isoformat() if chair.ready is not None else None,
        "arrives": chair.arrives.isoformat() if chair.arrives is not None else None,
        "needed": summary.delivery.needed_by or None,
        "late": bool(summary.delivery.late),
        "answers": {answer.question: answer.say for answer in summary.order_answers},
        "deliver_to": {
            "name": summary.call.caller.strip() or None,
            "address": summary.delivery.address or None,
            "country": summary.delivery.country or None,
            "contact": summary.delivery.contact or None,
        },
        "adviser": summary.call.adviser or None,
        "range": summary.made_with.range,
        "range_version": summary.made_with.range_version,
    }


def order_text(summary: Summary) -> str:
    """The JSON form as a file."""
    return json.dumps(order_json(summary), indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def order_csv(summary: Summary) -> str:
    """A heading and one line a part, parted by commas; every line tells the whole order."""
    order = order_json(summary)
    out = io.StringIO(newline="")
    writer = csv.DictWriter(out, ORDER_COLUMNS, lineterminator="\n")
    writer.writeheader()
    to = order["deliver_to"]
    for line in order["lines"]:
        row = {
            **order,
            **to,
            **line,
            "price": f"{line['price']:.2f}",
            "hold": "yes" if order["hold"] else "no",
            "late": "yes" if order["late"] else "no",
            "answers": "; ".join(f"{name}: {answer}" for name, answer in order["answers"].items()),
            "to": to["name"],
        }
        writer.writerow({name: _harmless(row[name]) for name in ORDER_COLUMNS})
    return out.getvalue()


def _harmless(value: object) -> str:
    """One line, and nothing that a spreadsheet reads as a formula."""
    text = "" if value is None else " ".join(str(value).split())
    return guarded(text, {"'"})
