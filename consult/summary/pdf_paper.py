"""The pages of a PDF: faces, lines of text and drawings, each with its place in the structure.

Places are mm from the top left of a page, sizes of text are points.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from datetime import datetime
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from fpdf import FPDF
from fpdf.fonts import TTFFont
from fpdf.prefs import ViewerPreferences
from fpdf.structure_tree import StructElem, StructureTreeBuilder

from consult.picture.labels import JOINED, wrapped
from consult.picture.svg_shapes import Circle, Line, Polygon, Shape, Text
from consult.visible import harmless

if TYPE_CHECKING:
    from fpdf.output import PDFPage
    from fpdf.syntax import PDFObject

    from consult.picture.svg_shapes import SvgPoint
    from consult.summary.blocks import Drawing


# -- tags: what is a heading, a list, a table or a drawing, for screen readers --------------------
#
# ISO 32000-1, 14.7 and 14.8. fpdf2 tags images and nothing else, and what is not tagged a screen
# reader leaves out; so everything is tagged here, in a tree of its own.

TagKind = (
    Literal["H1", "H2", "H3", "P", "Note", "Figure"]
    | Literal["L", "LI", "Lbl", "LBody", "Table", "TR", "TH", "TD"]
)


class Tag(StructElem):
    """One element of the structure."""

    __slots__ = ("a",)

    def __init__(self, kind: TagKind, parent: StructElem, alt: str | None = None) -> None:
        # Every piece of content names its own page, so the element's is of no account.
        super().__init__(f"/{kind}", parent, [], page_number=1, alt=alt)
        self.a: str | None = None
        parent.k.append(self)


class _Piece:
    """A piece of a page that belongs to an element (a marked-content reference)."""

    def __init__(self, page: PDFPage, number: int) -> None:
        self._page, self._number = page, number

    def serialize(self, **_: object) -> str:
        """As it is written into the element's list of kids."""
        return f"<</Type /MCR /Pg {self._page.ref} /MCID {self._number}>>"


class Tags(StructureTreeBuilder):
    def __init__(self) -> None:
        super().__init__()
        self._all: list[Tag] = []

    def add(self, kind: TagKind, under: Tag | None = None, alt: str | None = None) -> Tag:
        """A new element, after those already there; of the document itself if ``under`` none."""
        tag = Tag(kind, under or self.doc_struct_elem, alt)
        self._all.append(tag)
        return tag

    def head(self, under: Tag, of: Literal["Column", "Row"]) -> Tag:
        tag = self.add("TH", under)
        tag.a = f"<</O /Table /Scope /{of}>>"
        return tag

    def piece(self, tag: Tag, page: PDFPage, page_number: int) -> int:
        """The number of a new piece of a page, which belongs to ``tag``."""
        parents = self.spid_per_page_number
        parent = parents.setdefault(page_number, len(parents))
        page.struct_parents = parent
        owners = self.struct_tree_root.parent_tree.nums[parent]
        owners.append(tag)
        tag.k.append(_Piece(page, len(owners) - 1))
        return len(owners) - 1

    def __iter__(self) -> Iterator[PDFObject]:
        yield self.struct_tree_root
        yield self.doc_struct_elem
        yield self.struct_tree_root.parent_tree
        yield from self._all


# -- faces: two, each whole or as the few letters that most documents need -------------------------
# Reading a face of six thousand letters takes longer than setting two pages with it, so a reduced
# one is used wherever it suffices. ``.ci/faces.py`` makes it.

_FOLDER = Path(__file__).parent / "fonts"
_FILES = {False: "DejaVuSans", True: "DejaVuSans-Bold"}
COMMON = (
    *range(0x20, 0x7F),
    *range(0xA0, 0xAD),
    *range(0xAE, 0x180),
    *range(0x2010, 0x2015),
    *(ord(letter) for letter in "‘’“”„•…€™−×÷⅓⅔⅛⅜⅝⅞≤≥≈→"),
)
"""Letters of most European languages, fractions, and the signs a summary is written with."""


class Rare(Exception):  # noqa: N818 - it is no error: the whole face has to be taken
    """A text has a letter that is not in the reduced face."""


def face_file(bold: bool, *, whole: bool) -> Path:
    """The file of a face, or of the one with common letters only."""
    return _FOLDER / f"{_FILES[bold]}{'' if whole else '-common'}.ttf"


_TURNED = frozenset({"R", "AL", "AN", "RLE", "RLO", "RLI"})
"""Bidirectional classes (Unicode Annex 9) of letters that are not written from left to right."""


