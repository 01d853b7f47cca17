"""Missing and broken pictures are told where they are named, and stop nothing."""

from __future__ import annotations

from pathlib import Path

from PIL import Image

from consult.content.photos import logo_problems, photo_problems
from tests.picture.test_svg_logo import LOGO

RANGE = """range: small
seats:
  - code: S-1
    photo: good.png
  - code: S-2
    photo: gone.png
backs:
  - {code: B-1, photo: bad.jpg}
  - {code: B-2, photo: ../good.png}
"""


def test_each_is_told_at_its_line_and_column(tmp_path: Path) -> None:
    """As warnings: documents leave the picture out."""
    Image.new("RGB", (9, 9)).save(tmp_path / "good.png")
    (tmp_path / "bad.jpg").write_bytes(b"junk")
    file = tmp_path / "range.yaml"
    file.write_text(RANGE)
    told = list(photo_problems(file))
    assert [(one.where.line, one.where.column) for one in told] == [(6, 12), (8, 24), (9, 24)]
    assert {(one.rule, one.severity) for one in told} == {("photo", "warning")}
    assert [one.message.split(".")[0] for one in told] == [
        "There is no file gone",
        "bad",
        "'",
    ]
    assert all(one.fix for one in told)


def test_a_range_that_cannot_be_read_has_none(tmp_path: Path) -> None:
    """What is wrong with it is told elsewhere."""
    file = tmp_path / "range.yaml"
    for text in ("", "[", "- a", "seats: 3", "seats: [3]", "seats: [{photo: [a]}]"):
        file.write_text(text)
        assert not list(photo_problems(file))


def test_a_logo_is_told_of_in_the_settings(tmp_path: Path) -> None:
    """A drawing (SVG) is good, and few e-mail programs show one: it has a PNG beside it."""
    file = tmp_path / "settings.yaml"
    file.write_text("settings: 1\nsender:\n  logo: logo.gif\n")
    (told,) = logo_problems(file)
    assert (told.where.line, told.where.column) == (3, 9)
    assert "no PNG, SVG or JPEG" in told.message
    file.write_text("settings: 1\nsender:\n  logo: logo.svg\n")
    (tmp_path / "logo.svg").write_text(LOGO.replace("<path", "<script/><path"))
    (told,) = logo_problems(file)
    assert "logo.svg:2:1: <script> cannot be in a logo" in told.message
    (tmp_path / "logo.svg").write_text(LOGO)
    (told,) = logo_problems(file)
    assert "There is no file logo.png" in told.message
    assert "E-mails leave it out" in told.fix
    Image.new("RGB", (9, 9)).save(tmp_path / "logo.png")
    assert not list(logo_problems(file))
    file.write_text("settings: 1\nsender:\n  logo: logo.png\n")
    assert not list(logo_problems(file))
