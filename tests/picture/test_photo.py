"""Photographs: read once, small, without what a camera hides, and never a reason to fail."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
from PIL import Image

from consult.picture.photo import BrokenPhotoError, named_wrongly, photo_of, read_photo


def saved(path: Path, size: tuple[int, int] = (40, 30), colour: str = "navy") -> Path:
    Image.new("RGB", size, colour).save(path)
    return path


def test_a_large_picture_is_made_smaller_and_forgets_where_it_was_taken(tmp_path: Path) -> None:
    """A camera's notes (EXIF, here a description) stay out of what is handed on."""
    notes = Image.Exif()
    notes[0x010E] = "14 Quay Street"
    Image.new("RGB", (2400, 1200), "navy").save(tmp_path / "a.jpg", exif=notes)
    found = read_photo(tmp_path / "a.jpg")
    assert found.size == (900, 450)
    assert b"Quay" not in found.content
    with Image.open(io.BytesIO(found.content)) as again:
        assert (again.format, again.size) == ("JPEG", (900, 450))


def test_a_picture_taken_sideways_is_turned(tmp_path: Path) -> None:
    """As the camera says it was held (EXIF orientation 6)."""
    notes = Image.Exif()
    notes[0x0112] = 6
    Image.new("RGB", (80, 40), "navy").save(tmp_path / "a.jpg", exif=notes)
    assert read_photo(tmp_path / "a.jpg").size == (40, 80)


def test_what_is_transparent_is_paper(tmp_path: Path) -> None:
    """Not black, as a JPEG without a ground would be."""
    Image.new("RGBA", (20, 20), (0, 0, 0, 0)).save(tmp_path / "a.png")
    with Image.open(io.BytesIO(read_photo(tmp_path / "a.png").content)) as found:
        assert min(found.convert("L").tobytes()) > 250


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (None, "There is no file a.png"),
        (b"", "no PNG or JPEG"),
        (b"not a picture", "no PNG or JPEG"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "no PNG or JPEG"),
        ("cut", "no PNG or JPEG picture, or it is damaged"),
    ],
)
def test_a_broken_one_is_told_and_none(
    tmp_path: Path, content: bytes | str | None, says: str
) -> None:
    """In words where somebody asks; nothing where a document does."""
    path = tmp_path / "a.png"
    if content == "cut":
        path.write_bytes(saved(tmp_path / "b.png", (300, 300)).read_bytes()[:-40])
    elif isinstance(content, bytes):
        path.write_bytes(content)
    with pytest.raises(BrokenPhotoError, match=says):
        read_photo(path)
    assert photo_of(tmp_path, "a.png") is None


def test_a_changed_file_is_read_again(tmp_path: Path) -> None:
    """A new photograph shows in the next document."""
    path = saved(tmp_path / "a.png")
    before = read_photo(path)
    assert read_photo(path) is before
    saved(path, (60, 60), "red")
    assert read_photo(path).size == (60, 60)


@pytest.mark.parametrize("name", ["../a.png", "x/a.png", "x\\a.png", ".a.png", "a.svg", "a"])
def test_only_a_file_beside_the_range(tmp_path: Path, name: str) -> None:
    """No name leads out of the folder, and nothing else is read."""
    saved(tmp_path / "a.png")
    inside = tmp_path / "in"
    inside.mkdir()
    assert named_wrongly(name)
    assert photo_of(inside, name) is None
    assert photo_of(tmp_path, "a.png") is not None
    assert photo_of(tmp_path, "") is None
