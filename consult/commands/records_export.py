"""``consult records export``: write calls to a JSON, YAML or CSV file."""

from __future__ import annotations

import csv
from argparse import Namespace
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from functools import cache, partial
from typing import get_args

from consult.body.population import load_population
from consult.call.basis import Basis
from consult.call.call import Answer, Call
from consult.call.state import state
from consult.call.transcript import write_transcript
from consult.call.understand import understand
from consult.call.wording import value_words
from consult.commands.call_files import basis_named
from consult.commands.installation import out_folder, write_out
from consult.commands.outcome import Outcome, Progress, complain, number_of, tell
from consult.commands.records_text import call_json, kept_json
from consult.durable import settle_all
from consult.range.parts import Kind
from consult.recall import recall
from consult.records.call_trees import led_with
from consult.records.kept import Kept, Versions
from consult.records.place import home_path
from consult.records.search import count, read_all, read_without_health
from consult.records.store import Store
from consult.summary.model import summarise
from consult.summary.order import is_order, order_json
from consult.tree.model import Question
from consult.units import Unclear
from consult.visible import BOM, guarded, visible

EXPORTED = (
    *("reference", "started_at", "status", "adviser", "caller_name", "tree", "tree_version"),
    *("number", "question", "said", "confirmed", "note", "at", "took_seconds"),
    "meaning",
)
_PARTED = {"point": ",", "comma": ";"}
"""Where a comma parts decimals, a semicolon parts the cells."""
_ALSO = frozenset("\t\r\n'")
"""What an apostrophe is put before besides formulas. It is among them itself, so that taking one
off every cell that begins with it gives back the text; blanks, as spreadsheets pass them over."""


@dataclass
class _Asked:
    """The calls to export, read one at a time, and the errors met."""

    store: Store
    named: tuple[str, ...]
    """None named: all calls."""
    health: bool
    count: int = 0
    damaged: list[str] = field(default_factory=list)
    trouble: set[str] = field(default_factory=set)

    def __iter__(self) -> Iterator[Kept]:
        read = self.store.read if self.health else partial(read_without_health, self.store)
        for kept in map(read, dict.fromkeys(self.named)) if self.named else self._all():
            self.count += 1
            self.trouble |= {kept.trouble} - {""}
            yield kept

    def _all(self) -> Iterator[Kept]:
        with Progress(count(self.store)) as progress:
            stored = read_all(self.store, health=self.health)
            for done, (reference, kept) in enumerate(stored):
                if done % 100 == 0:
                    progress.at(done)
                if kept is None:
                    self.damaged.append(reference)
                else:
                    yield kept


def export_calls(store: Store, options: Namespace) -> Outcome:
    """Write the named calls, or all; of all, a damaged call is left out and reported."""
    out = home_path(options.out)
    asked = _Asked(store, tuple(options.references), not options.without_health)
    if options.format == "yaml" and (len(options.references) != 1 or out.is_dir()):
        if out.is_file():
            return complain(f"{out} is a file. Name a folder, for one call file each.")
        folder = out_folder(out)
        for kept in asked:
            file = folder / f"{kept.reference}.yaml"
            write_out(file, _yaml(kept), force=options.force, later=True)
        # Until here the files may be lost with the power; the calls in the records are not.
        settle_all()
    else:
        match options.format:
            case "csv":
                chunks = _csv(asked, options.decimal)
            case "chairs":
                chunks = _chairs(asked, options.decimal)
            case "json":
                chunks = _json(asked)
            case _:
                chunks = map(_yaml, asked)
        write_out(out, chunks, force=options.force)
    tell(f"{number_of(asked.count, 'call')} written to {out}. Only you can read it.")
    print("If you delete a call later, it stays in that export.")
    for sentence in asked.trouble:
        complain(sentence)
    for reference in asked.damaged:
        complain(f"Call {reference} is damaged and was left out.")
    return Outcome.FAILED if asked.damaged else Outcome.DONE


def _json(asked: Iterable[Kept]) -> Iterator[str]:
    before = "[\n"
    for kept in asked:
        # Line breaks within texts are escaped, so each of these begins a line of the file.
        yield before + "  " + call_json(kept_json(kept)).replace("\n", "\n  ")
        before = ",\n"
    yield "[]\n" if before == "[\n" else "\n]\n"


def _yaml(kept: Kept) -> str:
    title = f"Call {kept.reference} of {kept.call.today.isoformat()}"
    return write_transcript(kept.call, kept.versions.tree, title)


class _Beginning:
    """What a table's writer writes to: every row begins with the same cells."""

    def __init__(self) -> None:
        self.rows: list[str] = []
        self.cells = ""

    def write(self, row: str) -> None:
        self.rows.append(self.cells + row)


