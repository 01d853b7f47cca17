"""Photographs and logos: PNG, JPEG and SVG files beside a range or a settings file, for documents.

Each is drawn anew, a photograph in a moderate size, so that no document carries what a camera hides
in a file (place, day, a name) or more dots than paper shows. A file that is missing or broken costs
a document its picture and nothing else; ``content.photos`` says so beforehand.
"""

from __future__ import annotations

import io
import re
from dataclasses import dataclass
from functools import lru_cache
from html import escape
from pathlib import Path
from pyexpat import ExpatError
from typing import Literal, NoReturn
from xml.parsers import expat

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
        status = path.stat()
    except (OSError, ValueError):
        folder = path.absolute().parent
        raise BrokenPhotoError(f"There is no file {path.name} in {folder}.") from None
    return _read(path, status.st_mtime_ns, status.st_size)


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
        with Image.open(io.BytesIO(content), formats=("PNG", "JPEG")) as image_file:
            if image_file.width * image_file.height > _MOST_DOTS:
                raise BrokenPhotoError(f"{path.name} has more dots than any document shows.")
            image_file.load()
            # As the camera was held.
            turned = ImageOps.exif_transpose(image_file).convert("RGBA")
    except BrokenPhotoError:
        raise
    except Exception as error:
        message = f"{path.name} is no PNG or JPEG picture, or it is damaged."
        raise BrokenPhotoError(message) from error
    on_paper = Image.new("RGBA", turned.size, "white")
    on_paper.alpha_composite(turned)
    on_paper.thumbnail((_LARGEST, _LARGEST))
    written = io.BytesIO()
    on_paper.convert("RGB").save(written, "JPEG", quality=_QUALITY)
    return Photo(written.getvalue(), on_paper.size)


def _drawing(name: str, content: bytes) -> Photo:
    """An SVG written anew, once it is certain that a PDF can draw it."""
    from fpdf import FPDF

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
        message = f"{name} has a shape that cannot be drawn in a PDF ({error}). Simplify it."
        raise BrokenPhotoError(message) from error
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


# -- a logo drawn as SVG, written anew: shapes and colours, nothing that runs, loads or hides ------
# A browser shows it as an image, where no script runs anyway, and a PDF draws its paths. What the
# two would draw differently, or only one of them at all, is refused, so that a logo is the same in
# both.

MOST_DRAWN = 500_000
_MOST_PARTS, _DEEPEST = 5_000, 50
_SVG = "http://www.w3.org/2000/svg"
_XLINK = "http://www.w3.org/1999/xlink"
_SHAPES = {"path", "rect", "circle", "ellipse", "line", "polyline", "polygon"}
_PAINTS = {"linearGradient", "radialGradient", "stop", "clipPath", "style"}
_KEPT = {"svg", "g", "defs", "symbol", "use", *_SHAPES, *_PAINTS}
_LEFT_OUT = frozenset({"title", "desc", "metadata"})
_REASONS = {
    "text": "letters differ from machine to machine. Convert them to paths where you draw",
    "image": "a photograph cannot be inside the drawing. Use a PNG file as the logo instead",
    "script": "a drawing must not run anything. Take it out",
}
_ELSEWHERE = re.compile(r"url\s*\(\s*['\"]?\s*(?!#|['\"\s])", re.IGNORECASE)
_NUMBER = re.compile(r"\s*([0-9]*\.?[0-9]+)\s*(px|pt|mm|cm|in)?\s*")


def clean_svg(content: bytes) -> tuple[bytes, tuple[float, float]]:
    """The drawing, and its width and height.

    Raises:
        ValueError: the line and column, what is wrong there, and what would be right.
    """
    reading = _Logo()
    try:
        reading.parser.Parse(content, True)
    except ExpatError as error:
        message = f"{error.lineno}:{error.offset + 1}: this is no SVG drawing, or it is damaged."
        raise ValueError(message) from None
    return "".join(reading.written).encode(), reading.size


