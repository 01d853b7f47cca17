"""Files that are whole at every moment, and paths as people type them."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from consult.records.trouble import CannotKeep


def home_path(typed: str | Path) -> Path:
    """A path with ``~`` or ``~name`` at its beginning as that home folder.

    ``CannotKeep`` where there is no such user: the shell hands on what it cannot fill in.
    """
    try:
        return Path(typed).expanduser()
    except RuntimeError as error:
        said = f"{typed} begins with a user this machine does not know. Type the whole path."
        raise CannotKeep(said) from error


def write_whole(path: Path, content: str | bytes) -> None:
    """Put a file in place in one step: a reader finds the old one or the new, never half."""
    whole = content if isinstance(content, bytes) else _encoded(content)
    path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=".", suffix=".part")
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(whole)
            file.flush()
            os.fsync(file.fileno())
        Path(name).replace(path)
        _settle(path.parent)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise


def _encoded(text: str) -> bytes:
    return text.replace("\n", os.linesep).encode("utf-8", "surrogatepass")


def _settle(folder: Path) -> None:
    """Make the new name durable too; a system that cannot open folders settles them itself."""
    try:
        handle = os.open(folder, os.O_RDONLY)
    except OSError:
        return
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
