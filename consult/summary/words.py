"""Names and dates as people write them."""

from __future__ import annotations

from datetime import date

_LABELS = {
    "armrest_height": "Armrest height",
    "desk_height": "Desk height",
    "eye_height_sitting": "Eye height when sitting",
    "hip_breadth_sitting": "Hip width when sitting",
    "desk_raise": "Raise the desk by",
    "screen_top": "Top of the screen",
    "standing_desk_height": "Desk height, standing",
}


def label(name: str) -> str:
    """A requirement, setting, part or feature in words: "Seat height"."""
    return _LABELS.get(name) or name.replace("_", " ").capitalize()


def long_date(day: date) -> str:
    """ "Wednesday 25 November 2026"."""
    return f"{day:%A} {day.day} {day:%B %Y}"
