"""The draft: a copy of what is live, being edited, that remembers which version it came from."""

from __future__ import annotations

import secrets
from contextlib import suppress
from pathlib import Path

from consult.content.library.files import READABLE, read_files, remove, write_files
from consult.content.library.library import Library, the_library
from consult.durable import settle, write_whole
from consult.range.file import SCHEMA as _OF_RANGE
from consult.range.fitting_file import SCHEMA as _OF_FITTING
from consult.tree.draft import SCHEMA as _OF_TREE

_BASE = ".from"
SCHEMAS = ".schemas"
"""Beside the files, for editors that complete names; nothing in it is published."""
_OF_FILES = (
    _OF_TREE,
    _OF_RANGE,
    _OF_FITTING,
    *(
        _OF_TREE.with_name(f"{each}.schema.json")
        for each in ("contacts", "sources", "shares", "plain_words", "settings")
    ),
)


def draft_folder() -> Path:
    """The draft of the library in use, begun now where there is none.

    LibraryTrouble where the library is damaged, OSError where it cannot be written.
    """
    return begin_draft(the_library())


def begin_draft(library: Library) -> Path:
    """The draft, or a new one: a copy of the live version."""
    if library.draft.is_dir():
        return library.draft
    live = library.live()
    made = library.root / f".draft-{secrets.token_hex(4)}"
    write_files(made, {**read_files(live.folder), **_schemas(), _BASE: _lines(live.base)})
    try:
        made.rename(library.draft)
    except OSError:
        remove(made)
        # Another desk may have begun one a moment ago.
        if not library.draft.is_dir():
            raise
    settle(library.root)
    return library.draft


def discard_draft(library: Library) -> bool:
    """Delete the draft; False if there was none."""
    gone = library.root / f".draft-{secrets.token_hex(4)}"
    try:
        library.draft.rename(gone)
    except FileNotFoundError:
        return False
    settle(library.root)
    remove(gone)
    return True


def bases(library: Library) -> tuple[str, ...]:
    """What the draft builds on: one ``Live.base``, or more after publishing was broken off."""
    with suppress(OSError, UnicodeDecodeError):
        return tuple((library.draft / _BASE).read_text("utf-8").split())
    return ()


def note_bases(library: Library, *found: str) -> None:
    """Remember what the draft builds on."""
    write_whole(library.draft / _BASE, _lines(*found), mode=READABLE)


def version_of(base: str) -> str:
    """The version of what a draft builds on."""
    return base.partition("@")[0]


def _schemas() -> dict[str, bytes]:
    return {f"{SCHEMAS}/{schema.name}": schema.read_bytes() for schema in _OF_FILES}


def _lines(*found: str) -> bytes:
    return "".join(f"{base}\n" for base in found).encode()
