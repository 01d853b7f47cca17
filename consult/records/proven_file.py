"""Which trees were found sound by an earlier run, kept in the cache folder of this user."""

from __future__ import annotations

import re
from contextlib import suppress
from pathlib import Path

import platformdirs

from consult.marked.proven import proven, recall
from consult.records.place import write_whole

_DIGEST = re.compile(r"[0-9a-f]{64}")
_MOST = 200


def recall_proven() -> None:
    """Before loading: what need not be proven again. Without the file, everything is."""
    with suppress(OSError, UnicodeDecodeError):
        recall(_DIGEST.findall(_file().read_text("ascii")))


def keep_proven() -> None:
    """After loading: written only where something was proven anew; a full disk is no matter."""
    lines = "\n".join(proven()[-_MOST:])
    with suppress(OSError, UnicodeDecodeError):
        if _file().exists() and _file().read_text("ascii") == lines:
            return
        write_whole(_file(), lines)


def _file() -> Path:
    return Path(platformdirs.user_cache_dir("consult")) / "proven"
