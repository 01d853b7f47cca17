"""The two faces of a PDF, whole or as the few letters that most documents need.

Reading a face of six thousand letters takes longer than setting two pages with it, so a reduced one
is made once and used wherever it suffices.
"""

from __future__ import annotations

from functools import cache
from io import BytesIO
from pathlib import Path

from fontTools.subset import Options, Subsetter  # type: ignore[import-untyped]
from fontTools.ttLib import TTFont  # type: ignore[import-untyped]

FOLDER = Path(__file__).parent / "fonts"
_FILES = {False: "DejaVuSans.ttf", True: "DejaVuSans-Bold.ttf"}
_COMMON = (
    *range(0x20, 0x7F),
    *range(0xA0, 0xAD),
    *range(0xAE, 0x180),
    *range(0x2010, 0x2015),
    *(ord(one) for one in "‘’“”„•…€™−×÷⅓⅔⅛⅜⅝⅞≤≥≈→"),
)
"""Letters of most European languages, fractions, and the signs a summary is written with."""


class Rare(Exception):  # noqa: N818 - it is no error: the whole face has to be taken
    """A text has a letter that is not in the reduced face."""


def file_of(bold: bool) -> Path:
    """The file of the whole face."""
    return FOLDER / _FILES[bold]


@cache
def reduced(bold: bool) -> bytes:
    """The face with common letters only."""
    options = Options(notdef_outline=True, layout_features=[], hinting=False)
    options.drop_tables += ["FFTM"]
    face = TTFont(file_of(bold), recalcTimestamp=False)
    cutter = Subsetter(options)
    cutter.populate(unicodes=_COMMON)
    cutter.subset(face)
    written = BytesIO()
    face.save(written)
    return written.getvalue()
