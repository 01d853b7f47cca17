"""Saving a call's papers where the adviser says."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from consult.records.files import write_whole
from consult.summary.kinds import ENDINGS, Form, Paper

if TYPE_CHECKING:
    from consult.summary.render import Writer

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
    written: list[Path] = []
    name = stem.name if paper == "caller" else f"{stem.name}-{paper}"
    try:
        for form in SAVED[paper]:
            path = stem.with_name(f"{name}{ENDINGS[form]}")
            write_whole(path, writer.write(form, paper))
            written.append(path)
    except (OSError, ValueError) as error:
        told = f"! Not saved: {error}. The call is still here; try another place."
        return told, tuple(written)
    endings = " ".join(ENDINGS[form] for form in SAVED[paper])
    return f"Saved {stem.with_name(name)} as {endings}", tuple(written)
