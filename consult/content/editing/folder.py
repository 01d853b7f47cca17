"""A folder of trees being edited: its texts in memory, one history over all files, and saving."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import takewhile
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING

from consult.content.editing.disk import (
    WORDING,
    Copy,
    Renamed,
    Unsaved,
    calls_renamed,
    content_of,
    digest,
    editable_names,
    write_all,
)
from consult.content.editing.merging import EditConflict, Merge, merged
from consult.content.editing.patching import Refused
from consult.content.editing.writing import refuse_unwritable
from consult.marked.marks import load_marked
from consult.problems import Problem, listed

if TYPE_CHECKING:
    from consult.body.population import Population
    from consult.call.basis import Basis
    from consult.content.editing.live import LiveCheck

_BOM = b"\xef\xbb\xbf"
_NAME = re.compile(rf"(?:{WORDING}/[\w.-]+\.j2|[\w-][\w.-]*\.yaml)")


@dataclass(frozen=True, slots=True)
class Saved:
    """The result of saving."""

    names: tuple[str, ...]
    """The files written."""
    calls: tuple[str, ...] = ()
    """Demo calls that have a new name of a question or caution in them."""


@dataclass(frozen=True, slots=True)
class _Step:
    """One thing that can be undone; None is a file that is not there."""

    what: str
    before: Mapping[str, str | None]
    after: Mapping[str, str | None]
    renamed: Renamed | None = None


class DraftFolder:
    """The content lead's draft. Nothing on disk changes before ``save``."""

    def __init__(self, path: Path, person: str = "", calls: Path | None = None) -> None:
        self.path = path
        self._calls = calls
        self._done_when_saved: list[_Step] = []
        self._texts: dict[str, str] = {}
        self._saved: dict[str, str] = {}
        """Name -> text as it is on disk, as far as is known here."""
        self._bases: dict[str, str | None] = {}
        """Name -> digest of the file when it was read or written here."""
        self._boms: set[str] = set()
        self._done: list[_Step] = []
        self._undone: list[_Step] = []
        self._live: LiveCheck | None = None
        self._population: Population | None = None
        self._unsaved = Unsaved(path, person)
        self._left: dict[str, Copy] = {}
        self.unreadable: dict[str, str] = {}
        """Name -> why a file of the folder is not among the texts."""

    @classmethod
    def open(cls, path: Path, person: str = "", calls: Path | None = None) -> DraftFolder:
        """All trees, contacts, range and papers of a folder; Refused where there is no folder.

        ``person`` is who edits: what is not saved is kept for each apart. ``calls`` is the folder
        of the demo calls held with these trees.
        """
        if not path.is_dir():
            raise Refused(f"There is no folder {path}.")
        folder = cls(path, person, calls)
        for name in editable_names(path):
            try:
                folder._read(name)
            except Refused as refused:
                folder.unreadable[name] = str(refused)
                folder._bases[name] = digest(content_of(path / name))
        if not folder._texts:
            raise Refused(f"There is no tree in {path}.")
        folder._left = {
            name: copy
            for name, copy in folder._unsaved.found().items()
            if _NAME.fullmatch(name) and copy.text != folder._texts.get(name)
        }
        return folder

    # -- the texts ----------------------------------------------------------------------------

    @property
    def texts(self) -> Mapping[str, str]:
        """File name -> text as edited now, without a byte order mark."""
        return MappingProxyType(self._texts)

    @property
    def changed(self) -> frozenset[str]:
        """Files not saved yet; one that is undone to what is on disk is not among them."""
        names = self._texts.keys() | self._saved.keys()
        return frozenset(n for n in names if self._texts.get(n) != self._saved.get(n))

    def edit(
        self,
        texts: Mapping[str, str],
        what: str,
        *,
        goes_on: bool = False,
        renamed: Renamed | None = None,
    ) -> None:
        """Texts changed, or new files begun, in one step; what is the same already is passed over.

        ``goes_on``: where the last step is the same thing in the same file, such as a field still
        being typed in, it becomes part of that step. What was ``renamed`` in them has its new name
        in the demo calls too, once it is saved.
        """
        after: dict[str, str | None] = {}
        for name, text in texts.items():
            if not _NAME.fullmatch(name):
                raise Refused(
                    f"'{name}' is not a valid name for a tree. Use letters, and .yaml at the end."
                )
            refuse_unwritable(text)
            if self._texts.get(name) != text:
                after[name] = text
        if not after:
            return
        before = {name: self._texts.get(name) for name in after}
        last = self._done[-1] if self._done else None
        same = last and last.what == what and last.after == before
        if goes_on and last and same and not self._undone:
            self._done.pop()
            before = dict(last.before)
        self._undone.clear()
        self._done.append(_Step(what, before, after, renamed))
        self._put(after)

    def undo(self) -> str | None:
        """Undo the last step; returns what it was, or None if there is nothing to undo."""
        return self._step(self._done, self._undone)

    def redo(self) -> str | None:
        """Redo the last undone step; returns what it was, or None."""
        return self._step(self._undone, self._done)

    def _step(self, taken: list[_Step], onto: list[_Step]) -> str | None:
        if not taken:
            return None
        step = taken.pop()
        onto.append(step)
        ends = (step.before, step.after) if onto is self._done else (step.after, step.before)
        self._put(self._turned(*ends))
        return step.what

    # -- what comes of them -------------------------------------------------------------------

    def problems(self) -> list[Problem]:
        """Every problem of the trees, contacts and range as edited; may run in a thread."""
        # What checks is loaded beside the first sight of the folder, not before it.
        from consult.content.editing.live import LiveCheck

        self._live = self._live or LiveCheck(self.path)
        live = self._live.problems(dict(self._texts))
        broken = [self.path / name for name in self.unreadable if name.endswith(".yaml")]
        return [*(problem for path in broken for problem in load_marked(path)[1]), *live]

    def basis(self, tree: str) -> tuple[Basis | None, list[Problem]]:
        """A main tree with contacts and range as they are now, ready to lead a call."""
        # Figures of the body are only wanted once somebody rehearses or compares.
        from consult.body.population import load_population
        from consult.call.basis import load_basis

        if self._population is None:
            self._population = load_population()
        overlay = {self.path / name: text for name, text in dict(self._texts).items()}
        return load_basis(self.path / f"{tree}.yaml", self._population, overlay)

    # -- the disk -----------------------------------------------------------------------------

    def outside_changes(self) -> frozenset[str]:
        """Files that somebody else changed, added or deleted since they were read or saved."""
        names = {*editable_names(self.path), *(n for n, base in self._bases.items() if base)}
        return frozenset(name for name in names if self._is_other(name))

    def take_in(self, name: str, decided: Mapping[EditConflict, bool]) -> Merge:
        """Put what somebody else did to a file into the text here, piece by piece.

        ``decided`` says of each conflict whether the piece is to be theirs. Where one is not
        decided, nothing is changed. Undo then takes back one's own steps only.
        """
        content = content_of(self.path / name)
        theirs = None if content is None else _decoded(content, name)
        base, ours = self._saved.get(name), self._texts.get(name)
        for_theirs = [conflict for conflict, is_theirs in decided.items() if is_theirs]
        mine = merged(base, ours, theirs).text
        merge = merged(base, ours, theirs, for_theirs)
        if all(conflict in decided for conflict in merge.conflicts):
            self._read(name)
            self._put({name: mine})
            if for_theirs:
                step = _Step(f"taking their wording into {name}", {name: mine}, {name: merge.text})
                self._undone.clear()
                self._done.append(step)
                self._put(step.after)
        return merge

    def drop(self) -> None:
        """Let go of what was not saved."""
        for name in self.changed:
            self._put({name: self._saved.get(name)})

    def save(self) -> Saved:
        """Write every changed file, or none.

        Refused, in words, where a file on disk is not what was read here: then ``take_in`` what is
        there, and save again.
        """
        names = sorted(self.changed)
        stale = [name for name in names if self._is_other(name)]
        if stale:
            have = "has" if len(stale) == 1 else "have"
            raise Refused(
                f"{listed(stale).replace(' or ', ' and ')} {have} been changed by somebody else "
                "since you opened it. Nothing was saved."
            )
        contents = {
            self.path / name: (_BOM if name in self._boms else b"") + text.encode("utf-8")
            for name in names
            if (text := self._texts.get(name)) is not None
        }
        calls = calls_renamed(self._calls, self._renamed()) if self._calls else {}
        write_all({**contents, **calls})
        self._done_when_saved = list(self._done)
        for name in names:
            if name in self._texts:
                self._saved[name] = self._texts[name]
            else:
                # A file that was begun and saved here, and then undone.
                (self.path / name).unlink(missing_ok=True)
                self._saved.pop(name, None)
            self._bases[name] = digest(contents.get(self.path / name))
        self._keep_copies()
        return Saved(tuple(names), tuple(path.name for path in calls))

    def _renamed(self) -> list[Renamed]:
        """What was renamed since the last save, or has its old name back."""
        old, new = self._done_when_saved, self._done
        same = sum(
            1 for _ in takewhile(lambda pair: pair[0] is pair[1], zip(old, new, strict=False))
        )
        back = [step.renamed.back for step in reversed(old[same:]) if step.renamed]
        return back + [step.renamed for step in new[same:] if step.renamed]

    # -- what an earlier run left -------------------------------------------------------------

    @property
    def left(self) -> tuple[str, ...]:
        """Files of which an earlier run that broke off left a text that was not saved."""
        return tuple(sorted(self._left))

    def restore(self) -> None:
        """Continue with those texts, as one step of the history."""
        for name, copy in self._left.items():
            if copy.base != self._saved.get(name):
                # Changed on disk since: saving must say so, not overwrite it.
                self._saved.pop(name, None)
                if copy.base is not None:
                    self._saved[name] = copy.base
                self._bases[name] = "" if copy.base is not None else None
        texts = {name: copy.text for name, copy in self._left.items()}
        self._left = {}
        self.edit(texts, "restoring unsaved changes")

    def forget(self) -> None:
        """Delete those texts."""
        self._left = {}
        self._unsaved.forget()
        self._keep_copies()

    @property
    def copy_trouble(self) -> str:
        """Why a crash now would lose what was typed; empty if it would not."""
        return self._unsaved.trouble

    # -- inside -------------------------------------------------------------------------------

    def _read(self, name: str) -> None:
        content = content_of(self.path / name)
        self._boms.discard(name)
        if content is None:
            self._texts.pop(name, None)
            self._saved.pop(name, None)
        else:
            text = _decoded(content, name)
            if content.startswith(_BOM):
                self._boms.add(name)
            self._texts[name] = self._saved[name] = text
        self._bases[name] = digest(content)

    def _is_other(self, name: str) -> bool:
        return digest(content_of(self.path / name)) != self._bases.get(name)

    def _turned(
        self, now: Mapping[str, str | None], then: Mapping[str, str | None]
    ) -> dict[str, str | None]:
        """A step of the history back or on; what was taken in from others meanwhile stays."""
        turned: dict[str, str | None] = {}
        for name, to in then.items():
            text, came_from = self._texts.get(name), now[name]
            if text == came_from:
                turned[name] = to
            elif text is not None and came_from is not None and to is not None:
                turned[name] = merged(came_from, text, to).text
        return turned

    def _put(self, texts: Mapping[str, str | None]) -> None:
        # A new dict, so that a check going on in a thread is not disturbed.
        new = {**self._texts, **{name: text for name, text in texts.items() if text is not None}}
        self._texts = {name: text for name, text in new.items() if texts.get(name, "") is not None}
        self._keep_copies()

    def _keep_copies(self) -> None:
        # A text left by an earlier run stays kept until somebody decides about it.
        kept = {name: copy.text for name, copy in self._left.items()}
        bases = {name: copy.base for name, copy in self._left.items()}
        for name in self.changed & self._texts.keys():
            kept[name] = self._texts[name]
            bases[name] = self._saved.get(name)
        self._unsaved.keep(kept, bases)


def _decoded(content: bytes, name: str) -> str:
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise Refused(f"{name} is not written in UTF-8. Save it again as UTF-8.") from None
