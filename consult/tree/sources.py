"""Where rules, words and numbers come from: the entries of ``sources.yaml``, cited by name.

The file that comes with the program holds what the program itself cites, so it stands behind every
other: a folder with a file of its own adds entries, and may replace one by an entry of that name.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal, cast

from consult.marked.marks import is_there
from consult.marked.schema import load_followed
from consult.paths import shipped_trees
from consult.problems import Problem, Where, nearest
from consult.recall import recall

if TYPE_CHECKING:
    from consult.marked.marks import Marked, Steps, Texts

SOURCES_FILE = "sources.yaml"
SOURCES = "sources"
"""What a sources file begins with."""
_SCHEMA = Path(__file__).with_name("sources.schema.json")

Cited = tuple[str, ...]
"""Names of entries. Trees from before there were entries hold a text in place of a name."""
Have = Literal["opened", "second-hand", "from memory", "no source"]
"""How we have a source: read; reported by another text; from memory; there is no text at all."""

COMMON_PRACTICE = "common_practice"
FROM_MEMORY = "from_memory"
"""Entries that the program itself names, besides those of the rules of the fit."""

_DEEPEST = 3
"""Steps to a ``source:``, at most: a list or block of the file, its item, the word itself."""
_PUBLISHED = ("publisher", "year", "place")
"""What every entry has that can be looked up."""


@dataclass(frozen=True, slots=True)
class Source:
    """One entry; field names are the keys of the export."""

    id: str
    """'' for a text that an old tree has in place of a name."""
    title: str
    publisher: str = ""
    year: str = ""
    place: str = ""
    says: str = ""
    have: Have = "no source"

    def __str__(self) -> str:
        """The entry on one line: title, publisher, year, place, and how we have it."""
        parts = [self.publisher, "" if self.year == "undated" else self.year, self.place]
        text = ". ".join(filter(None, [self.title, ", ".join(filter(None, parts))]))
        return text if self.have in ("opened", "no source") else f"{text} ({self.have})"

    @property
    def brief(self) -> str:
        """Title and publisher, without authors, for where there is little room."""
        publisher = self.publisher.partition(", by ")[0]
        return f"{self.title} ({publisher})" if publisher else self.title


@dataclass(frozen=True, slots=True)
class Sources:
    """The entries that may be cited."""

    entries: Mapping[str, Source] = field(default_factory=dict)
    lacking: str = ""
    """The file of the folder's own, where it is not there."""

    def of(self, cited: Iterable[str]) -> tuple[Source, ...]:
        """The entries cited, each once; a text in place of a name stands for itself."""
        return tuple(self.entries.get(name) or Source("", name) for name in dict.fromkeys(cited))

    def problem(self, cited: str, where: Where) -> Problem | None:
        """What is wrong with a name that is cited; None where nothing is."""
        if cited in self.entries:
            return None
        if is_name(cited):
            fix = nearest(cited, self.entries) or f"Add an entry '{cited}' to {SOURCES_FILE}."
            return Problem(where, f"{SOURCES_FILE} has no source '{cited}'.", fix, "unknown-source")
        if self.lacking:
            # An old folder cites texts everywhere: one warning for all of them is enough.
            message = f"There is no {SOURCES_FILE}, so texts are cited that cannot be looked up."
            fix = "Add the file with an entry for each, and cite the entries by their names."
            return Problem(Where(self.lacking, 1, 1), message, fix, "source-text", "warning")
        message = "This source is a text that cannot be looked up."
        fix = f"Write the name of an entry of {SOURCES_FILE}, such as {COMMON_PRACTICE}."
        return Problem(where, message, fix, "source-text", "warning")


def is_name(cited: str) -> bool:
    """Whether something cited can be the name of an entry; whatever has a space in it is a text."""
    return " " not in cited.strip()


