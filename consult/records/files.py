"""Write files atomically, and read paths as people type them."""

from __future__ import annotations

import os
from pathlib import Path

from consult import durable
from consult.records.trouble import CannotKeep


def home_path(typed: str | Path) -> Path:
    """A path with ``~`` or ``~name`` at its beginning as that home folder.

    ``CannotKeep`` where there is no such user: the shell hands on what it cannot fill in.
    """
    try:
        return Path(typed).expanduser()
    except RuntimeError as error:
        said = f"{typed} starts with a user name unknown on this machine. Type the whole path."
        raise CannotKeep(said) from error


def write_whole(path: Path, content: str | bytes) -> None:
    """Write a file in one step, for this user only; makes a missing folder."""
    path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    durable.write_whole(path, content if isinstance(content, bytes) else _encoded(content))


def _encoded(text: str) -> bytes:
    return text.replace("\n", os.linesep).encode("utf-8", "surrogatepass")
