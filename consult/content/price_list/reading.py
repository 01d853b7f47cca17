"""From a price list to the text of a range file, or to every mistake of it by row and column."""

from __future__ import annotations

import csv
import io
import json
import re
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from consult.content.checks import photo_problems
from consult.content.price_list import columns
from consult.content.price_list.columns import (
    KIND_WORDS,
    NEEDED_COLUMNS,
    NEVER_ALONE,
    PRICE_COLUMNS,
    SECTION_OF,
    Column,
    UnreadableCellError,
    fields_of,
    needed_of,
    plain_heading,
    written_number,
)
from consult.problems import Problem, Where, listed, nearest
from consult.range.file import load_range
from consult.range.model import Range
from consult.range.parts import CHAIR_KINDS, FEATURES
from consult.scale import IN_KG, IN_MM

_UNIT = re.compile(r"[(\[]? ?\b(mm|cm|m|in|kg|lb|st|eur|gbp|usd|chf|euros?|[€£$]) ?[)\]]?$", re.I)
_MOST_ROWS = 5000


_Says = Callable[..., None]
"""Notes a problem: line, column, rule, what is wrong, and what would be right if that is known."""


@dataclass(frozen=True, slots=True)
class Head:
    """What a range file says before its parts."""

    name: str
    maker: str
    version: str
    currency: str
    vat: str = ""
    """'included' in the prices or 'excluded'; '' where nobody said."""


@dataclass(frozen=True, slots=True)
class PriceList:
    """A list that was read."""

    range: Range | None
    """None where it has errors."""
    text: str
    """The range file."""
    problems: list[Problem]
    rows: int
    """Parts listed."""


@dataclass(frozen=True, slots=True)
class Layout:
    """What a list may hold: columns, kinds of part, and which kind fills which columns."""

    columns: Sequence[Column]
    kinds: Mapping[str, str]
    """How a kind may be written -> the kind."""
    fields: Callable[[str], Collection[str]]
    needed: Callable[[str], Collection[str]]
    features: Collection[str]


CHAIRS = Layout(PRICE_COLUMNS, KIND_WORDS, fields_of, needed_of, FEATURES)


@dataclass(slots=True)
class ListedRow:
    """A row that was read."""

    where: int
    """Line of the file that it begins on."""
    kind: str | None = None
    values: dict[str, str] = field(default_factory=dict)
    """Column -> as the range file has it."""
    wrong: bool = False


def read_price_list(file: Path, content: bytes, head: Head) -> PriceList:
    """Read a list; every mistake is told at once, with the row as line and the column as column."""
    problems: list[Problem] = []
    rows, at = listed_rows(file, content, head.currency, CHAIRS, problems)
    problems += _missing_kinds(file, rows) if at else []
    text, origin = _range_text(rows, head)
    path = file.with_name("range.yaml")
    loaded, range_problems = load_range(path, {path: text})
    range_problems += photo_problems(path, {path: text})
    if not any(problem.severity == "error" for problem in problems):
        problems += [at_home(problem, file, origin, at) for problem in range_problems]
        problems = list(dict.fromkeys(problems))
    else:
        loaded = None
        # A row that was read may be wrong in itself; what the others lack is not known yet.
        sound = {row.where for row in rows if not row.wrong}
        problems += [
            moved
            for problem in range_problems
            if (moved := at_home(problem, file, origin, at)).where.line in sound
            and problem.rule not in ("unknown-code", "nothing-on-sale", "no-chair")
        ]
    problems.sort(key=lambda problem: (problem.where, problem.message))
    return PriceList(loaded, text, problems, len(rows))


def _missing_kinds(file: Path, rows: list[ListedRow]) -> Iterator[Problem]:
    """Kinds that every chair has a part of and no row lists."""
    if not rows:
        fix = "Begin with: consult range template. Rows that begin with # are not read."
        yield Problem(Where(str(file), 1, 1), "No row lists a part.", fix, "no-rows")
        return
    for kind in CHAIR_KINDS:
        if kind != NEVER_ALONE and not any(row.kind == kind for row in rows):
            message = f"No row is of the kind {kind.replace('_', ' ')}, and every chair has one."
            fix = "Where you sell none of them apart, give it one row that costs nothing."
            yield Problem(Where(str(file), 1, 1), message, fix, "no-kind")


