"""A field with its label before it and what is wrong with it below."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.widget import Widget
from textual.widgets import Static

from consult.ui.edit.field_widgets import Control
from consult.ui.words import literal


class FieldRow(Horizontal):
    """One line of the form, or as many as the text in it needs."""

    def __init__(self, label: str, control: Control) -> None:
        super().__init__(classes="field")
        self.control = control
        self._called = label
        self._label = Static(literal(label), classes="label", markup=False)
        self._wrong: Static | None = None
        self._told = ""

    def compose(self) -> ComposeResult:
        yield self._label
        yield self.control

    @property
    def label(self) -> str:
        """What stands before it."""
        return self._called

    def call(self, label: str) -> None:
        """Put another label before it."""
        if label != self._called:
            self._called = label
            self._label.update(literal(label), layout=False)

    def tell(self, text: str) -> None:
        """Say below what is wrong here; nothing where nothing is."""
        if text == self._told or not isinstance(self.parent, Widget):
            return
        self._told = text
        if self._wrong is None:
            # Most fields are never wrong, and every widget has its price.
            self._wrong = Static(classes="wrong", markup=False)
            self.parent.mount(self._wrong, after=self)
        self._wrong.display = bool(text)
        self._wrong.update(literal(text))


class RouteRow(Vertical):
    """A way on: when, and where to. The last has no condition."""

    def __init__(self, when: FieldRow, go: FieldRow) -> None:
        super().__init__()
        self.when, self.go = when, go

    def compose(self) -> ComposeResult:
        yield self.when
        yield self.go
