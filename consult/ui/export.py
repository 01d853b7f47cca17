"""Saving a call's papers where the adviser says."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from consult.records.place import write_whole
from consult.summary.kinds import ENDINGS, Form, Paper

if TYPE_CHECKING:
    from consult.summary.render import Writer

OneForm = TypeVar("OneForm", bound=Form)

SAVED: Mapping[Paper, tuple[Form, ...]] = {
    "caller": ("text", "html", "pdf", "eml", "json"),
    "employer": ("text", "html", "pdf", "eml"),
    "order": ("text", "pdf", "json"),
    "card": ("html", "pdf"),
    "file": ("text", "json"),
}
"""The forms each paper is saved in."""


def export(writer: Writer, paper: Paper, stem: Path) -> tuple[str, tuple[Path, ...]]:
    """Write the forms of a paper beside each other; what became of it, and the files."""
    name = stem.name if paper == "caller" else f"{stem.name}-{paper}"
    return write_forms(stem.with_name(name), SAVED[paper], lambda form: writer.write(form, paper))


def write_forms(
    stem: Path, forms: Sequence[OneForm], write: Callable[[OneForm], bytes]
) -> tuple[str, tuple[Path, ...]]:
    """Write forms of one thing beside each other; what became of it, and the files."""
    written: list[Path] = []
    try:
        for form in forms:
            path = stem.with_name(f"{stem.name}{ENDINGS[form]}")
            write_whole(path, write(form))
            written.append(path)
    except (OSError, ValueError) as error:
        told = f"! Not saved: {error}. The call is not lost. Try another place."
        return told, tuple(written)
    endings = " ".join(ENDINGS[form] for form in forms)
    return f"Saved {stem} as {endings}", tuple(written)