def listed_rows(
    file: Path, content: bytes, currency: str, layout: Layout, problems: list[Problem]
) -> tuple[list[ListedRow], Mapping[str, int]]:
    """The rows of a list, and the number of each column; what cannot be read is noted."""

    def says(line: int, column: int, rule: str, message: str, fix: str = "") -> None:
        problems.append(Problem(Where(str(file), line, column), message, fix, rule))

    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        # What spreadsheets of Western Europe write where they do not write UTF-8.
        text = content.decode("cp1252", "replace")
    if "\0" in text:
        says(1, 1, "no-table", "This is no table of text.", "Save the sheet as CSV.")
        return [], {}
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=_delimiter(text))
    rows: list[ListedRow] = []
    heading: list[tuple[Column | None, str]] = []
    at: dict[str, int] = {}
    line = 1
    try:
        for record in reader:
            begins, line = line, reader.line_num + 1
            if not any(cell.strip() for cell in record) or record[0].lstrip().startswith("#"):
                continue
            if not heading:
                heading = list(_heading(record, begins, layout, says))
                at = {
                    column.name: n for n, (column, _) in enumerate(heading, 1) if column is not None
                }
                if missing := [name for name in NEEDED_COLUMNS if name not in at]:
                    fix = "The first row names the columns. See: consult range columns"
                    names = listed((f"'{name.replace('_', ' ')}'" for name in missing), "and")
                    says(begins, 1, "no-column", f"There is no column {names}.", fix)
                    return [], at
                continue
            if len(rows) >= _MOST_ROWS:
                says(begins, 1, "many-rows", f"There are more than {_MOST_ROWS} rows.")
                break
            rows.append(_row(record, begins, heading, currency, layout, says))
    except csv.Error as error:
        says(line, 1, "no-table", f"The table cannot be read here ({error}).", "Save it as CSV.")
    if not heading:
        says(1, 1, "no-table", "The file is empty.", "Begin with: consult range template")
    return rows, at


def _delimiter(text: str) -> str:
    """What parts the columns: whichever stands most often in the first row that is no remark."""
    lines = (line for line in text.splitlines() if line.strip() and not line.startswith("#"))
    first = next(lines, "")
    return max(";\t,", key=first.count)


def _heading(
    record: list[str], line: int, layout: Layout, says: _Says
) -> Iterator[tuple[Column | None, str]]:
    """Each column and the unit its heading names; None for one that means nothing here."""
    known = {
        plain_heading(name): entry
        for entry in layout.columns
        for name in (entry.name, *entry.called)
    }
    seen: set[str] = set()
    for number, cell in enumerate(record, 1):
        words = plain_heading(cell)
        unit = _UNIT.search(words)
        words = words[: unit.start()].strip() if unit else words
        if not words:
            yield None, ""
            continue
        column = known.get(words)
        if column is None:
            fix = nearest(words, known) or "Delete the column. See: consult range columns"
            says(line, number, "unknown-column", f"'{cell.strip()}' is no column here.", fix)
        elif column.name in seen:
            says(line, number, "column-twice", f"'{cell.strip()}' stands there twice.", "Keep one.")
        else:
            seen.add(column.name)
        yield column, unit[1].casefold() if unit else ""


def _row(
    record: list[str],
    line: int,
    heading: list[tuple[Column | None, str]],
    currency: str,
    layout: Layout,
    says: _Says,
) -> ListedRow:
    row = ListedRow(line)

    def wrong(number: int, rule: str, message: str, fix: str = "") -> None:
        row.wrong = True
        says(line, number, rule, message, fix)

    if any(cell.strip() for cell in record[len(heading) :]):
        text = "This row has more cells than there are columns."
        wrong(len(heading) + 1, "long-row", text, "A cell that holds a ; or , stands in quotes.")
        return row
    filled = [
        (number, column, unit, cell.strip())
        for number, ((column, unit), cell) in enumerate(zip(heading, record, strict=False), 1)
        if column is not None and cell.strip()
    ]
    for number, column, _, cell in filled:
        if column.name == "kind":
            row.kind = layout.kinds.get(plain_heading(cell))
            if row.kind is None:
                fix = nearest(plain_heading(cell), layout.kinds) or f"It is {_kinds(layout)}."
                wrong(number, "unknown-kind", f"'{cell}' is no kind of part.", fix)
    for number, column, unit, cell in filled:
        if column.name == "kind":
            continue
        if row.kind is not None and column.name not in layout.fields(row.kind):
            words = column.name.replace("_", " ")
            text = f"{words}: a row of the kind {row.kind.replace('_', ' ')} has none."
            wrong(number, "misplaced", text, "Empty the cell.")
            continue
        try:
            row.values[column.name] = _value(column, cell, unit, currency, layout)
        except UnreadableCellError as error:
            words = column.name.replace("_", " ")
            wrong(number, "cell", f"{words}: {error.message}", error.fix)
    told_of = {column.name for _, column, _, _ in filled}
    at = {column.name: number for number, (column, _) in enumerate(heading, 1) if column}
    lacking = sorted({*(layout.needed(row.kind) if row.kind else NEEDED_COLUMNS)} - told_of)
    for name in lacking:
        words = name.replace("_", " ")
        what = f"a row of the kind {row.kind.replace('_', ' ')}" if row.kind else "every part"
        text = f"{words}: empty, but {what} needs it."
        column = next(entry for entry in layout.columns if entry.name == name)
        fix = f"It is {column.means}, such as {column.example}."
        if name == "kind":
            fix = f"Write {_kinds(layout)}."
        wrong(at.get(name, 1), "empty-cell", text, fix)
    return row


