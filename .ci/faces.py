"""Makes the faces with common letters only, of which a PDF is written, from the whole ones."""

from __future__ import annotations

from fontTools.subset import Options, Subsetter  # type: ignore[import-untyped]
from fontTools.ttLib import TTFont  # type: ignore[import-untyped]

from consult.summary.pdf_paper import COMMON, face_file

for bold in (False, True):
    options = Options(notdef_outline=True, layout_features=[], hinting=False)
    options.drop_tables += ["FFTM"]
    face = TTFont(face_file(bold, whole=True), recalcTimestamp=False)
    cutter = Subsetter(options)
    cutter.populate(unicodes=COMMON)
    cutter.subset(face)
    face.save(face_file(bold, whole=False))
