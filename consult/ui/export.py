"""Saving a call summary where the adviser says."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING

from consult.records.files import write_whole
from consult.summary.render import render

if TYPE_CHECKING:
    from consult.call.basis import Basis
    from consult.summary.model import Summary
    from consult.units import System


def export(
    basis: Basis, summary: Summary, system: System, stem: Path
) -> tuple[str, tuple[Path, ...]]:
    """Write text, Markdown and JSON beside each other; what became of it, and the files."""
    texts = {
        ".txt": render(basis, summary, "text", system),
        ".md": render(basis, summary, "md", system),
        ".json": json.dumps(summary.as_json(), indent=2, ensure_ascii=False),
    }
    written: list[Path] = []
    try:
        for ending, text in texts.items():
            path = stem.with_name(stem.name + ending)
            write_whole(path, text)
            written.append(path)
    except (OSError, ValueError) as error:
        told = f"! Not saved: {error}. The call is still here; try another place."
        return told, tuple(written)
    return f"Saved as {stem}.txt, .md and .json", tuple(written)
