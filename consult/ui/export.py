"""Saving a call summary where the adviser says."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING

from consult.records.call_file import write_whole
from consult.summary.render import render

if TYPE_CHECKING:
    from consult.summary.model import Summary
    from consult.units import System


def export(summary: Summary, system: System, stem: Path) -> str:
    """Write text, Markdown and JSON beside each other; what became of it, in a sentence."""
    texts = {
        ".txt": render(summary, "text", system),
        ".md": render(summary, "md", system),
        ".json": json.dumps(summary.as_json(), indent=2, ensure_ascii=False),
    }
    try:
        for ending, text in texts.items():
            write_whole(stem.with_name(stem.name + ending), text)
    except (OSError, ValueError) as error:
        return f"! Not saved: {error}. The call is still here; try another place."
    return f"Saved as {stem}.txt, .md and .json"
