"""From a range file to a Range, or to what is wrong with the file and where."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from consult.fit.range_check import SECTIONS, as_day, as_span, entry_problems, range_as_whole
from consult.fit.range_model import Kind, Part, Range
from consult.former import feature_now
from consult.marked.marks import Marked, Texts, load_marked
from consult.marked.schema import load_schema, schema_problems

if TYPE_CHECKING:
    from consult.problems import Problem

SCHEMA = Path(__file__).with_name("range.schema.json")


def load_range(path: Path, texts: Texts | None = None) -> tuple[Range | None, list[Problem]]:
    """Read a range file.

    The range is None where a problem is an error; warnings come along with the range. Nothing a
    file can hold raises an exception. A text of this path is read in place of the file.
    """
    marked, problems = load_marked(path, texts)
    if marked is None:
        return None, problems
    problems = [
        *problems,
        *schema_problems(marked, load_schema(SCHEMA)),
        *entry_problems(marked),
    ]
    loaded = None
    if not _errors(problems):
        loaded = _built(marked)
        problems += range_as_whole(marked, loaded)
        if _errors(problems):
            loaded = None
    return loaded, sorted(problems, key=lambda problem: problem.where)


def range_problems(path: Path) -> list[Problem]:
    """Everything wrong with a range file, in the order of its lines."""
    return load_range(path)[1]


def _errors(problems: list[Problem]) -> bool:
    return any(problem.severity == "error" for problem in problems)


def _built(marked: Marked) -> Range:
    data = marked.data
    parts: dict[Kind, tuple[Part, ...]] = {
        kind: tuple(
            _part(kind, block, marked.raw(section, index, "name") or "")
            for index, block in enumerate(data.get(section, ()))
        )
        for section, kind in SECTIONS.items()
    }
    return Range(
        name=data["range"],
        maker=marked.raw("maker") or "",
        version=marked.raw("version") or "",
        currency=data["currency"],
        parts=parts,
        vat=data.get("vat", ""),
    )


def _part(kind: Kind, block: dict[str, Any], name: str) -> Part:
    rating = block.get("rating")
    width = block.get("width")
    return Part(
        find=" ".join(str(block.get("find", "")).split()),
        kind=kind,
        code=block["code"],
        name=name,
        price=float(block["price"]),
        lead_days=int(block["lead_days"]),
        discontinued=block.get("discontinued", False),
        until=as_day(block.get("until")),
        fits_with=frozenset(block.get("fits_with", ())),
        not_with=frozenset(block.get("not_with", ())),
        features=frozenset(map(feature_now, block.get("features", ()))),
        rating=None if rating is None else float(rating),
        depth=as_span(block.get("depth")),
        width=None if width is None else float(width),
        compression=float(block.get("compression", 0.0)),
        seat_height=as_span(block.get("seat_height")),
        height=as_span(block.get("height")),
        stated=block.get("stated", "loaded"),
        between=as_span(block.get("between")),
        adds=float(block.get("adds", 0.0)),
        raises=as_span(block.get("raises")),
    )
