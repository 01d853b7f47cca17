"""Photographs: PNG or JPEG files beside a range or a settings file, made ready for documents.

Each is drawn anew in a moderate size, so that no document carries what a camera hides in a file
(place, day, a name) or more dots than paper shows. A file that is missing or broken costs a
document its picture and nothing else; ``content.photos`` says so beforehand.
"""

from __future__ import annotations

import io
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from consult.in_file import UnreadableError, read_file

MOST_BYTES = 20_000_000
_MOST_DOTS = 60_000_000
_LARGEST = 900
"""Dots of the longer side in a document: 150 to the inch over 15 cm."""
_QUALITY = 82
_ENDINGS = (".png", ".jpg", ".jpeg")


@dataclass(frozen=True, slots=True)
class Photo:
    """A photograph as documents hold it."""

    jpeg: bytes
    size: tuple[int, int]
    """Width and height in dots."""


class BrokenPhotoError(Exception):
    """Why a file cannot be shown, in plain words."""


def photo(path: Path) -> Photo | None:
    """A photograph; None where the file is missing or broken."""
    try:
        return read_photo(path)
    except BrokenPhotoError:
        return None


def read_photo(path: Path) -> Photo:
    """A photograph, read again only where its file changed.

    Raises:
        BrokenPhotoError: it is missing, no PNG or JPEG, cut off, or too large.
    """
    try:
        at = path.stat()
    except (OSError, ValueError):
        raise BrokenPhotoError(f"There is no file {path.name} in {path.parent}.") from None
    return _read(path, at.st_mtime_ns, at.st_size)


@lru_cache(maxsize=64)
def _read(path: Path, changed_ns: int, size: int) -> Photo:  # noqa: ARG001 - they are the key
    from PIL import Image, ImageOps

    try:
        content = read_file(path, MOST_BYTES)
    except UnreadableError as error:
        raise BrokenPhotoError(str(error)) from None
    try:
        with Image.open(io.BytesIO(content), formats=("PNG", "JPEG")) as found:
            if found.width * found.height > _MOST_DOTS:
                raise BrokenPhotoError(f"{path.name} has more dots than any document shows.")
            found.load()
            # As the camera was held.
            turned = ImageOps.exif_transpose(found).convert("RGBA")
    except BrokenPhotoError:
        raise
    except Exception as error:
        said = f"{path.name} is no PNG or JPEG picture, or it is damaged."
        raise BrokenPhotoError(said) from error
    on_paper = Image.new("RGBA", turned.size, "white")
    on_paper.alpha_composite(turned)
    on_paper.thumbnail((_LARGEST, _LARGEST))
    written = io.BytesIO()
    on_paper.convert("RGB").save(written, "JPEG", quality=_QUALITY)
    return Photo(written.getvalue(), on_paper.size)


def named_wrongly(name: str) -> str:
    """What is wrong with the name of a photograph; '' if nothing is."""
    if "/" in name or "\\" in name or name.startswith("."):
        return f"'{name}' names a folder, and a photograph stands beside the file that names it."
    if not name.casefold().endswith(_ENDINGS):
        return f"'{name}' is no PNG or JPEG file by its name."
    return ""


def photo_of(folder: Path, name: str) -> Photo | None:
    """The photograph of this name in a folder; None for none, and for one that cannot be shown."""
    return None if not name or named_wrongly(name) else photo(folder / name)
