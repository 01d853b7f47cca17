"""What comes before the first call: the worked example and the words of the trade, as text."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from textwrap import wrap
from typing import TYPE_CHECKING

from consult.practice.log import Act, Again, Ask, Close, Coach, Recommend, Say

if TYPE_CHECKING:
    from consult.practice.worked import WorkedTurn

EXAMPLE_TITLE = "A call that plays itself"
WORDS_TITLE = "The words of the trade"
_WIDE = 72
_DRAWN = 40
"""Cells across a drawing."""
_KEYS: dict[type[Act], str] = {
    Ask: "Enter asks it",
    Coach: "F4 reads the coaching out, then asks",
    Again: "F10 asks once more",
    Say: "s says it",
    Recommend: "F8, then r",
    Close: "F8, then c",
}


def key_of(scene: WorkedTurn) -> str:
    """What an adviser pressed for it; '' where the caller began."""
    return _KEYS[type(scene.turn.act)] if scene.turn.act is not None else ""


def example_text(scenes: Sequence[WorkedTurn]) -> str:
    """The whole example to be read."""
    return "\n".join(line for scene in scenes for line in (*_scene_lines(scene), "")).rstrip()


def _scene_lines(scene: WorkedTurn) -> Iterator[str]:
    from consult.ui.practice.conversation import turn_lines

    if scene.turn.act is not None:
        yield f"    [{key_of(scene)}]"
    for line in turn_lines(scene.turn):
        said = line.plain.strip()
        first = "" if said[0].isdigit() else "    "
        yield from wrap(said, _WIDE, initial_indent=first, subsequent_indent="    ")
    yield from (f"    typed: {typed}" for typed in scene.typed)
    for comment in scene.comments:
        yield from wrap(comment, _WIDE, initial_indent="    # ", subsequent_indent="    # ")


def words_text() -> str:
    """Every measure with its drawing, and the words of the chair."""
    return "\n".join(_word_lines())


def _word_lines() -> Iterator[str]:
    from consult.picture.measures import MEASURES
    from consult.picture.raster import sheet_rows
    from consult.practice.worked import MEASURED, OF_THE_CHAIR

    yield from wrap(
        "What callers are asked to measure. Most wrong figures start or end at the wrong place, so "
        "listen for both.",
        _WIDE,
    )
    for name, (title, decides) in MEASURED.items():
        yield from ("", title)
        yield from wrap(decides, _WIDE, initial_indent="  ", subsequent_indent="  ")
        study = MEASURES[name]
        yield from wrap(study.description, _WIDE, initial_indent="  ", subsequent_indent="  ")
        yield from (f"  {row}" for row in sheet_rows(study.sheet(), _DRAWN))
    yield from ("", "The chair and the call")
    for word, means in OF_THE_CHAIR.items():
        yield from wrap(f"{word}: {means}", _WIDE, initial_indent="  ", subsequent_indent="    ")
