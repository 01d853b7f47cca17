"""The drawings of one call: the caller on the chair, before and after, and one for each step."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from consult.fit.workplace import Present
from consult.picture import steps
from consult.picture.photo import for_mail, photo_of
from consult.picture.present import scene_now
from consult.picture.scene import scene
from consult.picture.svg import (
    PAIR_TITLE,
    TITLE,
    described,
    pair,
    pair_description,
    sheet,
    svg_text,
)
from consult.summary.blocks import Drawing

if TYPE_CHECKING:
    from collections.abc import Mapping

    from consult.call.basis import Basis
    from consult.call.state import State
    from consult.picture.photo import Photo
    from consult.picture.svg_shapes import Sheet
    from consult.summary.lines import Specification
    from consult.tree.settings import Settings
    from consult.units import System

SIDE_WIDTH = 165.0
"""mm; the letters keep their size, so a narrow drawing leaves a page more room."""


PHOTO_SIZE, LOGO_SIZE = 60.0, 32.0
"""mm of the longer side of a photograph, and of a logo."""


@dataclass(frozen=True, slots=True)
class Drawn:
    """A drawing and the words for people who do not see it."""

    drawing: Drawing
    alt: str


def pictures(state: State, system: System) -> Mapping[str, Drawn]:
    """Every drawing there is for a call, by the name templates use; none for a stopped call.

    Without a number of the chair of today there is no before and after.
    """
    return dict(_pictures(state, system))


def _pictures(state: State, system: System) -> Iterator[tuple[str, Drawn]]:
    if state.fit is None or state.stopped is not None:
        return
    for topic, drawing in _steps():
        yield topic, Drawn(drawing, "")
    after = scene(state.estimate, state.workplace, state.fit, state.picked)
    if after is None:
        return
    drawn = sheet(after, system, width_mm=SIDE_WIDTH)
    yield "side_view", _drawn(drawn, TITLE, described(after, system), "side-")
    if state.present == Present():
        return
    now = scene_now(state.estimate, state.workplace, state.fit, after, state.present)
    drawn = pair(now.scene, after, system, width_mm=SIDE_WIDTH, unknown=now.unknown)
    alt = pair_description(now.scene, after, system, now.unknown)
    yield "before_after", _drawn(drawn, PAIR_TITLE, alt, "pair-")


def photographs(basis: Basis, chair: Specification | None) -> Mapping[str, Drawn]:
    """A photograph of each ordered part that has one, by "photo:" and its code.

    Of a fixed model that has one, that alone: it shows the parts. A missing or broken file has
    none.
    """
    if chair is None or not basis.tree.files:
        return {}
    folder = Path(basis.tree.files[0]).parent
    whole = [one for one in chair.parts if one.kind == "model"]
    for parts in (whole, chair.parts):
        shown = [(one, photo_of(folder, one.photo)) for one in parts]
        found = {f"photo:{one.code}": _photo(made, one.name) for one, made in shown if made}
        if found:
            return found
    return {}


def logo(settings: Settings, *, mailed: bool = False) -> Mapping[str, Drawn]:
    """The maker's logo as "logo"; nothing for a missing or broken file. Its words are beside it."""
    name = settings.sender.logo
    name = for_mail(name) if mailed else name
    made = photo_of(settings.file.parent, name, logo=True) if settings.file else None
    return {"logo": _photo(made, "", LOGO_SIZE)} if made else {}


def _photo(made: Photo, name: str, size: float = PHOTO_SIZE) -> Drawn:
    wide, high = made.size
    largest = size / max(wide, high)
    return Drawn(Drawing("", (), (wide * largest, high * largest), True, made), name)


def _drawn(drawn: Sheet, title: str, alt: str, prefix: str) -> Drawn:
    svg = svg_text(drawn.shapes, drawn.size, title=title, description=alt, prefix=prefix)
    return Drawn(Drawing(svg, drawn.shapes, drawn.size), alt)


@cache
def _steps() -> tuple[tuple[str, Drawing], ...]:
    """The drawings of the steps, which are the same in every call."""
    found = []
    for topic in steps.TOPICS:
        drawn, svg = steps.sheet(topic), steps.drawing(topic, prefix=f"{topic}-")
        if drawn is not None and svg is not None:
            found.append((f"step:{topic}", Drawing(svg, drawn.shapes, drawn.size)))
    return tuple(found)
