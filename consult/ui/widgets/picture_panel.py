"""The caller on the chair at the desk, to scale, in the cells of the terminal."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.content import Content
from textual.widgets import Static

from consult.ui.words import literal

if TYPE_CHECKING:
    from consult.call.state import State

NO_PICTURE = "There is no picture yet: it needs a chair and a desk."
STOPPED = "Product advice has ended, so there is no picture."


class PicturePanel(Static):
    """Drawn again for every state and every size; problems bear a sign and words."""

    def __init__(self, id_: str) -> None:
        super().__init__(id=id_, markup=False)
        self.now: State | None = None
        self.drawn = Content("")

    def on_mount(self) -> None:
        self.border_title = "Side view"

    def show(self, now: State) -> None:
        """Show a state; nothing is drawn while there is no room."""
        self.now = now
        if not self.display or not self.content_size.width:
            return
        content = picture_content(now, *self.content_size)
        if content != self.drawn:
            self.drawn = content
            self.update(content, layout=False)

    def on_resize(self) -> None:
        """As large as the panel."""
        if self.now is not None:
            self.show(self.now)


def picture_content(now: State, width: int, height: int) -> Content:
    """The picture with its legend below, in so many cells."""
    if now.stopped is not None:
        return literal(STOPPED)
    # Imported with the first picture, not with the first question.
    from consult.picture.cells import draw, legend, plain
    from consult.picture.scene import scene

    found = scene(now.estimate, now.workplace, now.fit, now.picked)
    if found is None:
        return literal(NO_PICTURE)
    words = literal("\n".join(legend(found, now.call.system)))
    used = len(words.wrap(width)) if width else 0
    rows = plain(draw(found, width, max(1, height - used)))
    return literal("\n".join(rows)) + literal("\n") + words
