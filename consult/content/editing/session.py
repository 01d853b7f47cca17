"""One person at work on a draft: what its texts say, where in them the person is, what is wrong.

Knows of no screen. Every change is one step that can be undone; ``Refused`` says why one cannot be.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import PurePath
from typing import TYPE_CHECKING

from consult.content.editing.fields import field_of, with_typed
from consult.content.editing.patching import Refused, piece_called
from consult.content.editing.sheets import OutlineEntry, Place, Sheets
from consult.sentence import of_thing

if TYPE_CHECKING:
    from consult.content.editing.disk import Renamed
    from consult.content.editing.folder import DraftFolder
    from consult.content.editing.merging import Merge
    from consult.marked.marks import Steps
    from consult.problems import Problem

ONE_GO = 2.0
"""Seconds between two pieces of typing that are taken back together."""


@dataclass(frozen=True, slots=True)
class EditResult:
    """What came of a change: what to say, and where to go."""

    told: str = ""
    place: Place | None = None
    """To be shown in the outline."""
    field: Steps | None = None
    """To go to in the form."""
    in_form: bool = False
    """Go on in the form, wherever the person was."""


class EditSession:
    """All that is shown is drawn from this alone."""

    def __init__(self, folder: DraftFolder, seconds: Callable[[], float]) -> None:
        """``seconds`` counts those that pass."""
        self.folder = folder
        self._seconds = seconds
        self.sheets = Sheets()
        self.sheets.update(folder.texts)
        self.place = Place(self.sheets.files[0])
        self.problems: list[Problem] = []
        self.changes = 0
        """Counts the changes, so that a check that comes too late is known as such."""
        self.contested: set[str] = set()
        """Files of which somebody else changed a piece that was changed here too."""
        self._put_off: set[str] = set()
        """Files changed elsewhere that are decided on at saving."""
        self._visited: set[Problem] = set()
        """Problems that were gone to, so that the next is another."""
        self._typed = ("", 0.0)
        """What was typed last, and when."""

    # -- where the person is ------------------------------------------------------------------

    @property
    def entry(self) -> OutlineEntry:
        """What the outline is on."""
        entry = self.sheets.entry(self.place)
        assert entry is not None, "every file has an entry"
        return entry

    def go(self, place: Place) -> bool:
        """Be at a thing; whether there is one."""
        entry = self.sheets.entry(place)
        if entry is not None:
            self.place = entry.place
        return entry is not None

    def go_to_line(self, file: str, line: int) -> bool:
        """Be at what stands on a line; whether that is somewhere else."""
        entry = self.sheets.at_line(file, line)
        if entry is None or entry.place == self.place or file in self.sheets.trouble:
            return False
        self.place = entry.place
        return True

    @property
    def tree_file(self) -> str:
        """The file at hand where it is a tree, else the first one."""
        is_tree = self.sheets.is_tree(self.place.file)
        return self.place.file if is_tree else self.sheets.files[0]

    @property
    def main_tree(self) -> str:
        """The main tree in which the current piece is asked, without .yaml."""
        return self.sheets.mains(self.tree_file)[0].removesuffix(".yaml")

    def said(self, text: str) -> str:
        """A text as it speaks of what the trees advise on."""
        return of_thing(text, self.sheets.thing)

    # -- changes ------------------------------------------------------------------------------

    @property
    def locked(self) -> str:
        """Why the form only shows the file at hand; '' where it can be changed."""
        trouble = self.sheets.trouble.get(self.place.file)
        if trouble is None:
            return ""
        message = f"Line {trouble.where.line}: {trouble.message} {trouble.fix}".strip()
        return f"The YAML cannot be read, so the form shows the last readable version. {message}"

    def refuse_locked(self) -> None:
        """Refused where the current file cannot be read, so that nothing can be put into it."""
        if self.locked:
            raise Refused("Correct the YAML first (Alt+M). Then you can add something.")

    def edit(
        self,
        texts: Mapping[str, str],
        what: str,
        *,
        typed: bool = False,
        renamed: Renamed | None = None,
    ) -> None:
        """Files read differently now. What is typed in one go, with short pauses, is one step."""
        if all(self.folder.texts.get(file) == text for file, text in texts.items()):
            return
        (before, at), now = self._typed, self._seconds()
        goes_on = typed and before == what and now - at < ONE_GO
        self._typed = (what if typed else "", now)
        self.folder.edit(texts, what, goes_on=goes_on, renamed=renamed)
        self.take_changes()

    def change(self, file: str, change: Callable[[str], str], what: str) -> None:
        """Change one file."""
        self.edit({file: change(self.folder.texts[file])}, what)

    def type_in(self, place: Place, value: str) -> None:
        """Take what was typed in a field of the form."""
        file, steps = place.file, place.steps
        if file in self.sheets.trouble:
            return
        entry = self.entry
        field = field_of(entry.kind, steps)
        names = {"choices": "a choice", "next": "the way on"}
        piece = next((names[str(step)] for step in steps if step in names), "a value")
        label = field.label.lower() if field else piece
        text = with_typed(self.folder.texts[file], entry.kind, steps, value)
        self.edit({file: text}, f"{label} of {entry.name}", typed=True)

    def take_changes(self) -> None:
        """The texts of the folder are others now."""
        self.changes += 1
        self.sheets.update(self.folder.texts)
        if self.place.file not in self.folder.texts:
            self.place = Place(self.sheets.files[0])
        self.place = self.entry.place

    def undo(self) -> EditResult:
        """Take back the last change."""
        return self._step(self.folder.undo, "Undone", "There is nothing to undo.")

    def redo(self) -> EditResult:
        """Make it again."""
        return self._step(self.folder.redo, "Redone", "There is nothing to redo.")

    def _step(self, do: Callable[[], str | None], done: str, none: str) -> EditResult:
        before = dict(self.folder.texts)
        what = do()
        if what is None:
            raise Refused(none)
        self.take_changes()
        self._typed = ("", 0.0)
        where = _first_change(before, self.folder.texts)
        moved = where is not None and self.go_to_line(*where)
        return EditResult(f"{done}: {what}.", self.place if moved else None)

    # -- what others do -----------------------------------------------------------------------

    def decide_anew(self) -> None:
        """What was put off is to be decided now."""
        self._put_off.clear()
        self.contested.clear()

    def others(self) -> list[str]:
        """Files that somebody else changed, but for those put off."""
        return sorted(self.folder.outside_changes() - self._put_off)

    def take_in(self, name: str) -> str | None:
        """What was taken in of a file; None where somebody has to decide, which is put off."""
        try:
            merge = self.folder.take_in(name, {})
        except Refused as refused:
            self._put_off.add(name)
            return str(refused)
        if merge.conflicts:
            self._put_off.add(name)
            self.contested.add(name)
            return None
        self.take_changes()
        return _taken_words(name, merge)

    def decided(self, name: str) -> None:
        """It was decided whose each piece of a file is."""
        self._put_off.discard(name)
        self.contested.discard(name)

    # -- what is wrong ------------------------------------------------------------------------

    @property
    def status(self) -> str:
        """Where, saved or not, and how much is wrong."""
        errors = sum(problem.severity == "error" for problem in self.problems)
        warnings = len(self.problems) - errors
        wrong = [f"{errors} mistake{'s' * (errors != 1)}"] if errors else []
        wrong += [f"{warnings} warning{'s' * (warnings != 1)}"] if warnings else []
        unsaved = len(self.folder.changed)
        both = ", ".join(sorted(self.contested))
        parts = [
            f"Draft {self.folder.path}",
            f"{both}: somebody else changed the same (Ctrl+S shows both)" if both else "",
            f"{unsaved} file{'s' * (unsaved != 1)} not saved (Ctrl+S)" if unsaved else "saved",
            " and ".join(wrong) + " (Alt+M)" if wrong else "no mistakes",
        ]
        return "  |  ".join(part for part in parts if part)

    @property
    def wrong(self) -> Counter[Place]:
        """How much is wrong at each line of the outline."""
        return Counter(self.place_of(problem) for problem in self.problems)

    @property
    def wrong_here(self) -> dict[Steps, str]:
        """What is wrong in the file at hand, by the steps to where it is wrong."""
        messages: dict[Steps, str] = {}
        for problem in self.problems:
            if self.file_of(problem) == self.place.file:
                steps = self.sheets.steps_at(
                    self.place.file, problem.where.line, problem.where.column
                )
                message = f"{problem.message} {problem.fix}".strip()
                messages[steps] = f"{messages[steps]} {message}" if steps in messages else message
        return messages

    def file_of(self, problem: Problem) -> str:
        """The file of a problem as the outline calls it."""
        path = PurePath(problem.where.file)
        names = (str(path), path.name, "/".join(path.parts[-2:]))
        return next((name for name in names if name in self.folder.texts), path.name)

    def place_of(self, problem: Problem) -> Place:
        """The line of the outline a problem belongs to."""
        file = self.file_of(problem)
        entry = self.sheets.at_line(file, problem.where.line)
        return entry.place if entry else Place(file)

    def visit(self, index: int) -> Problem:
        """A problem that is gone to."""
        self._visited.add(self.problems[index])
        return self.problems[index]

    def next_problem(self) -> int | None:
        """The nearest mistake not gone to yet; a warning once there is none left."""
        if self._visited.issuperset(self.problems):
            self._visited.clear()
        here = self.entry

        def way(index: int) -> tuple[bool, bool, int]:
            problem = self.problems[index]
            elsewhere = self.file_of(problem) != here.place.file
            lines = 0 if elsewhere else abs(problem.where.line - here.line)
            return problem.severity != "error", elsewhere, lines

        left = [at for at, problem in enumerate(self.problems) if problem not in self._visited]
        return min(left, key=way, default=None)


def _taken_words(name: str, merge: Merge) -> str:
    """What came from somebody else, in one line."""
    if merge.text is None:
        return f"{name} was deleted by somebody else."
    pieces = [piece_called(way) for way in merge.taken if way]
    shown = ", ".join(pieces[:3]) + (f" and {len(pieces) - 3} more" if len(pieces) > 3 else "")
    return f"{name} was changed by somebody else too" + (
        f": {shown} now as they have it." if shown else "."
    )


def _first_change(old: Mapping[str, str], new: Mapping[str, str]) -> tuple[str, int] | None:
    """The file and line where two drafts first differ."""
    for name in new:
        before, after = old.get(name, "").split("\n"), new[name].split("\n")
        if before != after:
            pairs = enumerate(zip(before, after, strict=False), 1)
            line = next((at for at, (was, now) in pairs if was != now), len(after))
            return name, line
    return None
