"""``consult batch``: choose a chair for each person in a CSV file of answers."""

from __future__ import annotations

import csv
import hashlib
import io
import re
import sys
from argparse import ArgumentParser, Namespace
from collections.abc import Iterator, Set
from concurrent.futures.process import BrokenProcessPool
from contextlib import closing, suppress
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

from consult import __version__
from consult.commands.options import RUNS, UNITS, WHOM, either_side, flag, option
from consult.commands.outcome import Outcome, Progress, complain, print_problems, tell
from consult.durable import UnreadableError, read_file
from consult.paths import default_tree
from consult.problems import CannotDoError, Problem, Where
from consult.visible import visible

if RUNS:
    from consult.call.basis import RANGE_FILE, Basis
    from consult.call.batch import OWN, BatchColumn, PersonRow, RowDefaults, columns_of, work
    from consult.commands import batch_workers, clock, installation
    from consult.commands.batch_results import (
        at_team_prices,
        csv_text,
        sent_elsewhere,
        told,
        total_lines,
    )
    from consult.range.model import Range
    from consult.records.kept import versions_of
    from consult.records.place import home_path
    from consult.tree.contacts import FILE as CONTACTS_FILE
    from consult.tree.model import plain_name


@dataclass(frozen=True, slots=True)
class Job:
    """The inputs of a batch: tree, range, population, people."""

    source: Path
    out: Path
    people: People
    columns: tuple[BatchColumn, ...]
    basis: Basis
    terms: RowDefaults
    made_from: dict[str, str]
    """What the results depend on, in words -> its state."""
    options: Namespace

    @property
    def range_(self) -> Range:
        """The chairs that are chosen from; a job without a range is none."""
        assert self.basis.range is not None
        return self.basis.range

    @property
    def part(self) -> Path:
        """Path of the partial results file."""
        return self.out.with_name(self.out.name + batch_workers.SUFFIX)


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
    flag(parser, "--fresh", "start again instead of continuing from FILE.part")
    flag(parser, "--quiet", "report only rows with errors")
    flag(parser, "--json", "results as JSON lines, in mm")


def run(options: Namespace) -> Outcome:
    """Process every row that can be read; a bad row is listed by its line number and skipped."""
    return carry_out(_job(options))


def carry_out(job: Job) -> Outcome:
    """Process the rows not done yet and write the results file."""
    if job.people.remark and not job.options.quiet:
        print(visible(job.people.remark), file=sys.stderr)
    lines = [row.line for row in job.people.rows]
    try:
        part = batch_workers.open_part(
            job.part, job.made_from, job.terms.today, lines, fresh=job.options.fresh
        )
        with part.file:
            if part.done and not job.options.quiet:
                said = f"Continuing after {len(part.done)} of {len(lines)} rows in {job.part}."
                print(visible(said), file=sys.stderr)
            _rows(job, part)
            found = at_team_prices(part.done, job.range_)
            if job.options.json:
                content = b"".join(map(batch_workers.line_of, found)).decode("ascii")
            else:
                content = csv_text(found, job.people.delimiter, job.range_.currency)
            installation.write_out(job.out, content)
            if sys.platform != "win32":
                # Still held, so that no other run takes it for one to go on with.
                job.part.unlink()
        if sys.platform == "win32":
            job.part.unlink()
    except KeyboardInterrupt:
        print(visible(f"Run the command again to continue from {job.part}."), file=sys.stderr)
        raise
    except BrokenProcessPool:
        return complain(
            "A process of this run was ended from outside. Run the command again to continue."
        )
    except OSError as error:
        return complain(
            f"{installation.why_unwritable(job.out, error)} Run the command again to continue."
        )
    _tell(job, found)
    return Outcome.FAILED if any(row["status"] == "bad" for row in found) else Outcome.DONE


