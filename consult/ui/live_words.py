"""What a screen shows, as plain lines by region: a browser has them beside the terminal.

The terminal is a picture there, which no screen reader reads. The lines are taken from what is
drawn, so they hold nothing that is not on the screen now.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal, TypeAlias

from textual.containers import VerticalScroll
from textual.content import Content
from textual.widgets import Input, OptionList, Static

from consult.ui.call_screen import CallScreen
from consult.ui.keys import Foot
from consult.ui.side_pages import CautionScreen
from consult.ui.widgets.panels import PicturePanel
from consult.ui.words import to_hand

if TYPE_CHECKING:
    from collections.abc import Iterator

    from textual.screen import Screen
    from textual.widget import Widget

LiveRegion: TypeAlias = Literal["urgent", "asked", "changed", "around"]
"""Read out at once; when it changes; when it changes, after that; only when gone to."""
LiveWords: TypeAlias = dict[LiveRegion, list[str]]

_REGIONS: dict[str, LiveRegion] = {
    "say": "asked",
    "answer": "asked",
    "cautions": "changed",
    "chair-line": "changed",
    "trouble": "changed",
    "save-result": "changed",
}
"""Of parts of a screen, by id; all else is around the call, or the page that is asked."""
_CHANGED = "»"


def live_words(screen: Screen[object]) -> LiveWords:
    """All that a screen shows in words, from top to bottom."""
    words: LiveWords = {"urgent": [], "asked": [], "changed": [], "around": []}
    if isinstance(screen, CallScreen):
        _fill(words, screen, "around")
        if old := to_hand(screen.session):
            words["asked"].append(f"Answer so far: {old}")
    else:
        _fill(words, screen, "urgent" if isinstance(screen, CautionScreen) else "asked")
    return words


def _fill(words: LiveWords, parent: Widget, region: LiveRegion) -> None:
    for part in parent.displayed_children:
        here = _REGIONS.get(part.id or "", region)
        for line in _lines(part):
            shown = " ".join(line.split())
            if here == "around" and shown.startswith(_CHANGED):
                words["changed"].append(f"Changed: {shown.removeprefix(_CHANGED).strip()}")
            elif shown:
                words[here].append(shown)
        chosen = part.highlighted_option if isinstance(part, OptionList) else None
        # Of a list that the arrow keys move in.
        if chosen is not None and (here != "around" or part.has_focus):
            words["changed"].append(f"Chosen: {chosen.prompt}")
        _fill(words, part, here)


def _lines(part: Widget) -> Iterator[str]:
    if isinstance(part, VerticalScroll | OptionList) and part.border_title:
        yield Content.from_markup(part.border_title).plain
    if isinstance(part, Static) and not isinstance(part, PicturePanel):
        yield from str(part.content).split("\n")
    elif isinstance(part, Input):
        yield part.placeholder
    elif isinstance(part, OptionList):
        yield from (str(option.prompt) for option in part.options)
    elif isinstance(part, Foot):
        yield "Keys: " + ", ".join(f"{shown} {does}" for _, shown, does in part.hints)
