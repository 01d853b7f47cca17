"""The current tree written out as a drawing and as a page to walk through."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from consult.content.drawing.layers import INSTALL, can_draw
from consult.content.drawing.page import to_page
from consult.content.drawing.svg import drawing
from consult.content.drawing.view import view_of
from consult.content.drawing.walk import walk_of

if TYPE_CHECKING:
    from consult.call.basis import Basis


def write_drawing(basis: Basis, part: str, folder: Path) -> str:
    """Write both into a folder; where they are, or why not, in words."""
    view = view_of(basis.tree, part)
    page = folder / f"{part}.html"
    picture = drawing(view, prefix="drawing-", links=True) if can_draw() else None
    written = [page]
    try:
        page.write_text(to_page(walk_of(view, basis.contacts), picture), "utf-8", newline="\n")
        if can_draw():
            written.append(folder / f"{part}.svg")
            written[-1].write_text(drawing(view), "utf-8", newline="\n")
    except OSError as error:
        return f"Not written: {error.filename}: {error.strerror}."
    where = " and ".join(str(one) for one in written)
    return f"Written: {where}." if can_draw() else f"Written: {where}. {INSTALL}"
