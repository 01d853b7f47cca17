"""Files that people name, read whole: ordinary ones of a bounded size, nothing endless."""

from __future__ import annotations

import os
import stat
from pathlib import Path

MOST_BYTES = 200_000_000
"""Far more than 100,000 people take (about 20 MB)."""


class UnreadableError(Exception):
    """Why a file cannot be read, in words."""


def read_file(path: Path, most: int = MOST_BYTES) -> bytes:
    """All of a file; a device, a pipe, a folder or one that is too large is refused."""
    try:
        # Opened first, so that it is the same file that is asked about; a pipe must not wait.
        handle = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0))
        with os.fdopen(handle, "rb") as file:
            if not stat.S_ISREG(os.fstat(handle).st_mode):
                raise UnreadableError(f"{path} is not a file. Name one that is.")
            content = file.read(most + 1)
    except FileNotFoundError as error:
        raise UnreadableError(f"There is no file {path}.") from error
    except IsADirectoryError as error:
        raise UnreadableError(f"{path} is a folder. Name a file in it.") from error
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or str(error)
        raise UnreadableError(f"{path} cannot be read: {why}.") from error
    if len(content) > most:
        raise UnreadableError(f"{path} is larger than {most // 1_000_000} MB. Split it.")
    return content
