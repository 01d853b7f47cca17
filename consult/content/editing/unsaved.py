"""Copies of unsaved changes, so that a crash loses nothing.

They stand beside the folder, in ``.unsaved/<folder>/``, with a list of what each file on disk was
when its editing began.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

FOLDER = ".unsaved"
_LIST = "list.json"


@dataclass(frozen=True, slots=True)
class Copy:
    """One text of an earlier run that was not saved."""

    text: str
    base: str | None
    """Digest of the file it was an edit of; None for a new file."""


class Unsaved:
    """The copies of one folder."""

    def __init__(self, folder: Path) -> None:
        whole = folder.absolute()
        self.folder = whole.parent / FOLDER / whole.name
        self.trouble = ""
        """Why nothing can be copied, in words; empty while it can."""

    def found(self) -> dict[str, Copy]:
        """What an earlier run left, by file name; damaged copies are passed over."""
        found: dict[str, Copy] = {}
        try:
            listed = json.loads((self.folder / _LIST).read_text("utf-8"))
        except (OSError, ValueError):
            return found
        for name, base in listed.items() if isinstance(listed, dict) else ():
            try:
                text = (self.folder / _as_file(name)).read_bytes().decode("utf-8")
            except (OSError, ValueError):
                continue
            found[name] = Copy(text, base if isinstance(base, str) else None)
        return found

    def keep(self, texts: Mapping[str, str], bases: Mapping[str, str | None]) -> None:
        """Keep these texts, and no others."""
        if not texts:
            self.forget()
            return
        try:
            self.folder.mkdir(parents=True, exist_ok=True)
            for name, text in texts.items():
                _write(self.folder / _as_file(name), text.encode("utf-8"))
            listed = {name: bases.get(name) for name in texts}
            _write(self.folder / _LIST, json.dumps(listed).encode("utf-8"))
        except OSError as error:
            self.trouble = f"Unsaved changes cannot be backed up: {error.strerror}. Save often."
        else:
            self.trouble = ""

    def forget(self) -> None:
        """Delete all copies."""
        if not self.folder.is_dir():
            return
        try:
            for file in self.folder.iterdir():
                file.unlink()
            self.folder.rmdir()
            if not any(self.folder.parent.iterdir()):
                self.folder.parent.rmdir()
        except OSError:
            # An empty list says the same.
            self.keep_list_empty()

    def keep_list_empty(self) -> None:
        """Where copies cannot be deleted, at least none is offered again."""
        try:
            _write(self.folder / _LIST, b"{}")
        except OSError as error:
            self.trouble = f"The copies in {self.folder} cannot be deleted: {error.strerror}."


def _as_file(name: str) -> str:
    """Names hold at most one slash; every copy stands in the one folder."""
    return name.replace("/", "__")


def _write(path: Path, content: bytes) -> None:
    part = path.with_name(f"{path.name}.part")
    part.write_bytes(content)
    part.replace(path)