def _csv(asked: Iterable[Kept], decimal: str) -> Iterator[str]:
    to, parted, meanings = _Beginning(), _PARTED[decimal], Meanings()
    writer = csv.writer(to, delimiter=parted, lineterminator="\r\n")
    writer.writerow(EXPORTED)
    yield BOM + to.rows[-1]
    for kept in asked:
        to.cells, used = "", kept.versions
        about = (kept.reference, kept.started_at.isoformat(), kept.status, kept.adviser)
        of = (kept.caller_name, used.tree, used.tree_version)
        writer.writerow([cell_text(value) for value in (*about, *of)])
        to.cells = to.rows[-1].removesuffix("\r\n") + parted
        to.rows.clear()
        writer.writerows(
            (number, *_answer_cells(answer, decimal), cell_text(meaning))
            for number, (answer, meaning) in enumerate(
                zip(kept.call.answers, meanings.of(kept), strict=True), 1
            )
        )
        yield "".join(to.rows)
        to.rows.clear()


def _answer_cells(answer: Answer, decimal: str) -> tuple[str, ...]:
    at = answer.at.isoformat() if answer.at else ""
    took = "" if answer.took is None else cell_text(_number(repr(answer.took), decimal))
    confirmed = "yes" if answer.confirmed else "no"
    return (
        cell_text(answer.question),
        cell_text(answer.said),
        confirmed,
        cell_text(answer.note),
        at,
        took,
    )


def _chairs(asked: Iterable[Kept], decimal: str) -> Iterator[str]:
    to = _Beginning()
    writer = csv.writer(to, delimiter=_PARTED[decimal], lineterminator="\r\n")
    writer.writerow(CHAIR_COLUMNS)
    yield BOM + to.rows.pop()
    for line in exported_chair_lines(asked):
        cells = (_number(line[n], decimal) if n in _AMOUNTS else line[n] for n in CHAIR_COLUMNS)
        writer.writerow([cell_text(cell) for cell in cells])
        yield to.rows.pop()


def _number(text: str, decimal: str) -> str:
    return text.replace(".", ",") if decimal == "comma" else text


def cell_text(text: str) -> str:
    """A cell that is no formula to a spreadsheet and no command to a terminal; line breaks stay."""
    if not text or (text[0].isalnum() and text.isascii() and text.isprintable()):
        # Nearly every cell.
        return text
    shown = "\r".join(visible(part) for part in text.split("\r"))
    return guarded(shown, _ALSO)


# -- a line for each call with its chair, and what an answer means --------------------------------

_KINDS = tuple(kind for kind in get_args(Kind) if kind != "delivery")
CHAIR_COLUMNS = (
    *("reference", "started_at", "status", "adviser", "caller_name", "tree", "country", "ordered"),
    *("pieces", *(f"{kind}_code" for kind in _KINDS), *(f"{kind}_name" for kind in _KINDS)),
    *("price_each", "delivery", "total", "currency", "vat", "ready", "needed", "hold"),
)
_AMOUNTS = frozenset(["price_each", "delivery", "total"])
"""Columns whose cells are amounts of money: written with the decimal sign that was asked for."""


class Meanings:
    """What stored calls were worked out from and what their answers mean, for one export.

    Each is looked up once: a version of a tree is on the disk, and many say the same.
    """

    def __init__(self) -> None:
        self.basis_of = cache(_basis_of)
        self._in_words: dict[tuple[object, ...], str] = {}

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
            words = partial(_words, question, answer.said, call)
            yield recall(self._in_words, key, _MOST_WORDS, words)


_MOST_WORDS = 100_000
"""Meanings remembered at a time, so that an export of any length has room."""


def _basis_of(versions: Versions) -> Basis | None:
    """What a stored call was worked out from; None where its questions cannot be read."""
    basis = basis_named(versions.tree, load_population())[0]
    return led_with(versions, basis) if basis is not None else None


def _words(question: Question, said: str, call: Call) -> str:
    try:
        heard = understand(question, said, call.today)
    except Unclear:
        return ""
    return "" if heard.value is None else value_words(question, heard.value, call.system)


def exported_chair_lines(calls: Iterable[Kept]) -> Iterator[dict[str, str]]:
    """A line for each call, by column; the cells of the chair are empty where there is none.

    It is what the order team may see, so nothing about health is in it.
    """
    meanings = Meanings()
    for kept in calls:
        row = dict.fromkeys(CHAIR_COLUMNS, "") | {
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
    cells = {
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
        cells[f"{part.kind}_code"] = " + ".join((part.code, *part.also))
        cells[f"{part.kind}_name"] = part.name
    return cells
