"""Photographs and logos: PNG, JPEG and SVG files beside a range or a settings file, for documents.

Each is drawn anew, a photograph in a moderate size, so that no document carries what a camera hides
in a file (place, day, a name) or more dots than paper shows. A file that is missing or broken costs
a document its picture and nothing else; ``content.photos`` says so beforehand.
"""

from __future__ import annotations

import io
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Literal

from consult.durable import UnreadableError, read_file

MOST_BYTES = 20_000_000
_MOST_DOTS = 60_000_000
_LARGEST = 900
"""Dots of the longer side in a document: 150 to the inch over 15 cm."""
_QUALITY = 82
_ENDINGS = (".png", ".jpg", ".jpeg")
_DRAWN = ".svg"


@dataclass(frozen=True, slots=True)
class Photo:
    """A photograph or a logo as documents hold it."""

    content: bytes
    size: tuple[float, float]
    """Width and height, in dots of its own."""
    form: Literal["jpeg", "svg+xml"] = "jpeg"
    """As in its media type, after "image/"."""


class BrokenPhotoError(Exception):
    """Why a file cannot be shown, in plain words."""


def read_photo(path: Path) -> Photo:
    """A photograph, read again only where its file changed.

    Raises:
        BrokenPhotoError: it is missing, of another kind, cut off, too large, or a drawing that is
            more than shapes.
    """
    try:
        at = path.stat()
    except (OSError, ValueError):
        folder = path.absolute().parent
        raise BrokenPhotoError(f"There is no file {path.name} in {folder}.") from None
    return _read(path, at.st_mtime_ns, at.st_size)


@lru_cache(maxsize=64)
def _read(path: Path, changed_ns: int, size: int) -> Photo:  # noqa: ARG001 - they are the key
    from PIL import Image, ImageOps

    try:
        content = read_file(path, MOST_BYTES)
    except UnreadableError as error:
        raise BrokenPhotoError(str(error)) from None
    if path.suffix.casefold() == _DRAWN:
        return _drawing(path.name, content)
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


def _drawing(name: str, content: bytes) -> Photo:
    """An SVG written anew, once it is certain that a PDF can draw it."""
    from fpdf import FPDF

    from consult.picture.svg_logo import MOST_BYTES as MOST_DRAWN
    from consult.picture.svg_logo import clean_svg

    if len(content) > MOST_DRAWN:
        raise BrokenPhotoError(f"{name} is larger than {MOST_DRAWN // 1000} kB. Simplify it.")
    try:
        svg, size = clean_svg(content)
    except ValueError as refused:
        raise BrokenPhotoError(f"{name}:{refused}") from None
    trial = FPDF()
    trial.add_page()
    try:
        trial.image(io.BytesIO(svg), 0, 0, 30, 30 * size[1] / size[0])
        trial.output()
    except Exception as error:
        said = f"{name} has a shape that cannot be drawn in a PDF ({error}). Simplify it."
        raise BrokenPhotoError(said) from error
    return Photo(svg, size, "svg+xml")


def named_wrongly(name: str, *, logo: bool = False) -> str:
    """What is wrong with the name of a photograph, or of a logo; '' if nothing is."""
    if "/" in name or "\\" in name or name.startswith("."):
        return f"'{name}' names a folder, and a photograph stands beside the file that names it."
    if not name.casefold().endswith((*_ENDINGS, _DRAWN) if logo else _ENDINGS):
        return f"'{name}' is no PNG{', SVG' if logo else ''} or JPEG file by its name."
    return ""


def photo_of(folder: Path, name: str, *, logo: bool = False) -> Photo | None:
    """The picture of this name in a folder; None for none, and for one that cannot be shown."""
    if not name or named_wrongly(name, logo=logo):
        return None
    try:
        return read_photo(folder / name)
    except BrokenPhotoError:
        return None


def for_mail(logo: str) -> str:
    """The file of a logo in an e-mail: few readers of mail show an SVG, so a PNG beside it."""
    return f"{logo[: -len(_DRAWN)]}.png" if logo.casefold().endswith(_DRAWN) else logo
