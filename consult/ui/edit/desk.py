"""The content desk: outline, form, YAML and mistakes over one draft.

Form and YAML change the same text, and all that is shown is drawn from that text alone. What keys
do is in ``Adding``, ``Changing``, ``Keeping``, ``Publishing`` and ``Errands``; here it is asked
for, and what came of it is shown.
"""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Iterator
from contextlib import contextmanager, suppress
from time import monotonic
from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.screen import Screen
from textual.widgets import OptionList, Static
from textual.worker import Worker, WorkerState

from consult.content.editing.fields import FIELDS
from consult.content.editing.patching import Refused
from consult.content.editing.session import EditResult, EditSession
from consult.content.editing.sheets import Place
from consult.ui.dialogs import TextScreen
from consult.ui.edit.adding import Adding
from consult.ui.edit.asking import Asker, Choosing, LeftOff
from consult.ui.edit.changing import Changing
from consult.ui.edit.field_widgets import Control, DoLine, PickLine
from consult.ui.edit.form_panel import FormPanel
from consult.ui.edit.keeping import Errands, Keeping
from consult.ui.edit.keys import EDIT_HELP, edit_bindings, foot
from consult.ui.edit.outline_panel import OutlinePanel
from consult.ui.edit.panes import Panes, YamlPanel
from consult.ui.literal import literal
from consult.ui.widgets.part import TextPart

if TYPE_CHECKING:
    from datetime import datetime

    from consult.content.editing.folder import DraftFolder
    from consult.content.library.publish import Judge
    from consult.ui.edit.publishing import Publishing

LOOK_EVERY = 3.0
"""Seconds between two looks at the files on disk."""


