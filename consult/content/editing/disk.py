"""The files of a folder of trees on the disk: read as they are, several written as one."""

from __future__ import annotations

import hashlib
import json
import os
import re
from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

from consult.content.editing.edits import with_key
from consult.content.editing.patching import (
    Patch,
    Refused,
    changed,
    data_with,
    spans_of,
)
from consult.content.editing.writing import key_text
from consult.durable import beside, settle
from consult.marked.marks import Steps
from consult.marked.plain import block_at, list_at

WORDING = "summary"
"""The folder, inside that of the trees, of the wording of the papers."""
_MODE = 0o644


def editable_names(folder: Path) -> list[str]:
    """The files that can be edited, by their names within the folder."""
    trees = sorted(path.name for path in folder.glob("*.yaml") if path.is_file())
    papers = sorted(path.name for path in (folder / WORDING).glob("*.j2") if path.is_file())
    return [*trees, *(f"{WORDING}/{name}" for name in papers)]


def content_of(path: Path) -> bytes | None:
    """What a file holds; None where there is none. Refused where it cannot be read."""
    try:
        return path.read_bytes()
    except FileNotFoundError:
        return None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "its name is not a file name"
        raise Refused(f"{path} cannot be read: {reason}.") from None


def digest(content: bytes | None) -> str | None:
    """Short for a content; None for a file that is not there."""
    return None if content is None else hashlib.sha256(content).hexdigest()


def write_all(contents: Mapping[Path, bytes]) -> None:
    """Write every file or, as far as the file system allows, none of them.

    Each is written beside its place first and put there whole; its mode stays. Refused, in words,
    where something could not be written.
    """
    waiting: dict[Path, Path] = {}
    before: dict[Path, bytes | None] = {}
    try:
        for path, content in contents.items():
            place = Path(os.path.realpath(path))
            before[place] = content_of(place)
            waiting[place] = _beside(place, content)
        for place in list(waiting):
            waiting[place].replace(place)
            del waiting[place]
        for folder in {place.parent for place in before}:
            # Not every system can; the files themselves are in place.
            with suppress(OSError):
                settle(folder)
    except OSError as error:
        with suppress(OSError):
            _put_back({place: old for place, old in before.items() if place not in waiting})
        reason = error.strerror or "the disk refuses it"
        raise Refused(f"Nothing was saved: {reason}. Make room or check the folder.") from None
    finally:
        for left in waiting.values():
            left.unlink(missing_ok=True)


def _beside(place: Path, content: bytes) -> Path:
    """The content in a file of its own in the same folder, with the mode of what it replaces."""
    mode = place.stat().st_mode & 0o7777 if place.exists() else _MODE
    place.parent.mkdir(parents=True, exist_ok=True)
    return beside(place, content, mode=mode)


def _put_back(before: Mapping[Path, bytes | None]) -> None:
    for place, old in before.items():
        if old is None:
            place.unlink(missing_ok=True)
        else:
            _beside(place, old).replace(place)


# -- copies of unsaved changes, so that a crash loses nothing -------------------------------------
# They stand beside the folder, in ``.unsaved/<folder>/<person>/``, each with the text that the
# file on disk had when its editing began.

UNSAVED_FOLDER = ".unsaved"
_LIST = "list.json"
_BASE = ".base"


@dataclass(frozen=True, slots=True)
class Copy:
    """One text of an earlier run that was not saved."""

    text: str
    base: str | None
    """The text on disk it was an edit of; None for a new file, and where that is not known."""


