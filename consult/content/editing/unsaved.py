"""Copies of unsaved changes, so that a crash loses nothing.

They stand beside the folder, in ``.unsaved/<folder>/<person>/``, each with the text that the file
on disk had when its editing began.
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

FOLDER = ".unsaved"
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
        self.folder = whole.parent / FOLDER / whole.name / name
        self.trouble = ""
        """Why nothing can be copied, in words; empty while it can."""
        self._kept_bases: Mapping[str, str | None] = {}
        """What need not be written again with every key."""

    def found(self) -> dict[str, Copy]:
        """What an earlier run left, by file name; damaged copies are passed over."""
        found: dict[str, Copy] = {}
        with suppress(OSError):
            self._adopt()
        try:
            listed = json.loads((self.folder / _LIST).read_text("utf-8"))
        except (OSError, ValueError):
            return found
        for name in listed if isinstance(listed, dict) else ():
            with suppress(OSError, ValueError):
                text = _text(self.folder / _as_file(name))
                based = self.folder / f"{_as_file(name)}{_BASE}"
                found[name] = Copy(text, _text(based) if based.exists() else None)
        return found

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
            # An empty list says the same.
            self.keep_list_empty()

    def keep_list_empty(self) -> None:
        """Where copies cannot be deleted, at least none is offered again."""
        try:
            _write(self.folder / _LIST, b"{}")
        except OSError as error:
            self.trouble = f"The copies in {self.folder} cannot be deleted: {error.strerror}."

    def _adopt(self) -> None:
        """Copies of an earlier version of the program, which kept those of all in one place."""
        if (self.folder.parent / _LIST).is_file() and not self.folder.exists():
            self.folder.mkdir()
            for file in self.folder.parent.iterdir():
                if file.is_file():
                    file.rename(self.folder / file.name)


def _text(path: Path) -> str:
    return path.read_bytes().decode("utf-8")


def _as_file(name: str) -> str:
    """Names hold at most one slash; every copy stands in the one folder."""
    return name.replace("/", "__")


def _write(path: Path, content: bytes) -> None:
    part = path.with_name(f"{path.name}.part")
    part.write_bytes(content)
    part.replace(path)
