"""``consult batch``: choose a chair for each person in a CSV file of answers."""

from __future__ import annotations

import csv
import io
import json
import re
import sys
from argparse import ArgumentParser, Namespace
from collections import Counter
from collections.abc import Callable, Collection, Generator, Iterator, Sequence, Set
from concurrent.futures.process import BrokenProcessPool
from contextlib import closing, suppress
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any

from consult.commands.options import RUNS, UNITS, WHOM, either_side, flag, option
from consult.commands.outcome import Outcome, Progress, complain, print_problems, tell
from consult.durable import UnreadableError, read_file
from consult.paths import default_tree
from consult.problems import CannotDoError, Problem, Where
from consult.visible import visible

if RUNS:
    from consult.call.basis import Basis
    from consult.call.batch import OWN, BatchColumn, PersonRow, RowDefaults, columns_of, work
    from consult.commands import clock, installation
    from consult.commands.batch_results import (
        ResultRow,
        at_team_prices,
        csv_text,
        sent_elsewhere,
        told,
        total_lines,
    )
    from consult.commands.workers import in_processes
    from consult.range.model import Range
    from consult.records.place import home_path
    from consult.tree.model import plain_name


Result = tuple[dict[str, Any], bool]
"""What may be told of a row, and whether its person was sent to somebody qualified."""


@dataclass(frozen=True, slots=True)
class Job:
    """The inputs of a batch: tree, range, population, people."""

    source: Path
    out: Path
    people: People
    columns: tuple[BatchColumn, ...]
    basis: Basis
    terms: RowDefaults
    options: Namespace

    @property
    def range_(self) -> Range:
        """The chairs that are chosen from; a job without a range is none."""
        assert self.basis.range is not None
        return self.basis.range


def arguments(parser: ArgumentParser) -> None:
    parser.epilog = "example: consult batch transcripts_demo/team/people.csv --out results.csv"
    option(
        parser,
        "people FILE",
        "CSV: each column a question by its name, or reference, note, units, country",
    )
    option(parser, "--out FILE", "file for the results", required=True)
    either_side(parser, "--tree FILE", "seating.yaml if left out")
    either_side(parser, "--units", "for rows without units (metric)", choices=UNITS)
    either_side(parser, "--country CC", "for rows without a country")
    either_side(parser, "--population ID", WHOM)
    flag(parser, "--stand", "accept odd measures as checked")
    flag(parser, "--with-health", "read health columns of those who consent; never in the results")
    flag(parser, "--quiet", "report only rows with errors")
    flag(parser, "--json", "results as JSON lines, in mm")


def run(options: Namespace) -> Outcome:
    """Process every row that can be read; a bad row is listed by its line number and skipped."""
    return carry_out(_job(options))


def carry_out(job: Job) -> Outcome:
    """Process every row and write the results file."""
    if job.people.remark and not job.options.quiet:
        print(visible(job.people.remark), file=sys.stderr)
    try:
        rows = at_team_prices([*_worked(job)], job.range_)
        if job.options.json:
            content = "".join(f"{json.dumps(row, allow_nan=False)}\n" for row in rows)
        else:
            content = csv_text(rows, job.people.delimiter, job.range_.currency)
        installation.write_out(job.out, content)
    except BrokenProcessPool:
        return complain("A process of this run was ended from outside. Run the command again.")
    except OSError as error:
        return complain(f"{installation.why_unwritable(job.out, error)} Run the command again.")
    _tell(job, rows)
    return Outcome.FAILED if any(row["status"] == "bad" for row in rows) else Outcome.DONE


def one_row(job: Job, row: PersonRow) -> Result:
    """What may be told of a row, and whether its person was referred to somebody qualified."""
    worked = work(job.basis, job.columns, row, job.terms)
    return told(job.basis, worked), sent_elsewhere(job.basis, worked)


def _worked(job: Job) -> Iterator[ResultRow]:
    """The result of each row; who should speak to somebody is told at once."""
    rows = job.people.rows
    worked = results(rows, job.columns, partial(one_row, job))
    with Progress(len(rows), quiet=job.options.quiet) as progress, closing(worked):
        for done, (result, elsewhere) in enumerate(worked, 1):
            if elsewhere:
                progress.clear()
                where = Where(str(job.source), result["line"], 1)
                print_problems([Problem(where, _SPEAK, _WHY, "health", "warning")])
            yield result
            progress.at(done)


def results(
    rows: Sequence[PersonRow], columns: Sequence[BatchColumn], work: Callable[[PersonRow], Result]
) -> Generator[Result]:
    """One result per row; rows that differ only in reference and note are computed once."""
    own = {column.own: column.place for column in columns if column.own in ("reference", "note")}
    firsts: dict[tuple[str, ...], PersonRow] = {}
    left: Counter[tuple[str, ...]] = Counter()
    for row in rows:
        key = _asked(row, own.values())
        firsts.setdefault(key, row)
        left[key] += 1
    known: dict[tuple[str, ...], Result] = {}
    with closing(in_processes(work, [*firsts.values()])) as worked:
        for row in rows:
            key = _asked(row, own.values())
            if key not in known:
                known[key] = next(worked)
            left[key] -= 1
            result, elsewhere = known[key] if left[key] else known.pop(key)
            words = {name: _cell(row, place).strip() for name, place in own.items()}
            yield {**result, "line": row.line, **words}, elsewhere


def _asked(row: PersonRow, own: Collection[int]) -> tuple[str, ...]:
    return tuple(cell for place, cell in enumerate(row.cells) if place not in own)


def _cell(row: PersonRow, place: int) -> str:
    return row.cells[place] if place < len(row.cells) else ""


