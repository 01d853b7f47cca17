"""The files of a folder of trees: reading them as they are, and writing several as one."""

from __future__ import annotations

import contextlib
import hashlib
import os
from collections.abc import Mapping
from pathlib import Path

from consult.content.editing.refused import Refused
from consult.durable import beside, settle

WORDING = "summary"
"""The folder, inside that of the trees, of the wording of the papers."""
_MODE = 0o644


def names_in(folder: Path) -> list[str]:
    """The files that can be edited, by their names within the folder."""
    trees = sorted(each.name for each in folder.glob("*.yaml") if each.is_file())
    papers = sorted(each.name for each in (folder / WORDING).glob("*.j2") if each.is_file())
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
            with contextlib.suppress(OSError):
                settle(folder)
    except OSError as error:
        with contextlib.suppress(OSError):
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
