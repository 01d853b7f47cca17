"""Exports for a spreadsheet: a line for each call with its chair, and what an answer means."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING, get_args

from consult.body.population import load_population
from consult.call.state import state
from consult.call.understand import understand
from consult.call.wording import value_words
from consult.commands.reading import basis_named
from consult.range.parts import Kind
from consult.records.call_trees import led_with
from consult.summary.model import summarise
from consult.summary.order import is_order, order_json
from consult.units import Unclear

if TYPE_CHECKING:
    from consult.call.basis import Basis
    from consult.call.call import Call
    from consult.records.kept import Kept, Versions
    from consult.tree.model import Question

_KINDS = tuple(kind for kind in get_args(Kind) if kind != "delivery")
COLUMNS = (
    *("reference", "started_at", "status", "adviser", "caller_name", "tree", "country", "ordered"),
    *("pieces", *(f"{kind}_code" for kind in _KINDS), *(f"{kind}_name" for kind in _KINDS)),
    *("price_each", "delivery", "total", "currency", "vat", "ready", "needed", "hold"),
)
AMOUNTS = frozenset(["price_each", "delivery", "total"])
"""Columns whose cells are amounts of money: written with the decimal sign that was asked for."""


class Meanings:
    """What stored calls were worked out from and what their answers mean, for one export.

    Each is looked up once: a version of a tree is on the disk, and many say the same.
    """

    def __init__(self) -> None:
        self._bases: dict[Versions, Basis | None] = {}
        self._in_words: dict[tuple[object, ...], str] = {}

    def basis_of(self, versions: Versions) -> Basis | None:
        """What a stored call was worked out from; None where its questions cannot be read."""
        if versions not in self._bases:
            basis = basis_named(versions.tree, load_population())[0]
            self._bases[versions] = led_with(versions, basis) if basis is not None else None
        return self._bases[versions]

    def of(self, kept: Kept) -> Iterator[str]:
        """Each answer of a call in words: the label of "2", the length of "five two", or ''."""
        basis, call = self.basis_of(kept.versions), kept.call
        questions = basis.tree.questions if basis is not None else {}
        for answer in call.answers:
            question = questions.get(answer.question)
            if question is None or question.answer == "text":
                yield ""
                continue
            key = (id(question), answer.said, call.today, call.system)
            words = self._in_words.get(key)
            if words is None:
                if len(self._in_words) >= _MOST_WORDS:
                    self._in_words.clear()
                words = self._in_words[key] = _words(question, answer.said, call)
            yield words


_MOST_WORDS = 100_000
"""Meanings remembered at a time, so that an export of any length has room."""


def _words(question: Question, said: str, call: Call) -> str:
    try:
        heard = understand(question, said, call.today)
    except Unclear:
        return ""
    return "" if heard.value is None else value_words(question, heard.value, call.system)


def chair_lines(calls: Iterable[Kept]) -> Iterator[dict[str, str]]:
    """A line for each call, by column; the cells of the chair are empty where there is none.

    It is what the order team may see, so nothing about health is in it.
    """
    meanings = Meanings()
    for kept in calls:
        row = dict.fromkeys(COLUMNS, "") | {
            "reference": kept.reference,
            "started_at": kept.started_at.isoformat(),
            # That a call was stopped tells of an illness.
            "status": "finished" if kept.status == "stopped" else kept.status,
            "adviser": kept.adviser,
            "caller_name": kept.caller_name,
            "tree": kept.versions.tree,
            "country": kept.call.country,
        }
        basis = meanings.basis_of(kept.versions)
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
