"""The first lines of an impact or a publication: changes in safety and privacy."""

from __future__ import annotations

from collections.abc import Iterable

from consult.content.changes.words import Change

MARK = "!!"
"""Marks a change that may protect callers less."""


def safety_lines(changes: Iterable[Change], weaker: Iterable[str] = ()) -> list[str]:
    """Every such change, the weakenings marked; one line that says so where there is none.

    ``weaker`` names what was found weaker by other means than its text.
    """
    found = [each for each in changes if each.is_safety]
    if not found:
        return [
            "No changes in warning signs, cautions, contacts, privacy, consent, promises or "
            "weight ratings."
        ]
    marked = set(weaker)
    lines = ["Changes in safety and privacy:"]
    for each in found:
        mark = MARK if each.weaker or each.about in marked else "-"
        lines.append(f"{mark} {each.text}")
    return lines
