"""The wording of a summary: templates people can edit, filled so that no value can be markup.

A template is plain text with headings (``#``), lists, tables and ``>`` for what must not be
overlooked, and Jinja's blanks. Whatever fills a blank goes in as a mark and is put in its place
only after the text has been read into blocks: a name of ``# heading`` stays a name.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, fields, is_dataclass
from functools import cache
from pathlib import Path
from typing import Any

from jinja2 import (
    FunctionLoader,
    StrictUndefined,
    TemplateError,
    TemplateNotFound,
    TemplateSyntaxError,
    pass_context,
)
from jinja2.runtime import Context

from consult.durable import UnreadableError, read_file
from consult.marked.yaml_pitfalls import not_utf8
from consult.paths import shipped_trees, trees_folder
from consult.problems import Problem, Where, nearest
from consult.sentence import CHAIR, of_thing
from consult.summary import lines
from consult.summary.blocks import DocumentBlock, parsed
from consult.summary.measuring_sheet import SAMPLES, Blank, Measure, MeasuringSheet
from consult.summary.model import Summary
from consult.summary.templates import (
    FILE_NAME,
    BoundedEnvironment,
    fill_template,
    filters,
    measured_value,
)
from consult.units import System

ENDING = ".md.j2"
SHEET = "sheet"
"""The template of the measuring sheet; all others are of summaries."""
_FIELDS = {
    part.name
    for kind in (Summary, MeasuringSheet, Measure, Blank, *vars(lines).values())
    if isinstance(kind, type) and is_dataclass(kind)
    for part in fields(kind)
}
"""Every name a template may write after a point."""
_OPEN, _CLOSE = "\ue000", "\ue001"
_MARK = re.compile(f"{_OPEN}([0-9]+){_CLOSE}")


class BrokenWordingError(TemplateError):
    """A template that cannot be filled, and where."""

    def __init__(self, problem: Problem) -> None:
        super().__init__(str(problem))
        self.problem = problem


@dataclass(frozen=True, slots=True, eq=False)
class Wording:
    """Every template, by its name without the ending."""

    sources: Mapping[str, str]
    files: Mapping[str, str] = field(default_factory=dict)
    """Which file each is, for problems."""

    def blocks(
        self,
        name: str,
        summary: Summary | MeasuringSheet,
        system: System,
        pictures: Mapping[str, str],
        thing: str = CHAIR,
    ) -> tuple[DocumentBlock, ...]:
        """A summary, or a measuring sheet, in the words of one template.

        ``pictures`` are those there are, by name, with the words for people who do not see them; a
        template may ask for others, which are left out. What the template says of a chair is said
        of ``thing``; what fills it stays as it is.

        Raises:
            BrokenWordingError: it cannot be filled; ``problems_in`` says so beforehand.
        """
        source, values = self.filled(name, summary, system, pictures)

        def with_values(text: str) -> str:
            return _MARK.sub(lambda match: values[int(match.group(1))], text)

        return parsed(of_thing(source, thing), with_values, pictures)

    def filled(
        self,
        name: str,
        summary: Summary | MeasuringSheet,
        system: System,
        pictures: Mapping[str, str],
    ) -> tuple[str, list[str]]:
        """The text of a template with a mark for each value, and the values."""
        values: list[str] = []
        try:
            template = _environment(self, system).get_template(name)
            return fill_template(template, s=summary, pictures=pictures, _values=values), values
        except Exception as error:
            # A template may add a text to a number; whatever that raises is the template's mistake.
            raise BrokenWordingError(_problem(self, name, error)) from error


@pass_context
def _marked(context: Context, value: Any) -> str:
    """A value on its way into the text: a mark that stands for it."""
    text = "" if value is None else str(measured_value(value))
    kept: list[str] = context["_values"]
    kept.append(text)
    return f"{_OPEN}{len(kept) - 1}{_CLOSE}"


@cache
def _environment(wording: Wording, system: System) -> BoundedEnvironment:
    def source(name: str) -> tuple[str, str, Callable[[], bool]] | None:
        """A template as Jinja loads it, with a file name by which it is known in a traceback."""
        text = wording.sources.get(name)
        return None if text is None else (text, f"{FILE_NAME}{name}", lambda: True)

    environment = BoundedEnvironment(
        loader=FunctionLoader(source),
        undefined=StrictUndefined,
        finalize=_marked,
        autoescape=False,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters.update(filters(system))
    return environment


def problems_in(wording: Wording, samples: Iterable[Summary]) -> list[Problem]:
    """What is wrong with the templates, found by reading them and by filling them.

    ``samples`` are summaries between them of every kind.
    """
    problems: dict[Problem, None] = {}
    environment, named = _environment(wording, "both"), sorted(wording.sources.items())
    for name, source in named:
        try:
            environment.get_template(name)
        except TemplateSyntaxError as error:
            problems[_problem(wording, name, error)] = None
        problems.update(dict.fromkeys(_markup(wording, name, source)))
    if problems:
        return list(problems)
    summaries = tuple(samples)
    for name, _ in named:
        for sample in () if name.startswith("_") else SAMPLES if name == SHEET else summaries:
            try:
                wording.filled(name, sample, "both", {})
            except BrokenWordingError as error:
                problems[error.problem] = None
    return list(problems)


_TAGS = re.compile(r"\{#.*?#\}|\{%.*?%\}|\{\{.*?\}\}", re.DOTALL)
_NO_MARKUP: tuple[tuple[re.Pattern[str], str], ...] = (
    (re.compile(r"\*\*(?=\S)|(?<!\w)__(?=\w)"), "Bold"),
    (re.compile(r"!?\[[^\[\]\n]*\]\("), "A link"),
    (re.compile(r"</?[A-Za-z]"), "HTML"),
)


def _markup(wording: Wording, name: str, source: str) -> Iterator[Problem]:
    """Each mark that other programs read as bold or a link, and that would be shown as it is."""
    # What fills a blank is no markup; line breaks stay, so that a place is that of the file.
    words = _TAGS.sub(lambda match: re.sub(r"[^\n]", " ", match[0]), source)
    for pattern, what in _NO_MARKUP:
        for match in pattern.finditer(words):
            before = words[: match.start()]
            line, column = before.count("\n") + 1, match.start() - before.rfind("\n")
            where = Where(wording.files.get(name, name + ENDING), line, column)
            fix = "Write plain words; for what must stand out, a line > Label: text."
            if what == "A link":
                fix = "Write the address in full, without brackets."
            message = (
                f"{what} does not exist in a document, and '{match[0]}' would be shown as it is."
            )
            yield Problem(where, message, fix, "markup")


_NO_FIELD = re.compile(r"'.* object' has no attribute '(\w+)'|'(\w+)' is undefined")
_NO_FILTER = re.compile(r"No filter named '(\w+)'")


def _problem(wording: Wording, name: str, error: Exception) -> Problem:
    """What is wrong with a template, or with one that it takes in, and where."""
    line, rule = 1, "template-blank"
    if isinstance(error, TemplateSyntaxError):
        name, line, rule = error.name or name, error.lineno, "template-syntax"
    trace = error.__traceback__
    while trace is not None:
        file = trace.tb_frame.f_code.co_filename
        if file.startswith(FILE_NAME):
            name, line = file.removeprefix(FILE_NAME), trace.tb_lineno
        trace = trace.tb_next
    where = Where(wording.files.get(name, name + ENDING), line, 1)
    return Problem(where, *_told(error), rule)


def _told(error: Exception) -> tuple[str, str]:
    """What is wrong, and the nearest name that would be right."""
    if not isinstance(error, TemplateError):
        return f"This cannot be worked out: {str(error).rstrip('.')}.", ""
    if isinstance(error, TemplateNotFound):
        return f"There is no template '{error.name}'. Leave out the ending {ENDING}.", ""
    message = str(error.message)
    if match := _NO_FIELD.search(message):
        name = match.group(1) or match.group(2)
        return f"There is no '{name}' here.", nearest(name, _FIELDS)
    if match := _NO_FILTER.search(message):
        return f"There is no filter '{match[1]}'.", nearest(match[1], filters("metric"))
    return f"{message.rstrip('.')}.", ""


# -- where the templates are: beside the tree in use, else those that come with us ----------------

_FOLDER = "summary"
_MOST_BYTES = 1_000_000


def template_files(folder: Path) -> dict[str, Path]:
    """Every template in the ``summary`` folder of a folder of trees, by name."""
    files = sorted((folder / _FOLDER).glob(f"*{ENDING}"))
    return {file.name.removesuffix(ENDING): file for file in files}


def wording_of(folder: Path | None) -> Wording:
    """The templates for the trees of a folder. What it leaves out is live, else ours.

    ``BrokenWordingError`` where one cannot be read.
    """
    folders = dict.fromkeys([*([folder] if folder else []), trees_folder(), shipped_trees()])
    files = (template_files(path) for path in reversed(folders))
    return _of({name: file for paths in files for name, file in paths.items()})


def own_wording() -> Wording:
    """The templates that come with us, which are tested."""
    return _of(template_files(shipped_trees()))


def _of(files: Mapping[str, Path]) -> Wording:
    # Read again only where a file changed.
    marked = ((name, str(path), path.stat().st_mtime_ns) for name, path in files.items())
    return _read(tuple(marked))


@cache
def _read(files: tuple[tuple[str, str, int], ...]) -> Wording:
    paths = {name: path for name, path, _ in files}
    return Wording({name: _text(path) for name, path in paths.items()}, paths)


def _text(path: str) -> str:
    content = b""
    try:
        content = read_file(Path(path), _MOST_BYTES)
        return content.decode("utf-8-sig").replace("\r\n", "\n")
    except UnreadableError as error:
        problem = Problem(Where(path, 1, 1), str(error), rule="template-unread")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        problem = Problem(Where(path, line, 1), *not_utf8(content, error.start), "not-utf8")
    raise BrokenWordingError(problem)
