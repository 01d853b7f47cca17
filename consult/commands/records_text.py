"""Stored text in a terminal: made safe, and set in so that it cannot be taken for our own."""

from __future__ import annotations

import json
import re
import sys
import unicodedata
from argparse import Namespace
from collections.abc import Iterable, Mapping, Sequence
from contextlib import suppress
from datetime import date, datetime, time, timedelta
from itertools import groupby
from pathlib import Path

from consult.commands.outcome import Outcome
from consult.problems import CannotDoError
from consult.records.errors import NoSuchCall
from consult.records.kept import Kept, ListedCall, as_reference
from consult.visible import harmless

_NO_WIDTH = {"Mn", "Me", "Cf"}
_SIGNS_A_CELL = 4
"""A cell never has more signs than this for each of its places, marks without width counted."""


def width(text: str) -> int:
    """Columns a text takes in a terminal: two for wide characters, none for combining ones."""
    return sum(
        2 if unicodedata.east_asian_width(sign) in "WF" else 1
        for sign in text
        if unicodedata.category(sign) not in _NO_WIDTH
    )


def cut(text: str, most: int) -> str:
    """The text on one line, cut with an ellipsis to fit."""
    # Only the beginning is looked at: a name may be as long as somebody likes.
    shown = harmless(text[: most * _SIGNS_A_CELL + 1])
    if len(shown) <= most * _SIGNS_A_CELL and width(shown) <= most:
        return shown
    while len(shown) > most * _SIGNS_A_CELL or width(shown) > most - 1:
        shown = shown[:-1]
    return f"{shown}…"


def reference_named(said: str) -> str:
    """The reference of a call as somebody typed it; ``NoSuchCall`` where it is none."""
    reference = as_reference(said)
    if reference is None or len(reference) != len("7K3-M2Q"):
        raise NoSuchCall(f"{said} is not a call reference. It has six characters, such as 7K3-M2Q.")
    return reference


def table(head: Sequence[str], rows: Iterable[Sequence[str]]) -> list[str]:
    """Rows as aligned columns, two spaces apart."""
    lines = [head, *rows]
    widths = [max(width(cell) for cell in column) for column in zip(*lines, strict=True)]
    return [
        "  ".join(
            cell + " " * (most - width(cell)) for cell, most in zip(line, widths, strict=True)
        ).rstrip()
        for line in lines
    ]


def whole_text(text: str, indent: str) -> list[str]:
    """A whole text with its line breaks, indented so that no line looks like our own."""
    return [indent + harmless(line) for line in text.replace("\r\n", "\n").split("\n")]


def local(at: datetime) -> str:
    """A time in the local time zone of this computer."""
    return f"{at.astimezone():%Y-%m-%d %H:%M}"


def stretch(since: date | None, until: date | None) -> tuple[datetime | None, datetime | None]:
    """From the start of the first day to the end of the last, local time."""
    if since and until and since > until:
        raise CannotDoError("The first day is after the last.")
    start = datetime.combine(since, time()) if since and since.year > 1 else None
    end = datetime.combine(until, time()) if until and until.year < 9999 else None
    return start, end + timedelta(days=1) if end else None


def records_exist(path: Path) -> bool:
    """Whether a file exists; true if access is denied."""
    with suppress(OSError, ValueError):
        return path.exists()
    return True


def typed(question: str) -> str:
    """The line typed in answer; '' if there is no input."""
    print(question, end=" ", flush=True)
    try:
        return sys.stdin.readline().strip()
    except (KeyboardInterrupt, ValueError):
        return ""


def confirm(
    options: Namespace, doing: str, word: str, refusal: str = "Nothing was changed."
) -> None:
    """Go on only where a word is typed, unless ``--yes`` was given."""
    if not options.yes and typed(f"{doing}, type {word}:").casefold() != word:
        raise CannotDoError(refusal)


# -- stored calls as JSON: every character is kept, control characters are escaped ----------------