def to_shape(text: str) -> bool:
    """Whether letters of it join, move or run from right to left."""
    return not text.isascii() and any(
        unicodedata.category(letter) in JOINED or unicodedata.bidirectional(letter) in _TURNED
        for letter in text
    )


def runs_left(text: str) -> bool:
    """Whether a paragraph begins at the right, told by its first letter (Unicode Annex 9, P2)."""
    if text.isascii():
        return False
    for letter in text:
        match unicodedata.bidirectional(letter):
            case "L":
                return False
            case "R" | "AL":
                return True
    return False


# -- paper ----------------------------------------------------------------------------------------

PaperSize = Literal["A4", "Letter"]

SIDE, TOP, BOTTOM = 11.0, 10.0, 12.0
"""Margins."""
GUTTER = 7.0
"""Between two columns."""
MM = 72 / 25.4
"""Points in a mm."""
_FACE = "sans"
_ROUND = 0.5523
"""How far the handles of a curve stand off to make a quarter of a circle."""


class PdfPaper(FPDF):
    """An empty document."""

    def __init__(self, paper: PaperSize, *, title: str, made: datetime, whole: bool) -> None:
        super().__init__("portrait", "mm", paper)
        self.untag()
        self._whole = whole
        for bold, style in ((False, ""), (True, "B")):
            file = face_file(bold, whole=whole)
            if whole:
                self.add_font(_FACE, style, file)
            else:
                # Read at once, as no file may stay open where this face does not suffice; fpdf2
                # reads it so too, though its types name a path alone.
                held: Any = BytesIO(file.read_bytes())
                self.fonts[_FACE + style] = TTFFont(self, held, _FACE + style, style)
        self.set_margins(SIDE, TOP, SIDE)
        self.set_auto_page_break(False)
        self.c_margin = 0.0
        # No text stands for something else, whatever somebody typed.
        self.alias_nb_pages(None)  # type: ignore[arg-type]
        self.set_title(title)
        self.set_lang("en")
        self.set_creator("consult")
        self.set_creation_date(made)
        self.viewer_preferences = ViewerPreferences(display_doc_title=True)

    def untag(self) -> None:
        """Forget the structure, for setting the document anew."""
        self.tags = self.struct_builder = Tags()

    def column(self, columns: int) -> float:
        """Width of one of so many columns."""
        return (float(self.epw) - GUTTER * (columns - 1)) / columns

    @property
    def end(self) -> float:
        """Where the lower margin begins."""
        return float(self.h) - BOTTOM

    def _face(self, bold: bool) -> TTFFont:
        face = self.fonts[_FACE + ("B" if bold else "")]
        assert isinstance(face, TTFFont)
        return face

    def spell(self, text: str, bold: bool = False) -> str:
        """The text on one line; a letter that this face cannot show as its code: "[U+4E2D]".

        Raises:
            Rare: the reduced face does not suffice.
        """
        known, line = self._face(bold).cmap, " ".join(harmless(text).split())
        if all(ord(sign) in known for sign in line):
            return line
        if not self._whole:
            raise Rare
        return "".join(sign if ord(sign) in known else f"[U+{ord(sign):04X}]" for sign in line)

    def wide(self, text: str, size: float, bold: bool = False) -> float:
        if to_shape(text):
            with self._shaping(text):
                self._ink(size, bold)
                return float(self.get_string_width(text))
        widths = self._face(bold).cw
        return sum(widths[ord(sign)] for sign in text) * size / 1000 / MM

    def lines(self, text: str, size: float, room: float, bold: bool = False) -> list[str]:
        """The text in lines no wider than ``room``, each to be put by ``put``."""
        spelt = self.spell(text, bold)
        return wrapped(spelt, lambda part: self.wide(part, size, bold), room)

    def put(
        self, line: str, x: float, base: float, size: float, room: float, *, bold: bool = False,
        leftward: bool = False,
    ) -> None:  # fmt: skip
        """One line; ``leftward`` where its paragraph begins at the right."""
        self._ink(size, bold)
        if leftward:
            x += max(0.0, room - self.wide(line.rstrip(), size, bold))
        if not to_shape(line):
            self.text(x, base, line)
            return
        with self._shaping(line, leftward):
            self.set_xy(x, base - 0.8 * size / MM)
            # A cell puts the base line at half its height and three tenths of the size.
            self.cell(0, size / MM, line.rstrip())

    @contextmanager
    def _shaping(self, text: str, leftward: bool | None = None) -> Iterator[None]:
        turned = runs_left(text) if leftward is None else leftward
        self.set_text_shaping(True, direction="rtl" if turned else "ltr")
        try:
            yield
        finally:
            self.set_text_shaping(False)

    def _ink(self, size: float, bold: bool) -> None:
        self.set_font(_FACE, "B" if bold else "", size)

    @contextmanager
    def tagged(self, tag: Tag | None) -> Iterator[None]:
        """What is put meanwhile belongs to ``tag``; with none, it is no content (a page number)."""
        if tag is None:
            self._out("/Artifact BMC")
        else:
            number = self.tags.piece(tag, self.pages[self.page], self.page)
            self._out(f"/{str(tag.s).lstrip('/')} <</MCID {number}>> BDC")
        yield
        self._out("EMC")

    def rule(self, x: float, y: float, room: float, weight: float) -> None:
        """A line across, which is no content."""
        with self.tagged(None):
            self.set_line_width(weight)
            self.line(x, y, x + room, y)

    def bar(self, x: float, y: float, wide: float, high: float) -> None:
        """A black bar, which is no content."""
        with self.tagged(None):
            self.rect(x, y, wide, high, "F")

    def picture(self, drawing: Drawing, x: float, y: float, scale: float) -> None:
        """A drawing or a photograph, its upper left corner there."""
        if drawing.photo:
            wide, high = drawing.size
            self.image(BytesIO(drawing.photo.content), x, y, wide * scale, high * scale)
        else:
            self.draw(drawing.shapes, x, y, scale)

    def draw(self, shapes: Iterable[Shape], x: float, y: float, scale: float) -> None:
        """A drawing, its upper left corner there, as lines and letters."""

        def at(point: SvgPoint) -> SvgPoint:
            return x + scale * point[0], y + scale * point[1]

        def path(points: Iterable[SvgPoint]) -> str:
            places = [f"{px * MM:.2f} {(self.h - py) * MM:.2f}" for px, py in map(at, points)]
            return " l ".join([f"{places[0]} m {places[1]}", *places[2:]]) + " l"

        self._out("q 0 G 1 J 1 j")
        for shape in shapes:
            match shape:
                case Text():
                    self._letter(shape, at(shape.at), scale)
                case Line():
                    self._out(_pen(shape.weight, shape.dash, scale) + path(shape.points) + " S")
                case Polygon():
                    pen = _colour(shape) + _pen(shape.weight, shape.dash, scale)
                    self._out(f"{pen}{path(shape.points)} h {_paint(shape)}")
                case Circle():
                    pen = _colour(shape) + _pen(shape.weight, (), scale)
                    mx, my = at(shape.middle)
                    around = _circle(mx * MM, (self.h - my) * MM, shape.radius * scale * MM)
                    self._out(f"{pen}{around} {_paint(shape)}")
        self._out("Q")
        # Fonts chosen inside went with it.
        self.current_font_is_set_on_page = False

    def _letter(self, shape: Text, at: SvgPoint, scale: float) -> None:
        size, spelt = shape.size * scale * MM, self.spell(shape.text, shape.bold)
        wide = self.wide(spelt, size, shape.bold)
        back = {"start": 0.0, "middle": wide / 2, "end": wide}[shape.anchor]
        self._out("0 g")
        self.put(spelt, at[0] - back, at[1], size, wide, bold=shape.bold)


