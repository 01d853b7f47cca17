"""Stored calls as JSON: every character is kept, control characters are escaped."""

from __future__ import annotations

import json
import re
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from datetime import datetime

    from consult.records.kept import Kept, Listed

_UNSAFE = re.compile("[\x7f-\x9f\u2028-\u202e\u2066-\u2069\ud800-\udfff]")


VERSION = "1"
"""Of a stored call as JSON and CSV: raised when a field changes its meaning or goes."""


def exact_json(value: object) -> str:
    """JSON text; lone surrogates survive a round trip, unless two form a pair."""
    text = json.dumps(value, indent=2, ensure_ascii=False, allow_nan=False)
    # Outside its strings JSON has none of these.
    return _UNSAFE.sub(lambda found: f"\\u{ord(found[0]):04x}", text)


def listed_json(one: Listed) -> dict[str, object]:
    """A call as an entry of a list."""
    return {
        "reference": one.reference,
        "caller_name": one.caller_name,
        "status": one.status,
        "started_at": one.started_at.isoformat(),
        "adviser": one.adviser,
    }


def kept_json(kept: Kept) -> dict[str, object]:
    """Everything stored of a call; times in UTC, ``took`` in seconds."""
    versions = kept.versions
    return {
        "export_version": VERSION,
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
                "question": one.question,
                "said": one.said,
                "confirmed": one.confirmed,
                "note": one.note,
                "at": _time(one.at),
                "took": one.took,
            }
            for one in kept.call.answers
        ],
        "handled": [
            {
                "caution": one.caution,
                "after": one.after,
                "lifted": one.lifted,
                "at": _time(one.at),
            }
            for one in kept.call.handled
        ],
        "summaries": list(kept.summaries),
        "trouble": kept.trouble,
    }


def _time(at: datetime | None) -> str | None:
    return None if at is None else at.isoformat()