_UNSAFE = re.compile("[\x7f-\x9f\u2028-\u202e\u2066-\u2069\ud800-\udfff]")


RECORDS_TEXT_VERSION = "1"
"""Of a stored call as JSON and CSV: raised when a field changes its meaning or goes."""


def exact_json(value: object) -> str:
    """JSON text; lone surrogates survive a round trip, unless two form a pair."""
    text = json.dumps(value, indent=2, ensure_ascii=False, allow_nan=False)
    return _harmless(text)


def print_exact(value: object) -> Outcome:
    """The same on standard output: all went well."""
    print(exact_json(value))
    return Outcome.DONE


def _harmless(text: str) -> str:
    # Outside its strings JSON has none of these.
    if text.isascii() and "\x7f" not in text:
        return text
    return _UNSAFE.sub(lambda match: f"\\u{ord(match[0]):04x}", text)


_FIELD, _DEEP, _ENTRY = (
    json.JSONEncoder(ensure_ascii=False, allow_nan=False, separators=(f",\n{' ' * depth}", ": "))
    for depth in (2, 4, 6)
)
"""The library lays out in Python, but writes in C what has one depth."""


def call_json(content: Mapping[str, object]) -> str:
    """``kept_json`` as ``exact_json`` writes it, faster. Nothing but the lists may be empty."""
    fields = ""
    for alike, group in groupby(content.items(), lambda pair: type(pair[1]) in (dict, list)):
        if not alike:
            fields += f",\n  {_FIELD.encode(dict(group))[1:-1]}"
            continue
        for name, value in group:
            fields += f',\n  "{name}": {_nested(value)}'
    return _harmless(f"{{{fields[1:]}\n}}")


def _nested(value: object) -> str:
    if not value:
        return "[]"
    if isinstance(value, dict):
        return f"{{\n    {_DEEP.encode(value)[1:-1]}\n  }}"
    assert isinstance(value, list)
    if not isinstance(value[0], dict):
        return f"[\n    {_DEEP.encode(value)[1:-1]}\n  ]"
    # Line breaks within texts are escaped, so this is between two entries and nowhere else.
    entries = _ENTRY.encode(value)[2:-2].replace("},\n      {", "\n    },\n    {\n      ")
    return f"[\n    {{\n      {entries}\n    }}\n  ]"


def listed_json(call: ListedCall) -> dict[str, object]:
    """A call as an entry of a list."""
    return {
        "reference": call.reference,
        "caller_name": call.caller_name,
        "status": call.status,
        "started_at": call.started_at.isoformat(),
        "adviser": call.adviser,
    }


def kept_json(kept: Kept) -> dict[str, object]:
    """Everything stored of a call; times in UTC, ``took`` in seconds."""
    versions = kept.versions
    return {
        "export_version": RECORDS_TEXT_VERSION,
        "reference": kept.reference,
        "caller_name": kept.caller_name,
        "status": kept.status,
        "adviser": kept.adviser,
        "started_at": kept.started_at.isoformat(),
        "updated_at": kept.updated_at.isoformat(),
        "open_since": _time(kept.open_since),
        "consent": kept.consent,
        "today": kept.call.today.isoformat(),
        "units": kept.call.system,
        "country": kept.call.country,
        "tree": {"name": versions.tree, "version": versions.tree_version},
        "range": {"name": versions.range, "version": versions.range_version},
        "population": {"name": versions.population, "version": versions.population_version},
        "answers": [
            {
                "question": answer.question,
                "said": answer.said,
                "confirmed": answer.confirmed,
                "note": answer.note,
                "at": _time(answer.at),
                "took": answer.took,
            }
            for answer in kept.call.answers
        ],
        "handled": [
            {
                "caution": handled.caution,
                "after": handled.after,
                "lifted": handled.lifted,
                "at": _time(handled.at),
            }
            for handled in kept.call.handled
        ],
        "summaries": list(kept.summaries),
        "trouble": kept.trouble,
    }


def _time(at: datetime | None) -> str | None:
    return None if at is None else at.isoformat()
