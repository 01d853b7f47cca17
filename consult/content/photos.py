"""What is wrong with the pictures that a range or a settings file names, each where it is named."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from consult.marked.marks import Texts, load_marked
from consult.picture.photo import BrokenPhotoError, for_mail, named_wrongly, read_photo
from consult.problems import Problem
from consult.range.parts import SECTIONS

_FIX = "Documents leave it out. Put a PNG or JPEG there, or take the name away."
_LOGO_FIX = "Documents leave it out. Put a PNG, SVG or JPEG there, or take the name away."
_MAIL_FIX = "E-mails leave it out, and their documents have it. Put a PNG of that name beside it."


def logo_problems(settings_file: Path) -> Iterator[Problem]:
    """What is wrong with the logo that a settings file names; a warning, as for a photograph."""
    marked, _ = load_marked(settings_file)
    sender = marked.data.get("sender") if marked and isinstance(marked.data, dict) else None
    name = sender.get("logo") if isinstance(sender, dict) else None
    if marked is None or not isinstance(name, str):
        return
    where, folder, mailed = marked.value("sender", "logo"), settings_file.parent, for_mail(name)
    if said := _wrong(folder, name, logo=True):
        yield Problem(where, said, _LOGO_FIX, "logo", "warning")
    elif mailed != name and (said := _wrong(folder, mailed, logo=True)):
        said = f"Few e-mail programs show an SVG. {said}"
        yield Problem(where, said, _MAIL_FIX, "logo", "warning")


def photo_problems(range_file: Path, texts: Texts | None = None) -> Iterator[Problem]:
    """What is wrong with the photographs that a range file names, each where it is named.

    Warnings: a call and its documents do without them.
    """
    marked, _ = load_marked(range_file, texts)
    data = marked.data if marked else None
    if marked is None or not isinstance(data, dict):
        return
    for section in SECTIONS:
        blocks = data.get(section)
        for index, block in enumerate(blocks if isinstance(blocks, list) else ()):
            name = block.get("photo") if isinstance(block, dict) else None
            if isinstance(name, str):
                said = _wrong(range_file.parent, name)
                if said:
                    where = marked.value(section, index, "photo")
                    yield Problem(where, said, _FIX, "photo", "warning")


def _wrong(folder: Path, name: str, *, logo: bool = False) -> str:
    if said := named_wrongly(name, logo=logo):
        return said
    try:
        read_photo(folder / name)
    except BrokenPhotoError as broken:
        return str(broken)
    return ""