def cited_in(data: Any, above: Steps = ()) -> Iterator[tuple[Steps, str]]:
    """Everything that a file cites with ``source:``, with the steps to it.

    Every kind of file has it in a block of the file or of one of its lists; deeper down the word
    may be the name of a choice.
    """
    inside = data.items() if isinstance(data, dict) else ()
    for name, value in enumerate(data) if isinstance(data, list) else inside:
        steps = (*above, name)
        if name != "source" or isinstance(value, dict):
            yield from cited_in(value, steps) if len(steps) < _DEEPEST else ()
        elif isinstance(value, list):
            yield from (((*steps, index), str(cited)) for index, cited in enumerate(value))
        elif value is not None:
            yield steps, str(value)


def uncited(marked: Marked, sources: Sources) -> Iterator[Problem]:
    """What is wrong with the names that a file cites."""
    problems = (sources.problem(cited, marked.value(*at)) for at, cited in cited_in(marked.data))
    yield from dict.fromkeys(filter(None, problems))


def citation(sources: Iterable[Source], *, brief: bool = False) -> str:
    """Several entries on one line."""
    return "; ".join(source.brief if brief else str(source) for source in sources)


def as_cited(value: object) -> Cited:
    """One name or a list of them, as files have it."""
    if value is None or value == "":
        return ()
    return tuple(map(str, value)) if isinstance(value, list) else (str(value),)


def load_sources(path: Path, texts: Texts | None = None) -> tuple[Sources | None, list[Problem]]:
    """Read a sources file; None where it has errors, which stand among the problems."""
    marked, problems = load_followed(path, _SCHEMA, texts)
    if marked is None:
        return None, problems
    key = str(path), marked.digest
    sources, kept = recall(_loaded, key, _MOST, lambda: _load(marked, problems))
    return sources, list(kept)


_MOST = 8
_loaded: dict[tuple[str, str], tuple[Sources | None, list[Problem]]] = {}
"""By file and text: every tree and every caller of a folder looks here. When there are ``_MOST``,
all are forgotten."""


def _load(marked: Marked, problems: list[Problem]) -> tuple[Sources | None, list[Problem]]:
    if not problems:
        problems = [problem for name in marked.data["entries"] for problem in _entry(marked, name)]
    if any(problem.severity == "error" for problem in problems):
        return None, problems
    entries: dict[str, dict[str, Any]] = marked.data["entries"]
    texts = {
        name: {key: str(text) for key, text in entry.items()} for name, entry in entries.items()
    }
    made = {name: Source(id=name, **cast("Any", text)) for name, text in texts.items()}
    return Sources(made), problems


def sources_beside(
    folder: Path, texts: Texts | None = None
) -> tuple[Sources | None, list[Problem]]:
    """What the files of a folder may cite: its own entries, then those that ship.

    None where its own file has errors, which stand among the problems.
    """
    if not is_there(folder / SOURCES_FILE, texts):
        return replace(shipped_sources(), lacking=str(folder / SOURCES_FILE)), []
    own, problems = load_sources(folder / SOURCES_FILE, texts)
    if own is None or folder.resolve() == shipped_trees().resolve():
        return own, problems

    def made() -> tuple[Sources, Sources]:
        return own, Sources({**shipped_sources().entries, **own.entries})

    return recall(_together, id(own), _MOST, made)[1], problems


_together: dict[int, tuple[Sources, Sources]] = {}
"""Entries of a folder with those that ship, by the former, which stand beside so that no others can
have their ``id``."""


@cache
def shipped_sources() -> Sources:
    """The entries that come with the program; none where somebody has broken that file."""
    return load_sources(shipped_trees() / SOURCES_FILE)[0] or Sources()


def _entry(marked: Marked, name: str) -> Iterator[Problem]:
    entry = marked.data["entries"][name]
    for key in _PUBLISHED:
        where = marked.key("entries", name, key)
        if entry["have"] == "no source" and key in entry:
            message = f"'{name}' has no source, so it has no {key}."
            fix = "Delete the line, or say in have: how we have the text."
            yield Problem(where, message, fix, "no-source-published")
        elif entry["have"] != "no source" and key not in entry:
            message = f"'{name}' does not say its {key}, so it cannot be looked up."
            fix = f"Add {key}: {'(the year, or undated)' if key == 'year' else ''}".strip()
            yield Problem(marked.key("entries", name), message, f"{fix}.", "no-place")
