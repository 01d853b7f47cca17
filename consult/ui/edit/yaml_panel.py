"""The text of a file as it is written: the same text that the form changes."""

from __future__ import annotations

from collections.abc import Callable
from importlib.util import find_spec

from textual import on
from textual.widgets import TextArea

from consult.ui.edit.field_widgets import Lines

MOST_COLOURED = 80_000
"""Letters up to which the text is coloured: past that, colouring takes longer than a key may."""


def _can_colour() -> bool:
    return find_spec("tree_sitter") is not None and find_spec("tree_sitter_yaml") is not None


class YamlPanel(Lines):
    """One file. Changes made elsewhere are put in where they are, so that the cursor stays."""

    def __init__(self, taken: Callable[[str], None], moved: Callable[[int], None]) -> None:
        """``taken`` is called with the text typed, ``moved`` with the line the cursor came to."""
        super().__init__(
            id="e-yaml", soft_wrap=False, show_line_numbers=True, theme="css", tab_behavior="focus"
        )
        self.begin((), lambda _, text: taken(text))
        self.moved = moved
        self.file = ""

    def open(self, file: str, text: str) -> None:
        """Show a file."""
        if file == self.file:
            self.show(text)
            return
        self.flush()
        self.file, self.kept = file, text
        coloured = file.endswith(".yaml") and len(text) < MOST_COLOURED and _can_colour()
        self.border_title = file
        self.load_text(text)
        self._shown = self.typed
        self.language = "yaml" if coloured else None

    def put(self, value: str) -> None:
        """Put in what differs, and nothing else."""
        old, new = self.text.split("\n"), value.split("\n")
        first = 0
        while first < min(len(old), len(new)) and old[first] == new[first]:
            first += 1
        last = 0
        while last < min(len(old), len(new)) - first and old[-1 - last] == new[-1 - last]:
            last += 1
        if last == 0:
            start, end = (first, 0), self.document.end
            if first == len(old):
                start = self.document.end
                changed = "\n" + "\n".join(new[first:])
            elif first == len(new):
                start, changed = (first - 1, len(old[first - 1])), ""
            else:
                changed = "\n".join(new[first:])
        else:
            start, end = (first, 0), (len(old) - last, 0)
            changed = "".join(f"{line}\n" for line in new[first : len(new) - last])
        self.replace(changed, start, end, maintain_selection_offset=True)

    def go(self, line: int, column: int = 1) -> None:
        """The cursor to a place, counted from 1; the text around it in sight."""
        row = max(0, min(line - 1, self.document.line_count - 1))
        with self.prevent(TextArea.SelectionChanged):
            self.move_cursor((row, max(0, column - 1)), center=True)

    def on_text_area_changed(self, event: TextArea.Changed) -> None:
        """Take it at the next pause."""
        event.stop()
        self.typing()

    @on(TextArea.SelectionChanged)
    def cursor_moved(self, event: TextArea.SelectionChanged) -> None:
        """Say where the cursor is, where a person moved it."""
        event.stop()
        if self.has_focus and not self.pending:
            self.moved(event.selection.end[0] + 1)