class _Logo:
    """What was read so far, as it will be written."""

    def __init__(self) -> None:
        self.parser = expat.ParserCreate(namespace_separator=" ")
        self.parser.buffer_text = True
        self.parser.buffer_size = MOST_DRAWN
        self.parser.StartDoctypeDeclHandler = self._doctype
        self.parser.StartElementHandler = self._start
        self.parser.EndElementHandler = self._end
        self.parser.CharacterDataHandler = self._text
        self.written: list[str] = []
        self.size = (0.0, 0.0)
        self._open: list[str] = []
        self._skipped = self._parts = 0

    def _refuse(self, reason: str) -> NoReturn:
        at = f"{self.parser.CurrentLineNumber}:{self.parser.CurrentColumnNumber + 1}"
        raise ValueError(f"{at}: {reason}.")

    def _doctype(self, *_: object) -> None:
        self._refuse("a DOCTYPE cannot be used. Save the drawing as plain SVG")

    def _start(self, tag: str, given: dict[str, str]) -> None:
        space, _, name = tag.rpartition(" ")
        if not self._open and (space, name) != (_SVG, "svg"):
            self._refuse(f"a drawing begins with <svg xmlns={_SVG}>, not with <{name}>")
        if self._skipped or space != _SVG or name in _LEFT_OUT:
            self._skipped += 1
            return
        self._parts += 1
        if self._parts > _MOST_PARTS or len(self._open) >= _DEEPEST:
            self._refuse("the drawing has too many parts for a logo. Simplify it")
        if name not in _KEPT:
            why = _REASONS.get(name, "it is not drawn alike in a page and in a PDF. Take it out")
            self._refuse(f"<{name}> cannot be in a logo: {why}")
        kept = dict(self._attributes(given))
        if not self._open:
            kept = self._sized(kept)
        # It takes all of urllib with it, so it is loaded with a logo.
        from xml.sax.saxutils import quoteattr

        attributes = "".join(f" {key}={quoteattr(value)}" for key, value in kept.items())
        self.written.append(f"<{name}{attributes}>")
        self._open.append(name)

    def _attributes(self, given: dict[str, str]) -> list[tuple[str, str]]:
        attributes = []
        for full, value in given.items():
            space, _, name = full.rpartition(" ")
            if name.casefold().startswith("on"):
                self._refuse(f"{name} runs something. Take it out")
            if name == "href" and not value.startswith("#"):
                self._refuse("a link leads outside the drawing. Take it out")
            self._check_style(value)
            if not space:
                attributes.append((name, value))
            elif space == _XLINK and name == "href":
                attributes.append(("xlink:href", value))
        return attributes

    def _check_style(self, text: str) -> None:
        if _ELSEWHERE.search(text) or "@" in text or "\\" in text:
            self._refuse("this would load something from outside the drawing. Take it out")

    def _sized(self, kept: dict[str, str]) -> dict[str, str]:
        """The outermost attributes with a viewBox that says how large the drawing is."""
        lengths = [_NUMBER.fullmatch(kept.pop(side, "")) for side in ("width", "height")]
        sides = [float(length.group(1)) for length in lengths if length is not None]
        if "viewBox" in kept:
            try:
                sides = [float(word) for word in kept["viewBox"].replace(",", " ").split()][2:]
            except ValueError:
                sides = []
        if len(sides) != 2 or not all(0 < side < 1e6 for side in sides):
            self._refuse("the drawing does not say its size. Give <svg> a viewBox of four numbers")
        wide, high = sides
        if not 1 / 20 <= wide / high <= 20:
            self._refuse("the drawing is more than twenty times as long as it is wide")
        self.size = (wide, high)
        kept.setdefault("viewBox", f"0 0 {wide:g} {high:g}")
        return {"xmlns": _SVG, "xmlns:xlink": _XLINK, **kept}

    def _end(self, _: str) -> None:
        if self._skipped:
            self._skipped -= 1
        else:
            self.written.append(f"</{self._open.pop()}>")

    def _text(self, text: str) -> None:
        # Between shapes there is only white space, and a style sheet is the one text that counts.
        if not self._skipped and self._open and self._open[-1] == "style":
            self._check_style(text)
            self.written.append(escape(text, quote=False))
