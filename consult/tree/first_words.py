"""What a tree asks first, read from its main file alone, before the tree is loaded and checked."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from consult.marked.marks import load_marked
from consult.tree.placeholders import in_units
from consult.tree.settings import settings_of

if TYPE_CHECKING:
    from consult.units import System


def first_words(path: Path, system: System) -> str:
    """The first question in words, in a caller's units, with the maker's name in it; '' where the
    main file does not say it: it stands in another file, in a pool, or under a condition."""
    marked, _ = load_marked(path)
    top: Any = marked.data if marked else None
    if marked is None or not isinstance(top, dict) or not isinstance(top.get("questions"), dict):
        return ""
    first = str(top.get("first"))
    block = top["questions"].get(first)
    if not isinstance(block, dict) or block.keys() & {"ask_when", "skip_when"}:
        return ""
    ask = marked.raw("questions", first, "ask") or ""
    return in_units(settings_of(path.parent).fill(ask), system)