def one_row(job: Job, row: PersonRow, today: date) -> tuple[batch_workers.Json, bool]:
    """The result of one row, and whether its person was referred to somebody qualified."""
    worked = work(job.basis, job.columns, row, replace(job.terms, today=today))
    return told(job.basis, worked), sent_elsewhere(job.basis, worked)


def _rows(job: Job, part: batch_workers.PartialResults) -> None:
    """Process the rows not done yet, and append each result to the partial file."""
    rows = job.people.rows
    left = rows[len(part.done) :]
    worked = batch_workers.results(left, job.columns, lambda row: one_row(job, row, part.today))
    with Progress(len(rows), quiet=job.options.quiet) as progress, closing(worked):
        progress.at(len(part.done))
        for row, (found, elsewhere) in zip(left, worked, strict=True):
            # Told before it is put in, so that no end of the program loses it.
            if elsewhere:
                progress.clear()
                where = Where(str(job.source), row.line, 1)
                print_problems([Problem(where, _SPEAK, _WHY, "health", "warning")])
            part.add(found)
            progress.at(len(part.done))


_SPEAK = "Speak to this person before you order anything: a caution about their health applies."
_WHY = "The caution itself is private, so it is not in the results."


def _tell(job: Job, rows: list[batch_workers.Json]) -> None:
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
    if out == source.resolve() or f"{out}{batch_workers.SUFFIX}" == str(source.resolve()):
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
    terms = RowDefaults(
        clock.today(), options.units or installation.usual_units(), country, options.stand
    )
    made_from = _made_from(basis, tree, people, terms)
    return Job(source, out, people, columns, basis, terms, made_from, options)


def _made_from(basis: Basis, tree: Path, people: People, terms: RowDefaults) -> dict[str, str]:
    """Versions and digests of the inputs; a digest notices an edit without a new version."""
    used = versions_of(basis)
    stand = " --stand" if terms.stand else ""
    return {
        "the people": people.digest,
        "the tree": f"{used.tree} {used.tree_version} {_digest(*map(Path, basis.tree.files))}",
        "the contacts": _digest(tree.parent / CONTACTS_FILE),
        "the range": f"{used.range} {used.range_version} {_digest(tree.parent / RANGE_FILE)}",
        "the population": f"{used.population} {used.population_version}",
        "the options": f"{terms.system} {terms.country}{stand}",
        "this program": __version__,
    }


def _digest(*files: Path) -> str:
    return hashlib.sha256(b"\0".join(file.read_bytes() for file in files)).hexdigest()


# -- reading a CSV file of people: detects the delimiter and the character encoding ---------------

_DELIMITERS = (",", ";", "\t")
_TOLD = re.compile(r'"?sep=([,;|\t:~^#])\1*"?\r?(?:\n|\Z)', re.IGNORECASE)
"""The line by which spreadsheets tell one another what parts the cells; it is none of the table."""
_UTF32 = (b"\xff\xfe\0\0", b"\0\0\xfe\xff")
_UTF16 = (b"\xff\xfe", b"\xfe\xff")


@dataclass(frozen=True, slots=True)
class People:
    """The contents of a file of people."""

    digest: str
    """Of its bytes."""
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
    told = _TOLD.match(text)
    first = 2 if told else 1
    if told:
        delimiter, text = told[1], text[told.end() :]
    else:
        delimiter = max(_DELIMITERS, key=lambda one: _promise(text, one, known))
    rows = list(_rows_of_text(path, text, delimiter, first))
    if not rows:
        raise UnreadableError(f"{path} is empty. Its first line must name the columns.")
    if rows[0].line != first:
        raise UnreadableError(f"{path}: line {first} is empty. It must name the columns.")
    if len(rows) == 1:
        raise UnreadableError(
            f"{path} has a line of headings but no rows below it. Add a row for each person."
        )
    digest = hashlib.sha256(data).hexdigest()
    return People(digest, delimiter, rows[0].cells, tuple(rows[1:]), remark)


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
    return sum(plain_name(one) in known for one in headings), len(headings)


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
