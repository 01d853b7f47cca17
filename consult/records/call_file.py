"""The call at hand, kept as a call file that is whole after every answer."""

from __future__ import annotations

import os
import tempfile
from datetime import datetime
from pathlib import Path

import platformdirs

from consult.call.call import without_health
from consult.call.state import State
from consult.call.transcript import write_transcript
from consult.tree.model import Tree


def calls_folder() -> Path:
    """Where calls are kept: CONSULT_CALLS, else the platform's folder for data of a user."""
    chosen = os.environ.get("CONSULT_CALLS")
    return Path(chosen) if chosen else Path(platformdirs.user_data_dir("consult")) / "calls"


def new_call_file(now: datetime) -> Path:
    """A file name for a call that begins now; nobody's name is in it."""
    return calls_folder() / f"call-{now:%Y%m%d-%H%M%S}-{os.getpid()}.yaml"


def keep(path: Path, tree: Tree, now: State) -> None:
    """Write the call as it stands, readable by this user only, durable before it returns.

    Health answers are left out unless the caller has consented. OSError when the disk refuses;
    the file of the previous answer is then still whole.
    """
    call = now.call if now.consent else without_health(tree, now.call)
    write_whole(path, write_transcript(call, tree.name, f"Call of {now.call.today.isoformat()}"))


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
