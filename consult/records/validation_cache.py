"""What an earlier run found valid, files and trees, in the cache folder of this user."""

from __future__ import annotations

import re
from contextlib import suppress
from pathlib import Path

import platformdirs

from consult.marked.fast_validation import take_over, validated
from consult.records.place import write_in_place

_DIGEST = re.compile(r"[0-9a-f]{64}")
_MOST = 200


def read_validated() -> None:
    """Before loading: what need not be checked again. Without the file, everything is."""
    with suppress(OSError, UnicodeDecodeError):
        take_over(_DIGEST.findall(_file().read_text("ascii")))


def write_validated() -> None:
    """After loading: written only where something was checked anew; a full disk is no matter."""
    lines = "\n".join(validated()[-_MOST:])
    with suppress(OSError, UnicodeDecodeError):
        if _file().exists() and _file().read_text("ascii") == lines:
            return
        write_in_place(_file(), lines)


def _file() -> Path:
    return Path(platformdirs.user_cache_dir("consult")) / "validated"
