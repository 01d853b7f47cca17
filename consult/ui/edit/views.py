"""What the content desk shows: outline, form, YAML and status, all drawn from the one text."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from contextlib import suppress
from time import monotonic
from typing import TYPE_CHECKING

from textual import on, work
from textual.message import Message
from textual.screen import Screen

from consult.content.editing.patching import Refused
from consult.problems import Problem
from consult.ui.edit.beside_form import ProblemsPanel, YamlPanel, file_of, place_of, told_by_steps
from consult.ui.edit.fields import FIELDS
from consult.ui.edit.form_panel import FormPanel
from consult.ui.edit.outline_panel import OutlinePanel
from consult.ui.edit.sheets import OutlineEntry, Place, Sheets
from consult.ui.edit.structure import changed_value, moves_set, names_set, plain_set
from consult.ui.literal import literal
from consult.ui.widgets.part import TextPart

if TYPE_CHECKING:
    from datetime import datetime

    from consult.content.editing.folder import DraftFolder
    from consult.marked.marks import Steps

ONE_GO = 2.0
"""Seconds between two pieces of typing that are taken back together."""
CHECK_PAUSE = 0.15
"""Seconds of quiet before the draft is checked again."""


class Views(Screen[None]):
    """The draft, and everything on the screen that is drawn from it."""

    class Checked(Message):
        """The draft, as it was at a change, has been checked."""

        def __init__(self, at: int, problems: list[Problem]) -> None:
            super().__init__()
            self.at = at
            self.problems = problems

    def __init__(self, folder: DraftFolder, clock: Callable[[], datetime], editor: str) -> None:
        """``editor`` is who publishes, unless another name is given then."""
        super().__init__()
        self.folder = folder
        self.clock = clock
        self.editor = editor
        self.sheets = Sheets()
        self.sheets.update(folder.texts)
        first = self.sheets.files
        self.place = Place(first[0] if first else "")
        self.found: list[Problem] = []
        self.changes = 0
        """Counts the changes, so that a check that comes too late is known as such."""
        self.visited: set[Problem] = set()
        """Problems that were gone to, so that the next is another."""
        self.contested: set[str] = set()
        """Files of which somebody else changed a piece that was changed here too."""
        self.last_typed = ""
        self.last_at = 0.0
        self.stands = False

    # -- the text and its views ---------------------------------------------------------------

    @property
    def entry(self) -> OutlineEntry:
        """What the outline is on."""
        found = self.sheets.entry(self.place)
        assert found is not None, "every file has an entry"
        return found

    @property
    def folder_name(self) -> str:
        """The folder, as short as it can be told."""
        return str(self.folder.path)

    def take(self, file: str, text: str, what: str, *, typed: bool = False) -> None:
        """A file reads differently now; one step that can be undone.

        What is typed in one go, with short pauses, is one step.
        """
        if self.folder.texts.get(file) == text:
            return
        now = monotonic()
        goes_on = typed and self.last_typed == what and now - self.last_at < ONE_GO
        self.last_typed, self.last_at = (what if typed else ""), now
        self.folder.edit(file, text, what, goes_on=goes_on)
        self.changed()
        if self.folder.copy_trouble:
            self.tell(self.folder.copy_trouble)

    def changed(self) -> None:
        """The draft is another one: show it, and check it soon."""
        self.changes += 1
        self.sheets.update(self.folder.texts)
        if self.place.file not in self.folder.texts:
            self.place = Place(self.sheets.files[0])
        self.place = self.entry.place
        self.tell("")
        self.show_all()
        self.check_soon()

    def yaml_edited(self, text: str) -> None:
        """The YAML was typed in."""
        panel = self.query_one(YamlPanel)
        try:
            self.take(panel.file, text, f"typing in {panel.file}", typed=True)
        except Refused as refused:
            self.tell(str(refused))
        self.yaml_moved(panel.cursor_location[0] + 1)

    def yaml_moved(self, line: int) -> None:
        """The cursor went to a line of the YAML: outline and form follow."""
        file = self.query_one(YamlPanel).file
        entry = self.sheets.at_line(file, line)
        if entry is not None and entry.place != self.place and file not in self.sheets.trouble:
            self.place = entry.place
            self.show_form()
            self.show_outline()

    def show_place(self, place: Place) -> None:
        """The outline went to a thing: form and YAML follow."""
        self.query_one(FormPanel).flush()
        self.query_one(YamlPanel).flush()
        entry = self.sheets.entry(place)
        if entry is None:
            return
        self.place = entry.place
        self.show_outline()
        self.show_form()
        self.show_yaml(go=True)

    def flush(self) -> None:
        """Take what was typed and not taken yet."""
        if self.stands:
            self.query_one(FormPanel).flush()
            self.query_one(YamlPanel).flush()

    def show_all(self) -> None:
        """Draw everything from the text."""
        with self.app.batch_update():
            self.show_outline()
            self.show_form()
            self.show_yaml(go=False)
            self.show_status()
        self.call_after_refresh(self.keep_focus)

    def keep_focus(self) -> None:
        """Where the field that the cursor was in is gone, it stays in its pane."""

    def fit_panes(self) -> None:
        """Show the panes there is room for."""

    def show_outline(self) -> None:
        """The outline, its cursor on the current place."""
        wrong = Counter(place_of(one, self.folder.texts, self.sheets) for one in self.found)
        panel = self.query_one(OutlinePanel)
        panel.fill(self.sheets, self.place, wrong, self.folder.changed)

    def show_form(self) -> None:
        """The form of the current place."""
        trouble = self.sheets.trouble.get(self.place.file)
        locked = ""
        if trouble is not None:
            said = f"Line {trouble.where.line}: {trouble.message} {trouble.fix}".strip()
            locked = f"The YAML cannot be read, so the form shows the last readable version. {said}"
        form = self.query_one(FormPanel)
        form.show(self.entry, self.sheets, locked)
        self.mark_form()

    def show_yaml(self, *, go: bool) -> None:
        """The YAML of the current file; ``go``: its cursor to the current place."""
        panel = self.query_one(YamlPanel)
        fresh = panel.file != self.place.file
        panel.open(self.place.file, self.folder.texts.get(self.place.file, ""))
        if (go or fresh) and not panel.has_focus:
            panel.go(self.entry.line)

    def show_status(self) -> None:
        """Where, saved or not, and how much is wrong."""
        errors = sum(one.severity == "error" for one in self.found)
        warnings = len(self.found) - errors
        wrong = [f"{errors} mistake{'s' * (errors != 1)}"] if errors else []
        wrong += [f"{warnings} warning{'s' * (warnings != 1)}"] if warnings else []
        unsaved = len(self.folder.changed)
        parts = [
            f"Draft {self.folder_name}",
            f"{unsaved} file{'s' * (unsaved != 1)} not saved (Ctrl+S)" if unsaved else "saved",
            " and ".join(wrong) + " (Alt+M)" if wrong else "no mistakes",
        ]
        if self.contested:
            both = ", ".join(sorted(self.contested))
            parts.insert(1, f"{both}: somebody else changed the same (Ctrl+S shows both)")
        self.query_one("#e-status", TextPart).show(literal("  |  ".join(parts)))

    def tell(self, text: str, sign: str = "! ") -> None:
        """Say something below; nothing where there is nothing."""
        if self.stands:
            self.query_one("#e-told", TextPart).show(literal(f"{sign}{text}" if text else ""))

    def hear(self, text: str) -> None:
        """Say how far something has come; called from its thread."""
        self.app.call_from_thread(self.tell, text, "")

    def field_edited(self, place: Place, value: str) -> None:
        """A field of the form was changed."""
        if place.file in self.sheets.trouble:
            return
        kind = self.entry.kind
        field = next((one for one in FIELDS.get(kind, ()) if place.steps[-1:] == (one.key,)), None)
        needed = field.needed if field else place.steps[-1] not in ("otherwise",)
        label = field.label.lower() if field else _piece(place.steps)
        what = f"{label} of {self.entry.name}"

        def change(text: str) -> str:
            if field is not None and (kind in ("part", "product_part") or field.how == "list"):
                return plain_set(text, place, value, needed=needed, listed=field.how == "list")
            if field is not None and field.how == "names":
                return names_set(text, place, value)
            if field is not None and field.how == "moves":
                return moves_set(text, place, value)
            return changed_value(text, place, value, needed=needed)

        self.try_edit(place.file, change, what, typed=True)

    def try_edit(
        self, file: str, change: Callable[[str], str], what: str, *, typed: bool = False
    ) -> bool:
        """Change a file; where that cannot be, say why."""
        try:
            self.take(file, change(self.folder.texts[file]), what, typed=typed)
        except Refused as refused:
            self.tell(str(refused))
            return False
        return True

    def may_change(self) -> bool:
        """Whether the current file can be read, so that something can be put into it."""
        if self.place.file in self.sheets.trouble:
            self.tell("Correct the YAML first (Alt+M). Then you can add something.")
            return False
        return True

    # -- what is wrong ------------------------------------------------------------------------

    def check_soon(self) -> None:
        """Check once the typing pauses."""
        at = self.changes
        self.set_timer(CHECK_PAUSE, lambda: self.check() if at == self.changes else None)

    @work(thread=True, group="check", exit_on_error=False)
    def check(self) -> None:
        """Beside the typing, which must not wait for it."""
        at = self.changes
        found = self.folder.problems()
        with suppress(RuntimeError):
            self.post_message(self.Checked(at, found))

    @on(Checked)
    def take_problems(self, event: Checked) -> None:
        """Show what is wrong, unless something changed since."""
        if event.at != self.changes:
            return
        self.found = event.problems
        with self.app.batch_update():
            self.show_problems()
            self.show_outline()
            self.mark_form()
            self.show_status()

    def show_problems(self) -> None:
        """The list of all mistakes."""
        files = [file_of(one, self.folder.texts) for one in self.found]
        title = "Mistakes: Alt+M or Enter goes there" if self.found else "Mistakes"
        panel = self.query_one(ProblemsPanel)
        panel.fill(self.found, files, title)
        self.fit_panes()

    def mark_form(self) -> None:
        """What is wrong beside the field it is wrong in."""
        told = told_by_steps(self.found, self.place.file, self.folder.texts, self.sheets)
        self.query_one(FormPanel).mark(told)


def _piece(steps: Steps) -> str:
    """What a value without a label of its own is called."""
    names = {"choices": "a choice", "next": "the way on"}
    return next((names[one] for one in steps if one in names), "a value")