class Unsaved:
    """The copies of one person's edits of one folder."""

    def __init__(self, folder: Path, person: str) -> None:
        whole = folder.absolute()
        name = re.sub(r"[^\w-]", "_", person) or "somebody"
        self.folder = whole.parent / UNSAVED_FOLDER / whole.name / name
        self.trouble = ""
        """Why nothing can be copied, in words; empty while it can."""
        self._kept_bases: Mapping[str, str | None] = {}
        """What need not be written again with every key."""

    def found(self) -> dict[str, Copy]:
        """What an earlier run left, by file name; damaged copies are passed over."""
        copies: dict[str, Copy] = {}
        try:
            listed = json.loads((self.folder / _LIST).read_text("utf-8"))
        except (OSError, ValueError):
            return copies
        for name in listed if isinstance(listed, dict) else ():
            with suppress(OSError, ValueError):
                text = _text(self.folder / _as_file(name))
                based = self.folder / f"{_as_file(name)}{_BASE}"
                copies[name] = Copy(text, _text(based) if based.exists() else None)
        return copies

    def keep(self, texts: Mapping[str, str], bases: Mapping[str, str | None]) -> None:
        """Keep these texts, and no others."""
        if not texts:
            self.forget()
            return
        try:
            self.folder.mkdir(parents=True, exist_ok=True)
            for name, text in texts.items():
                file, base = self.folder / _as_file(name), bases.get(name)
                based = file.with_name(f"{file.name}{_BASE}")
                if base is None:
                    based.unlink(missing_ok=True)
                elif base != self._kept_bases.get(name):
                    _write(based, base.encode("utf-8"))
                _write(file, text.encode("utf-8"))
            _write(self.folder / _LIST, json.dumps(dict.fromkeys(texts)).encode("utf-8"))
        except OSError as error:
            self.trouble = f"Unsaved changes cannot be backed up: {error.strerror}. Save often."
        else:
            self.trouble = ""
            self._kept_bases = {name: bases.get(name) for name in texts}

    def forget(self) -> None:
        """Delete all copies."""
        self._kept_bases = {}
        if not self.folder.is_dir():
            return
        try:
            for file in self.folder.iterdir():
                file.unlink()
            for empty in (self.folder, *self.folder.parents[:2]):
                if not any(empty.iterdir()):
                    empty.rmdir()
        except OSError:
            # Where copies cannot be deleted, at least none is offered again.
            try:
                _write(self.folder / _LIST, b"{}")
            except OSError as error:
                self.trouble = f"The copies in {self.folder} cannot be deleted: {error.strerror}."


def _text(path: Path) -> str:
    return path.read_bytes().decode("utf-8")


def _as_file(name: str) -> str:
    """Names hold at most one slash; every copy stands in the one folder."""
    return name.replace("/", "__")


def _write(path: Path, content: bytes) -> None:
    part = path.with_name(f"{path.name}.part")
    part.write_bytes(content)
    part.replace(path)


# -- names that were changed in the trees, changed in the demo calls that use them ----------------

_LISTS = {"question": ("asked", "not_asked"), "caution": ("cautions",)}
"""Lists of what must come out of a call that have such names."""


@dataclass(frozen=True, slots=True)
class Renamed:
    """A question or caution that has another name now."""

    kind: Literal["question", "caution"]
    old: str
    new: str
    trees: frozenset[str]
    """The trees it belongs to, by the names that calls have them under."""

    @property
    def back(self) -> Renamed:
        """The same undone."""
        return Renamed(self.kind, self.new, self.old, self.trees)


def calls_renamed(folder: Path, renamed: Sequence[Renamed]) -> dict[Path, bytes]:
    """The call files of a folder that read otherwise after all of ``renamed``.

    A file that cannot be read is left as it is: the check tells of it.
    """
    rewritten: dict[Path, bytes] = {}
    for path in sorted(folder.glob("*.yaml")) if renamed else ():
        content = content_of(path) or b""
        try:
            text = before = content.decode("utf-8")
            for change in renamed:
                text = _in_call(text, change)
        except (Refused, UnicodeDecodeError):
            continue
        if text != before:
            rewritten[path] = text.encode("utf-8")
    return rewritten


def _in_call(text: str, renamed: Renamed) -> str:
    data = spans_of(text).data
    if block_at(data).get("tree") not in renamed.trees:
        return text
    for steps in list(_places(data, renamed)):
        text = _put(text, steps, renamed)
    return text


def _places(data: Mapping[str, Any], renamed: Renamed) -> Iterator[Steps]:
    """Where the old name stands: an answer by its key, all else by its value."""
    for at, answered in enumerate(list_at(data, "answers") if renamed.kind == "question" else []):
        if renamed.old in block_at(answered):
            yield ("answers", at, renamed.old)
    for at, handled in enumerate(list_at(data, "handled") if renamed.kind == "caution" else []):
        if block_at(handled).get("caution") == renamed.old:
            yield ("handled", at, "caution")
    for name in _LISTS[renamed.kind]:
        for at, expected in enumerate(list_at(data, "expect", name)):
            if expected == renamed.old:
                yield ("expect", name, at)


def _put(text: str, steps: Steps, renamed: Renamed) -> str:
    if steps[-1] == renamed.old:
        return with_key(text, steps, renamed.new)
    spans = spans_of(text)
    piece = spans.pieces[steps]
    wanted = data_with(spans.data, steps, lambda _: renamed.new)
    return changed(text, [Patch(piece.start, piece.end, key_text(renamed.new))], wanted)
