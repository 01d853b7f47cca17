"""The content desk as a program of its own: the folder, the desk over it, and how it is left."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import TYPE_CHECKING, ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.widgets import Static

from consult.ui.edit.doings import Doings
from consult.ui.edit.errands import Errands
from consult.ui.edit.form_panel import Doing, FormPanel
from consult.ui.edit.in_order import InOrder
from consult.ui.edit.keeping import LOOK_EVERY
from consult.ui.edit.keys import KEYS, bindings, foot
from consult.ui.edit.outline_panel import OutlinePanel
from consult.ui.edit.problems_panel import ProblemsPanel
from consult.ui.edit.publishing import Publishing
from consult.ui.edit.yaml_panel import YamlPanel
from consult.ui.widgets.part import RowBox, TextPart

if TYPE_CHECKING:
    from consult.content.editing.folder import DraftFolder


# -- the content desk: outline, form, YAML and mistakes over one draft ----------------------------


class EditScreen(Doings, Publishing, Errands):
    """The desk over one draft.

    Form and YAML change the same text, and all that is shown is drawn from that text alone.
    """

    BINDINGS: ClassVar[list[BindingType]] = [*bindings()]
    AUTO_FOCUS = "#e-lines"

    def compose(self) -> ComposeResult:
        yield TextPart("e-status")
        doing = Doing(
            self.field_edited,
            self.pick_asked,
            self.build_asked,
            self.meaning,
            self.add_asked,
            self.show_place,
        )
        with RowBox(id="e-desk"):
            yield OutlinePanel(self.show_place, self.into_form)
            yield FormPanel(doing)
            yield YamlPanel(self.yaml_edited, self.yaml_moved)
        yield ProblemsPanel(self.go_to_problem)
        yield TextPart("e-told")
        yield Static(foot(), id="e-keys")

    def on_mount(self) -> None:
        self.stands = True
        self.refresh_bindings()
        self.query_one("#e-outline").border_title = "Outline"
        self.query_one("#e-form").border_title = "Form"
        self.show_all()
        self.check()
        self.set_interval(LOOK_EVERY, self.look_outside)
        self.call_after_refresh(self.offer_left)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool:  # noqa: ARG002
        """A desk just opened has its keys once it has its screen."""
        return self.stands


# -- app ------------------------------------------------------------------------------------------
# The content desk as a program of its own: the folder, the desk over it, and how it is left.


class EditApp(InOrder):
    """One folder of trees, being edited."""

    TITLE = "consult edit"
    CSS_PATH: ClassVar = ["../consult.tcss", "edit.tcss"]
    DESK_KEYS = KEYS

    def __init__(
        self,
        folder: DraftFolder,
        clock: Callable[[], datetime],
        *,
        editor: str = "",
    ) -> None:
        """``editor`` is who publishes, unless another name is given then."""
        super().__init__()
        self.clock = clock
        self._desk = EditScreen(folder, clock, editor)

    @property
    def desk(self) -> EditScreen:
        """The content desk."""
        return self._desk

    def on_mount(self) -> None:
        self.push_screen(self.desk)

    def action_calls(self) -> None:
        """A rehearsal is the only call there is."""
        self.notify(
            "A rehearsal is not stored, so it cannot be put on hold. Ctrl+Q goes back "
            "to the editor."
        )

    async def action_quit(self) -> None:
        """Leave a rehearsal, or else the desk, which asks where something is not saved."""
        if self.screen is self.desk:
            self.desk.leave()
            return
        while self.screen is not self.desk:
            await self.pop_screen()
