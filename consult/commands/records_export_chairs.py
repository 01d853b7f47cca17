"""Exports for a spreadsheet: a line for each call with its chair, and what an answer means."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING, get_args

from consult.body.population import load_population
from consult.call.state import state
from consult.call.understand import understand
from consult.call.wording import value_words
from consult.commands.reading import basis_named
from consult.fit.range_model import Kind
from consult.records.call_trees import led_with
from consult.summary.model import summarise
from consult.summary.order import is_order, order_json
from consult.units import Unclear

if TYPE_CHECKING:
    from consult.call.basis import Basis
    from consult.call.call import Answer
    from consult.records.kept import Kept

_KINDS = tuple(kind for kind in get_args(Kind) if kind != "delivery")
COLUMNS = (
    *("reference", "started_at", "status", "adviser", "caller_name", "tree", "country", "ordered"),
    *("pieces", *(f"{kind}_code" for kind in _KINDS), *(f"{kind}_name" for kind in _KINDS)),
    *("price_each", "delivery", "total", "currency", "vat", "ready", "needed", "hold"),
)
AMOUNTS = frozenset(["price_each", "delivery", "total"])
"""Columns whose cells are amounts of money: written with the decimal sign that was asked for."""


def basis_of(kept: Kept) -> Basis | None:
    """What a stored call was worked out from; None where its questions cannot be read."""
    basis = basis_named(kept.versions.tree, load_population())[0]
    return led_with(kept.versions, basis) if basis is not None else None


def meaning(basis: Basis | None, kept: Kept, answer: Answer) -> str:
    """An answer in words: the label of "2", the length of "five two"; '' where it has none."""
    question = basis.tree.questions.get(answer.question) if basis is not None else None
    if question is None or question.answer == "text":
        return ""
    try:
        heard = understand(question, answer.said, kept.call.today)
    except Unclear:
        return ""
    if heard.value is None:
        return ""
    return value_words(question, heard.value, kept.call.system)


def chair_lines(calls: Iterable[Kept]) -> Iterator[dict[str, str]]:
    """A line for each call, by column; the cells of the chair are empty where there is none.

    It is what the order team may see, so nothing about health is in it.
    """
    for kept in calls:
        row = dict.fromkeys(COLUMNS, "") | {
            "reference": kept.reference,
            "started_at": kept.started_at.isoformat(),
            "status": kept.status,
            "adviser": kept.adviser,
            "caller_name": kept.caller_name,
            "tree": kept.versions.tree,
            "country": kept.call.country,
        }
        basis = basis_of(kept)
        yield row | (_chair(basis, kept) if basis is not None else {})


def _chair(basis: Basis, kept: Kept) -> dict[str, str]:
    summary = summarise(basis, state(basis, kept.call), reader="order", reference=kept.reference)
    chair = summary.specification
    if chair is None or not chair.parts:
        return {}
    order = order_json(summary)
    found = {
        "ordered": "yes" if is_order(summary) else "no",
        "pieces": str(chair.pieces),
        "price_each": f"{chair.price:.2f}",
        "delivery": f"{chair.delivery.price:.2f}" if chair.delivery else "",
        "total": f"{chair.total:.2f}",
        "currency": chair.currency,
        "vat": chair.vat,
        "ready": order["ready"] or "",
        "needed": order["needed"] or "",
        "hold": "yes" if order["hold"] else "no",
    }
    for part in chair.parts:
        found[f"{part.kind}_code"] = " + ".join((part.code, *part.also))
        found[f"{part.kind}_name"] = part.name
    return found
