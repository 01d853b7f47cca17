"""Files that are whole at every moment: a reader finds the old text or the new, never half."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path


def write_whole(path: Path, text: str) -> None:
    """Put a text in place in one step: a reader finds the old file or the new, never half."""
    path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=".", suffix=".part")
    try:
        with os.fdopen(handle, "w", encoding="utf-8", errors="surrogatepass") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        Path(name).replace(path)
        _settle(path.parent)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise


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
