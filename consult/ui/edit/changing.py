"""What the keys change in a draft besides adding to it: delete, move, rename."""

from __future__ import annotations

from typing import TYPE_CHECKING

from consult.content.editing import edits
from consult.content.editing.disk import Renamed
from consult.content.editing.edits_questions import gone_from_pool, led, out_of_pool, without_route
from consult.content.editing.edits_rename import (
    NAME_FORM,
    NAMED_PARTS,
    rename,
    rename_part,
    trees_with,
)
from consult.content.editing.fields import FIELDS, KINDS
from consult.content.editing.patching import Refused
from consult.content.editing.session import EditResult
from consult.content.editing.sheets import PART_OF, STEPS, OutlineEntry, Place
from consult.ui.edit.asking import Asker, LeftOff

if TYPE_CHECKING:
    from collections.abc import Callable

    from consult.content.editing.session import EditSession
    from consult.marked.marks import Steps

_FORM = "A name has small letters, digits and underscores, and starts with a letter."


class Changing:
    """Changes what the cursor is on; ``LeftOff`` where the person left in between."""

    def __init__(self, session: EditSession, ask: Asker, complain: Callable[[str], None]) -> None:
        """``complain`` says why an answer was not taken, over the page that asks again."""
        self._session, self._ask, self._complain = session, ask, complain

    async def delete(self, at: Steps | None) -> EditResult:
        """Delete what the cursor is on; ``at`` is the field of the form it is in."""
        self._session.refuse_locked()
        entry = self._session.entry
        steps = _row(entry, at)
        if entry.kind == "file":
            raise Refused("A whole file cannot be deleted here.")
        if steps != entry.place.steps:
            return await self._delete_row(entry, steps)
        return await self._delete_entry(entry)

    async def _delete_row(self, entry: OutlineEntry, steps: Steps) -> EditResult:
        what = f"{_row_words(steps)} of {entry.name}"
        told, letter = f"Delete {what}?", "delete it"
        if "best_of" in steps:
            told = f"Take {what}?".replace(" of ", " out of ")
            letter = "take it out; it is asked after the pool"
        if not await self._ask.letter(told, {"y": letter}, "leave it as it is"):
            raise LeftOff
        last, members = steps[-1], self._session.sheets.members(entry)

        def change(text: str) -> str:
            if not isinstance(last, int):
                return edits.delete(text, steps)
            if "best_of" in steps:
                return out_of_pool(text, entry.name, members[last])
            return without_route(text, entry.name, last)

        self._session.change(entry.place.file, change, f"deleting {what}")
        return EditResult()

    async def _delete_entry(self, entry: OutlineEntry) -> EditResult:
        session, sheets = self._session, self._session.sheets
        kind = session.said(KINDS[entry.kind]).lower()
        told = f"Delete the {kind} {entry.name}?\n\n{entry.words}"
        letters = {"y": "delete it"}
        before = sheets.comes_after(entry) if entry.kind in STEPS else []
        onward = sheets.data(entry.place.inside("next"))
        if before:
            told += f"\n\nThese lead to it: {', '.join(before)}."
            if isinstance(onward, str):
                letters = {
                    "y": f"delete it, and send them to {onward}",
                    "d": "delete it only; you must then correct where they lead",
                }
        pressed = await self._ask.letter(told, letters, "leave it as it is")
        if not pressed:
            raise LeftOff
        entries = sheets.entries(entry.place.file)
        beside, pool = entries[entries.index(entry) - 1].place, sheets.pool_of(entry)

        def change(text: str) -> str:
            new = gone_from_pool(text, pool.name, entry.name) if pool else text
            if pressed == "y" and before and isinstance(onward, str):
                new = led(new, entry.name, onward, after_stop=False)
            return edits.delete(new, entry.place.steps)

        session.change(entry.place.file, change, f"deleting {entry.name}")
        return EditResult(f"Deleted {entry.name}. Ctrl+Z undoes it.", beside)

    def move(self, by: int, at: Steps | None) -> EditResult:
        self._session.refuse_locked()
        entry = self._session.entry
        file, own, steps = entry.place.file, entry.place.steps, _row(entry, at)
        what = entry.name if steps == own else f"{_row_words(steps)} of {entry.name}"
        self._session.change(file, lambda text: edits.move(text, steps, by), f"moving {what}")
        last = steps[-1]
        there = (*steps[:-1], last + by) if isinstance(last, int) else steps
        return EditResult(place=Place(file, there)) if steps == own else EditResult(field=there)

    async def rename(self) -> EditResult:
        """A question gets another name, everywhere."""
        session, entry = self._session, self._session.entry
        if entry.kind not in STEPS and entry.kind not in PART_OF:
            if entry.kind in FIELDS and entry.kind != "file":
                raise Refused("Change its name in the form.")
            raise Refused("A file cannot be renamed here.")
        new = await self._new_name(entry)
        file, texts = entry.place.file, session.folder.texts
        renamed: Renamed | None = None
        done = EditResult()
        if entry.kind in STEPS:
            changed = rename(texts, entry.name, new, file)
            renamed = Renamed("question", entry.name, new, trees_with(texts, file, entry.name))
            told = (
                f"{entry.name} is now called {new} everywhere here, and in the demo calls once "
                "you save. Stored calls keep the old name: write it into Called, and they can be "
                "read."
            )
            done = EditResult(told, Place(file, ("questions", new)))
        elif PART_OF[entry.kind] in NAMED_PARTS:
            changed = rename_part(texts, file, PART_OF[entry.kind], entry.name, new)
            if entry.kind == "caution":
                renamed = Renamed("caution", entry.name, new, trees_with(texts, file))
        else:
            changed = {file: edits.set_value(texts[file], (*entry.place.steps, "name"), new)}
        session.edit(changed, f"renaming {entry.name} to {new}", renamed=renamed)
        return done

    async def _new_name(self, entry: OutlineEntry) -> str:
        while True:
            new = (await self._ask.line(f"New name for {entry.name}", _FORM, entry.name)).strip()
            if new == entry.name:
                raise LeftOff
            if NAME_FORM.fullmatch(new):
                return new
            self._complain(_FORM)


def _row(entry: OutlineEntry, at: Steps | None) -> Steps:
    """The choice, way on or question of a pool that the cursor is in; else the whole thing."""
    own = entry.place.steps
    rows = (("choices",), ("next",), ("best_of",))
    if at is None or at[len(own) : len(own) + 1] not in rows or len(at) == len(own) + 1:
        return own
    return at[: len(own) + 2]


def _row_words(steps: Steps) -> str:
    if "best_of" in steps:
        return "a question"
    return f"the choice {steps[-1]}" if "choices" in steps else "a way on"