def _kinds(layout: Layout) -> str:
    return listed(kind.replace("_", " ") for kind in dict.fromkeys(layout.kinds.values()))


def _value(column: Column, cell: str, unit: str, currency: str, layout: Layout) -> str:
    """A cell as the file of parts has it."""
    if column.name == "features":
        features = [_feature(words, layout.features) for words in columns.read_list(cell)]
        return json.dumps(features, ensure_ascii=False)
    return _READERS[column.holds](cell, unit, currency)


def _feature(words: str, known: Collection[str]) -> str:
    name = plain_heading(words).replace(" ", "_")
    if name not in known:
        spoken = [feature.replace("_", " ") for feature in known]
        fix = nearest(plain_heading(words), spoken) or f"Known are {listed(spoken, 'and')}."
        raise UnreadableCellError(f"'{words}' is no feature known here.", fix)
    return name


def _ends(span: tuple[float, float]) -> str:
    """Its two ends, or the one number it is."""
    return " to ".join(dict.fromkeys(map(written_number, span)))


def _prices(cell: str, _: str, currency: str) -> str:
    costs = columns.quantity_prices(cell, currency)
    return json.dumps([f"{pieces} at {written_number(price)}" for pieces, price in costs])


def _in_kg(cell: str, unit: str) -> str:
    return written_number(columns.read_amount(cell, unit or "kg", IN_KG))


def _in_cm(cell: str, unit: str, _: str) -> str:
    low, high = columns.read_span(cell, unit or "cm")
    return f"{_ends((low / 10, high / 10))} cm"


_READERS: Mapping[str, Callable[[str, str, str], str]] = {
    # A JSON string is a YAML string, whatever is in it.
    "text": lambda cell, *_: json.dumps(" ".join(cell.split()), ensure_ascii=False),
    "money": lambda cell, _, currency: written_number(columns.read_money(cell, currency)),
    "days": lambda cell, *_: str(columns.read_days(cell)),
    "length": lambda cell, unit, _: written_number(columns.read_amount(cell, unit or "mm", IN_MM)),
    "span": lambda cell, unit, _: _ends(columns.read_span(cell, unit or "mm")),
    "mass": lambda cell, unit, _: _in_kg(cell, unit),
    "stated": lambda cell, *_: plain_heading(cell),
    "flag": lambda cell, *_: "true" if columns.read_flag(cell) else "false",
    "day": lambda cell, *_: json.dumps(columns.read_day(cell).isoformat()),
    "list": lambda cell, *_: json.dumps(columns.read_list(cell), ensure_ascii=False),
    "degrees": lambda cell, *_: " to ".join(map(written_number, columns.read_degrees(cell))),
    "prices": _prices,
    "measure": _in_cm,
    "weight": lambda cell, unit, _: f"{_in_kg(cell, unit)} kg",
}
"""What a column holds -> a cell, the unit of its heading and the currency, as the file has it."""


def _range_text(rows: list[ListedRow], head: Head) -> tuple[str, Mapping[int, tuple[int, str]]]:
    """The range file, and for each of its lines the row and column it comes from."""
    lines = [
        "# Made from a price list by: consult range import. Change the list and import it again,",
        "# or change this file and write the list from it by: consult range export",
        f"range: {head.name}",
        f"maker: {json.dumps(head.maker, ensure_ascii=False)}",
        f"version: {json.dumps(head.version)}",
        f"currency: {head.currency}",
        *([f"vat: {head.vat}"] if head.vat else []),
        "unit: mm",
    ]
    origin: dict[int, tuple[int, str]] = {}
    for kind, section in SECTION_OF.items():
        of_kind = [row for row in rows if row.kind == kind]
        if not of_kind:
            continue
        lines += ["", f"{section}:"]
        origin[len(lines)] = of_kind[0].where, "kind"
        for row in of_kind:
            names = [column.name for column in PRICE_COLUMNS if column.name in row.values] or [
                "code"
            ]
            for number, name in enumerate(names):
                lines.append(f"  {'- ' if not number else '  '}{name}: {row.values.get(name, '')}")
                origin[len(lines)] = row.where, name
    return "\n".join(lines) + "\n", origin


def at_home(
    problem: Problem, file: Path, origin: Mapping[int, tuple[int, str]], at: Mapping[str, int]
) -> Problem:
    """A problem of the range file at the cell it comes from; the first row where it has none."""
    line, name = origin.get(problem.where.line, (1, "kind"))
    words = name.replace("_", " ")
    message = re.sub(
        r"on line ([0-9]+)",
        lambda match: f"in row {origin.get(int(match[1]), (1, ''))[0]}",
        problem.message,
    )
    if problem.where.line in origin and name not in ("kind", "code"):
        message = f"{words}: {message}"
    return replace(problem, where=Where(str(file), line, at.get(name, 1)), message=message)
