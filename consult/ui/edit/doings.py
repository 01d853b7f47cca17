"""What the keys change in a draft besides adding to it: delete, move, rename."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from textual import work

from consult.content.editing import edits
from consult.content.editing.disk import Renamed
from consult.content.editing.edits_questions import gone_from_pool, out_of_pool
from consult.content.editing.edits_rename import NAMED_PARTS, rename, rename_part, trees_with
from consult.content.editing.patching import Refused
from consult.sentence import of_thing
from consult.ui.dialogs import LettersScreen, LineScreen
from consult.ui.edit.adding import Adding
from consult.ui.edit.fields import FIELDS, KINDS, NAME
from consult.ui.edit.form_panel import FormPanel
from consult.ui.edit.sheets import STEPS, OutlineEntry, Place
from consult.ui.edit.structure import (
    PART_OF,
    rerouted,
    route_less,
)

if TYPE_CHECKING:
    from consult.marked.marks import Steps


class Doings(Adding):
    """Every change of a draft that is more than a field."""

    # -- less, and elsewhere ------------------------------------------------------------------

    @work(group="flow", exclusive=True)
    async def action_delete(self) -> None:
        """Delete what the cursor is on."""
        self.flush()
        if not self.may_change():
            return
        entry, steps = self.entry, self._cursor_steps()
        if entry.kind == "file":
            self.tell("A whole file cannot be deleted here.")
            return
        if steps != entry.place.steps:
            await self._delete_row(entry, steps)
            return
        await self._delete_entry(entry)

    async def _delete_row(self, entry: OutlineEntry, steps: Steps) -> None:
        what = f"{_row_words(steps)} of {entry.name}"
        told, letter = f"Delete {what}?", "delete it"
        if "best_of" in steps:
            told, letter = (
                f"Take {what}?".replace(" of ", " out of "),
                "take it out; it is asked after the pool",
            )
        if await self._sure(told, {"y": letter}):
            last = steps[-1]

            def change(text: str) -> str:
                if "best_of" in steps and isinstance(last, int):
                    return out_of_pool(text, entry.name, self.sheets.members(entry)[last])
                if isinstance(last, int):
                    return route_less(text, entry.place, self.sheets, last)
                return edits.delete(text, steps)

            self.try_edit(entry.place.file, change, f"deleting {what}")

    async def _delete_entry(self, entry: OutlineEntry) -> None:
        kind = of_thing(KINDS[entry.kind], self.sheets.thing).lower()
        told = f"Delete the {kind} {entry.name}?\n\n{entry.words}"
        letters = {"y": "delete it"}
        before = self.sheets.comes_after(entry) if entry.kind in STEPS else []
        onward = self.sheets.data(entry.place.inside("next"))
        if before:
            told += f"\n\nThese lead to it: {', '.join(before)}."
            if isinstance(onward, str):
                letters = {
                    "y": f"delete it, and send them to {onward}",
                    "d": "delete it only; you must then correct where they lead",
                }
        pressed = await self._sure(told, letters)
        if not pressed:
            return
        entries = self.sheets.entries(entry.place.file)
        at = entries.index(entry)
        beside = entries[at - 1].place

        pool = self.sheets.pool_of(entry)

        def change(text: str) -> str:
            new = text
            if pool is not None:
                new = gone_from_pool(new, pool.name, entry.name)
            if pressed == "y" and before and isinstance(onward, str):
                new = rerouted(new, self.sheets, entry, onward)
            return edits.delete(new, entry.place.steps)

        if self.try_edit(entry.place.file, change, f"deleting {entry.name}"):
            self.show_place(beside)
            self.tell(f"Deleted {entry.name}. Ctrl+Z undoes it.", "")

    async def _sure(self, told: str, letters: Mapping[str, str]) -> str | None:
        return await self.app.push_screen_wait(LettersScreen(told, letters, "leave it as it is"))

    def action_move(self, by: int) -> None:
        """What the cursor is on, a place up or down."""
        self.flush()
        if not self.may_change():
            return
        entry, steps = self.entry, self._cursor_steps()
        what = "moving " + (
            entry.name if steps == entry.place.steps else f"{_row_words(steps)} of {entry.name}"
        )
        moved = self.try_edit(entry.place.file, lambda text: edits.move(text, steps, by), what)
        if not moved:
            return
        last = steps[-1]
        there = (*steps[:-1], last + by) if isinstance(last, int) else steps
        if steps == entry.place.steps:
            self.show_place(Place(entry.place.file, there))
        else:
            self.call_after_refresh(self.query_one(FormPanel).focus_at, there)

    def _cursor_steps(self) -> Steps:
        """The choice or way on that the cursor is in; else what the outline is on."""
        at = self.query_one(FormPanel).at() if self.pane_now() == "form" else None
        own = self.entry.place.steps
        if at is not None and at[len(own) : len(own) + 1] in (
            ("choices",),
            ("next",),
            ("best_of",),
        ):
            return at[: len(own) + 2] if len(at) > len(own) + 1 else own
        return own

    @work(group="flow", exclusive=True)
    async def action_rename(self) -> None:
        """A question gets another name, everywhere."""
        self.flush()
        entry = self.entry
        if entry.kind not in STEPS:
            if entry.kind in PART_OF:
                await self._rename_part(entry)
            else:
                said = "Change its name in the form." if entry.kind in FIELDS else ""
                self.tell(
                    said if entry.kind != "file" and said else "A file cannot be renamed here."
                )
            return
        new = await self._new_name(entry)
        if new is None:
            return
        try:
            texts = rename(self.folder.texts, entry.name, new, entry.place.file)
            trees = trees_with(self.folder.texts, entry.place.file, entry.name)
            renamed = Renamed("question", entry.name, new, trees)
            self.folder.edit_many(texts, f"renaming {entry.name} to {new}", renamed=renamed)
        except Refused as refused:
            self.tell(str(refused))
            return
        self.changed()
        self.show_place(Place(entry.place.file, ("questions", new)))
        self.tell(
            f"{entry.name} is now called {new} everywhere here, and in the demo calls once you "
            "save. Stored calls keep the old name: write it into Called, and they can be read.",
            "",
        )

    async def _rename_part(self, entry: OutlineEntry) -> None:
        new = await self._new_name(entry)
        if new is None:
            return
        file, part = entry.place.file, PART_OF[entry.kind]
        try:
            if part in NAMED_PARTS:
                texts = rename_part(self.folder.texts, file, part, entry.name, new)
            else:
                steps = (*entry.place.steps, "name")
                texts = {file: edits.set_value(self.folder.texts[file], steps, new)}
            is_caution = entry.kind == "caution"
            trees = trees_with(self.folder.texts, file)
            renamed = Renamed("caution", entry.name, new, trees) if is_caution else None
            self.folder.edit_many(texts, f"renaming {entry.name} to {new}", renamed=renamed)
        except Refused as refused:
            self.tell(str(refused))
            return
        self.changed()

    async def _new_name(self, entry: OutlineEntry) -> str | None:
        help_ = "A name has small letters, digits and underscores, and starts with a letter."
        while True:
            new = await self.app.push_screen_wait(
                LineScreen(f"New name for {entry.name}", help_, entry.name, needed=True)
            )
            if new is None or new.strip() == entry.name:
                return None
            if NAME.fullmatch(new.strip()):
                return new.strip()
            self.app.notify(help_)


def _row_words(steps: Steps) -> str:
    if "best_of" in steps:
        return "a question"
    return f"the choice {steps[-1]}" if "choices" in steps else "a way on"