def _pen(weight: float, dash: tuple[float, ...], scale: float) -> str:
    dashes = " ".join(f"{value * scale * MM:.2f}" for value in dash)
    return f"{weight * scale * MM:.2f} w [{dashes}] 0 d "


def _paint(shape: Polygon | Circle) -> str:
    drawn = shape.weight > 0
    if shape.fill == "none":
        return "S" if drawn else "n"
    return "B" if drawn else "f"


def _colour(shape: Polygon | Circle) -> str:
    return "1 g " if shape.fill == "paper" else "0 g "


def _circle(x: float, y: float, r: float) -> str:
    k = _ROUND * r
    return (
        f"{x + r:.2f} {y:.2f} m"
        f" {x + r:.2f} {y + k:.2f} {x + k:.2f} {y + r:.2f} {x:.2f} {y + r:.2f} c"
        f" {x - k:.2f} {y + r:.2f} {x - r:.2f} {y + k:.2f} {x - r:.2f} {y:.2f} c"
        f" {x - r:.2f} {y - k:.2f} {x - k:.2f} {y - r:.2f} {x:.2f} {y - r:.2f} c"
        f" {x + k:.2f} {y - r:.2f} {x + r:.2f} {y - k:.2f} {x + r:.2f} {y:.2f} c h"
    )
