"""What can still be checked of a caller's file in which some pieces have the wrong form.

So that one round of the check reports every mistake of a file, and not only those of its form.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from consult.practice import caller_file

if TYPE_CHECKING:
    from collections.abc import Mapping

    from consult.marked.marks import Marked

_HEAD = (caller_file.KEY, "title", "tree", "sex")
_LEFT_OUT = {"kind": "mixes_units", "explain": "Left out."}
"""Stands for a behaviour of the wrong form, so that the others keep their places."""


def sound_part(marked: Marked) -> Marked | None:
    """The file without its pieces of the wrong form; None where even its head has some."""
    data = marked.data
    if not isinstance(data, dict) or any(name not in data for name in _HEAD):
        return None
    head = {name: data[name] for name in _HEAD}
    if not _follows(marked, head, "head"):
        return None
    sound: dict[str, Any] = dict(head)
    for name, block in data.items():
        if name in head:
            continue
        if name == "behaviours" and isinstance(block, list):
            block = [
                one if _follows(marked, {**head, name: [one]}, f"{name} {at}") else _left_out(at)
                for at, one in enumerate(block)
            ]
        if _follows(marked, {**head, name: block}, name):
            sound[name] = block
    return replace(marked, data=sound, digest=f"{marked.digest} sound")


def _left_out(at: int) -> dict[str, str]:
    return {"name": f"left_out_{at}", **_LEFT_OUT}


def _follows(marked: Marked, data: Mapping[str, Any], what: str) -> bool:
    """Whether a piece follows the schema; the digest tells it apart from the whole file."""
    piece = replace(marked, data=dict(data), digest=f"{marked.digest} {what}")
    return not caller_file.file_problems(piece)