_SPEAK = "Speak to this person before you order anything: a caution about their health applies."
_WHY = "The caution itself is private, so it is not in the results."


def _tell(job: Job, rows: list[ResultRow]) -> None:
    source = str(job.source)
    print_problems(
        Problem(Where(source, row["line"], bad["column"]), f"{bad['heading']}: {bad['say']}")
        for row in rows
        for bad in row["bad"]
    )
    if not job.options.quiet:
        tell(*total_lines(rows, job.range_.currency), f"Results: {job.out}")


def _job(options: Namespace) -> Job:
    source, out = home_path(options.people), installation.out_path(options.out)
    tree = home_path(options.tree) if options.tree else default_tree()
    if out == source.resolve():
        raise CannotDoError(
            "The results would overwrite the file of people. Name another file with --out."
        )
    basis = installation.loaded_basis(tree, installation.chosen_population(options.population))
    if basis.range is None:
        raise CannotDoError(
            "There is no range file beside the tree, so there is no chair to order."
        )
    if basis.range.fitting is not None:
        raise CannotDoError("A batch works out chairs only. Take a call for each person.")
    people = read_people(source, {*basis.tree.question_named, *OWN})
    columns, problems = columns_of(
        basis.tree, people.headings, str(source), with_health=options.with_health
    )
    if problems:
        raise CannotDoError(problems=problems)
    country = installation.chosen_country(options.country, basis)
    units = options.units or installation.usual_units()
    terms = RowDefaults(clock.today(), units, country, options.stand)
    return Job(source, out, people, columns, basis, terms, options)


# -- reading a CSV file of people: detects the delimiter and the character encoding ---------------

_DELIMITERS = (",", ";", "\t")
_TOLD = re.compile(r'"?sep=([,;|\t:~^#])\1*"?\r?(?:\n|\Z)', re.IGNORECASE)
"""The line by which spreadsheets tell one another what parts the cells; it is none of the table."""
_UTF32 = (b"\xff\xfe\0\0", b"\0\0\xfe\xff")
_UTF16 = (b"\xff\xfe", b"\xfe\xff")


@dataclass(frozen=True, slots=True)
class People:
    """The contents of a file of people."""

    delimiter: str
    headings: tuple[str, ...]
    rows: tuple[PersonRow, ...]
    remark: str
    """How it was read, where that may be wrong; '' where it is plain."""


def read_people(path: Path, known: Set[str]) -> People:
    """Read a CSV file with a header row; ``known`` are the headings that have a meaning.

    Raises:
        UnreadableError: it is no CSV file, or in no encoding that we read.
    """
    data = read_file(path)
    text, remark = _decoded(path, data)
    separator = _TOLD.match(text)
    first = 2 if separator else 1
    if separator:
        delimiter, text = separator[1], text[separator.end() :]
    else:
        delimiter = max(_DELIMITERS, key=lambda mark: _promise(text, mark, known))
    rows = list(_rows_of_text(path, text, delimiter, first))
    if not rows:
        raise UnreadableError(f"{path} is empty. Its first line must name the columns.")
    if rows[0].line != first:
        raise UnreadableError(f"{path}: line {first} is empty. It must name the columns.")
    if len(rows) == 1:
        raise UnreadableError(
            f"{path} has a line of headings but no rows below it. Add a row for each person."
        )
    return People(delimiter, rows[0].cells, tuple(rows[1:]), remark)


def _decoded(path: Path, data: bytes) -> tuple[str, str]:
    # Of plain letters, the first four bytes of UTF-32 have three that are zero, of UTF-16 two.
    zeros = data[:4].count(0)
    if data.startswith(_UTF32) or zeros == 3:
        raise UnreadableError(f"{path} is UTF-32 text. Save it as CSV with UTF-8 encoding.")
    if data.startswith(_UTF16) or zeros == 2:
        raise UnreadableError(f"{path} is UTF-16 text. Save it as CSV with UTF-8 encoding.")
    doubt = f"{path} is not UTF-8, so it was read as Windows-1252. Look at names with accents."
    for encoding, remark in (("utf-8-sig", ""), ("cp1252", doubt)):
        with suppress(UnicodeDecodeError):
            return data.decode(encoding), remark
    raise UnreadableError(
        f"{path} is neither UTF-8 nor Windows-1252 text. Save it as CSV with UTF-8 encoding."
    )


def _promise(text: str, delimiter: str, known: Set[str]) -> tuple[int, int]:
    """Sort key of a delimiter: known headings it yields, then headings in all."""
    try:
        headings = next(csv.reader(io.StringIO(text, newline=""), delimiter=delimiter), [])
    except csv.Error:
        return (0, 0)
    return sum(plain_name(heading) in known for heading in headings), len(headings)


def _rows_of_text(path: Path, text: str, delimiter: str, first: int) -> Iterator[PersonRow]:
    """Every row that is not empty, with its line number; ``first`` is that of the text."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    while True:
        line = reader.line_num + first
        try:
            cells = next(reader)
        except StopIteration:
            return
        except csv.Error as error:
            if "field limit" in str(error):
                most = f"{csv.field_size_limit():,}"
                raise UnreadableError(
                    f"{path}:{line}: a cell here is longer than {most} characters. Shorten "
                    "it, or close a quotation mark left open before it."
                ) from error
            raise UnreadableError(
                f"{path}:{line}: this row cannot be read ({error}). A cell that begins with "
                "a quotation mark must end with one. Type every quotation mark inside it "
                "twice."
            ) from error
        if any(cell.strip() for cell in cells):
            yield PersonRow(line, tuple(cells))