class EditScreen(Screen[None]):
    """The desk over one draft."""

    BINDINGS: ClassVar[list[BindingType]] = [*edit_bindings()]
    AUTO_FOCUS = "#e-lines"

    judge: Judge | None = None
    """What is asked of a draft before it goes live; None where that is not installed."""
    _publishing: Publishing | None = None

    def __init__(self, folder: DraftFolder, clock: Callable[[], datetime], editor: str) -> None:
        """``editor`` is who publishes, unless another name is given then."""
        super().__init__()
        self._clock, self._editor = clock, editor
        self.stands = False
        self.session = session = EditSession(folder, monotonic)
        self._shown = 0
        """The change of the session that is on the screen."""
        self._ask = ask = Asker(lambda page: self.app.push_screen_wait(page))
        self._choosing = Choosing(session, ask)
        self._adding = Adding(session, ask, self._choosing)
        self._changing = Changing(session, ask, self.notify)
        self._errands = Errands(session, clock, editor, self.hear)
        self._keeping = Keeping(session, ask, lambda: self.app.size.width)
        self.panes = Panes()
        self._status, self._told = TextPart("e-status"), TextPart("e-told")

    def compose(self) -> ComposeResult:
        yield self._status
        yield self.panes
        yield self._told
        yield Static(foot(), id="e-keys")

    def on_mount(self) -> None:
        self.stands = True
        self.refresh_bindings()
        self.show()
        self.set_interval(LOOK_EVERY, self.look_outside)
        self.call_after_refresh(self._begin)

    def _begin(self) -> None:
        """What can wait for the first sight of the desk."""
        self.panes.check(self.session)
        if self.session.folder.left:
            self.ask(self._keeping.left, "outside")

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool:  # noqa: ARG002
        """A desk just opened has its keys once it has its screen."""
        return self.stands

    # -- showing ------------------------------------------------------------------------------

    def show(self, *, go: bool = False) -> None:
        """Draw everything from the session; ``go``: the cursor of the YAML to the place at hand."""
        session = self.session
        with self.app.batch_update():
            self.panes.show(session, go=go)
            self._show_status()
        self.call_after_refresh(self.panes.keep_focus)
        if self._shown != session.changes:
            self._shown = session.changes
            self.tell(session.folder.copy_trouble)
            self.panes.check_soon(session)

    @on(Panes.Checked)
    def _show_status(self) -> None:
        self._status.show(literal(self.session.status))

    def show_place(self, place: Place) -> None:
        self.flush()
        if self.session.go(place):
            self.show(go=True)

    def tell(self, text: str, sign: str = "! ") -> None:
        """Say something below; nothing where there is nothing."""
        if self.stands:
            self._told.show(literal(f"{sign}{text}" if text else ""))

    def _report(self, text: str) -> None:
        """Say how far something has come, with all as it is by then."""
        self.show()
        self.tell(text, "")

    def hear(self, text: str) -> None:
        """Say how far something has come; called from its thread."""
        self.app.call_from_thread(self.tell, text, "")

    def _show_done(self, done: EditResult | None) -> None:
        """Show what came of a change, and go where it leads."""
        if done is None:
            return
        gone = done.place is not None and self.session.go(done.place)
        self.show(go=gone)
        if done.in_form:
            self.panes.turn_to("form", focus=done.field is None)
        if done.field is not None:
            self.call_after_refresh(self.panes.form.focus_at, done.field)
        if done.told:
            self.tell(done.told, "")

    @contextmanager
    def _refusals(self) -> Iterator[None]:
        """Where something cannot be done, say why."""
        try:
            yield
        except Refused as refused:
            if self._shown != self.session.changes:
                self.show()
            self._show_status()
            self.tell(str(refused))

    def _do(self, do: Callable[[], EditResult | None]) -> None:
        self.flush()
        with self._refusals():
            self._show_done(do())

    def ask(self, do: Callable[[], Awaitable[EditResult | None]], group: str = "flow") -> None:
        """Do what asks the person on the way; what is typed next is for the pages of a "flow".

        "outside" is asked where it must be, whatever else is being asked.
        """
        self.run_worker(self._follow(do), group=group, exclusive=True)

    async def _follow(self, do: Callable[[], Awaitable[EditResult | None]]) -> None:
        self.flush()
        with self._refusals(), suppress(LeftOff):
            self._show_done(await do())

    # -- what is typed ------------------------------------------------------------------------

    def flush(self) -> None:
        """Take what was typed and not taken yet."""
        for field in (*self.panes.form.controls(), self.panes.yaml):
            self._take(field)

    @on(Control.Typed)
    def typed(self, event: Control.Typed) -> None:
        self._take(event.field)

    def _take(self, field: Control) -> None:
        def take(value: str) -> None:
            with self._refusals():
                yaml = self.panes.yaml
                if field is yaml:
                    self.session.edit({yaml.file: value}, f"typing in {yaml.file}", typed=True)
                    self.session.go_to_line(yaml.file, yaml.line)
                else:
                    self.session.type_in(self.panes.form.place_of(field), value)
                self.show()

        field.taken(take)

    # -- what keys and fields ask for ---------------------------------------------------------

    @on(Control.Asked)
    def value_asked(self, event: Control.Asked) -> None:
        field, is_word = event.field, isinstance(event.field, PickLine)
        place = self.panes.form.place_of(field)
        self.ask(lambda: self._choosing.value(place, field.kept, is_word=is_word))

    @on(DoLine.Pressed)
    def addition_asked(self, event: DoLine.Pressed) -> None:
        self.ask(lambda: self._adding.asked(event.kind))

    # -- moving about -------------------------------------------------------------------------

    @on(OutlinePanel.Moved)
    @on(FormPanel.Opened)
    def place_chosen(self, event: OutlinePanel.Moved | FormPanel.Opened) -> None:
        self.show_place(event.place)

    @on(OutlinePanel.Opened)
    def opened(self, event: OutlinePanel.Opened) -> None:
        if event.place != self.session.place:
            self.show_place(event.place)
        self.panes.turn_to("form" if self.session.entry.kind in FIELDS else "yaml")

    @on(YamlPanel.Moved)
    def line_chosen(self) -> None:
        if self.session.go_to_line(self.panes.yaml.file, self.panes.yaml.line):
            self.panes.show_place(self.session)

    @on(OptionList.OptionSelected, "#e-problems")
    def problem_chosen(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        self._go_to_problem(event.option_index)

    def _go_to_problem(self, index: int) -> None:
        self.flush()
        self.tell(self.panes.go_to_problem(self.session, index))

    def action_next_problem(self) -> None:
        """Go to the nearest mistake not gone to yet; to warnings once there is none left."""
        self.flush()
        index = self.session.next_problem()
        if index is None:
            self.tell("There are no mistakes.", "")
        else:
            self._go_to_problem(index)

    def action_turn(self) -> None:
        self._do(self.panes.turn)

    def action_yaml(self) -> None:
        self.panes.toggle_yaml()

    def action_back(self) -> None:
        self._do(self.panes.back)

    def action_find(self) -> None:
        self._do(self.panes.find)

    # -- changes ------------------------------------------------------------------------------

    def action_add(self) -> None:
        self.ask(self._adding.anything)

    def action_delete(self) -> None:
        self.ask(lambda: self._changing.delete(self.panes.field))

    def action_move(self, by: int) -> None:
        self._do(lambda: self._changing.move(by, self.panes.field))

    def action_rename(self) -> None:
        self.ask(self._changing.rename)

    def action_undo(self) -> None:
        self._do(self.session.undo)

    def action_redo(self) -> None:
        self._do(self.session.redo)

    # -- the disk -----------------------------------------------------------------------------

    def action_save(self) -> None:
        self.ask(self._keeping.saved, "outside")

    def look_outside(self) -> None:
        """Take in what somebody else saved, and say so."""
        with self._refusals():
            if self.app.screen is self and self.session.others():
                # What is being typed belongs to the text as it was before, and is taken first.
                self._do(self._keeping.look)

    def leave(self) -> None:
        """Quit; where something is not saved, ask."""
        self.flush()
        if self.session.folder.changed:
            self.ask(self._leave, "outside")
        else:
            self.app.exit()

    async def _leave(self) -> EditResult:
        leaves, told = await self._keeping.leave()
        if leaves:
            self.app.exit()
        return EditResult(told)

    # -- the draft from other sides -----------------------------------------------------------

    def action_help(self) -> None:
        self.app.push_screen(TextScreen("Help", EDIT_HELP))

    def action_preview(self) -> None:
        self._open(self._errands.preview)

    def action_rehearse(self) -> None:
        self._open(self._errands.rehearsal)

    def _open(self, page: Callable[[], Screen[None]]) -> None:
        self.flush()
        with self._refusals():
            self.app.push_screen(page())

    def action_effect(self) -> None:
        self._errand(self._errands.impact)

    def action_draw(self) -> None:
        self._errand(self._errands.draw)

    def _errand(self, do: Callable[[str, str], str]) -> None:
        """Do something in a thread with the tree and the file at hand, and show what it gives."""
        self.flush()
        tree, file = self.session.main_tree, self.session.tree_file

        def run() -> None:
            if text := do(tree, file):
                self.app.call_from_thread(self._read, text)

        self.run_worker(run, group="errand", thread=True, exclusive=True, exit_on_error=False)

    def _read(self, text: str) -> None:
        self.tell("")
        self.app.push_screen(TextScreen("Impact of the draft", text))

    def on_worker_state_changed(self, event: Worker.StateChanged) -> None:
        """An errand that fails must not end the desk."""
        if event.state is WorkerState.ERROR and event.worker.group in ("errand", "check"):
            self.tell(f"That went wrong ({event.worker.error!r}). The draft is as it was.")

    def action_publish(self) -> None:
        self.ask(self._publish)

    async def _publish(self) -> EditResult | None:
        if self.judge is None:
            raise Refused(
                "Publishing needs packages that are not installed. Use a terminal: consult publish"
            )
        if self._publishing is None:
            from consult.ui.edit.publishing import Publishing

            parts = self.session, self._ask, self._keeping
            self._publishing = Publishing(*parts, self.judge, self._report)
        return await self._publishing.publish(self._editor, self._clock().date())

    @property
    def judging(self) -> bool:
        """Whether the draft is being judged, while the desk can be used."""
        return self._publishing is not None and self._publishing.judging
