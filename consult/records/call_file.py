"""The call at hand, kept as a call file that is whole after every answer."""

from __future__ import annotations

import os
import tempfile
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

import platformdirs

from consult.call.call import Call, without_health
from consult.call.state import State
from consult.call.transcript import load_transcript, write_transcript
from consult.tree.model import Tree


@dataclass(frozen=True, slots=True)
class KeptCall:
    """A call kept earlier."""

    name: str
    text: str
    """Who and when, in a line."""


class CallFiles:
    """Calls as files in a folder, one each."""

    def __init__(self, tree: Tree, folder: Path) -> None:
        self.tree, self.folder = tree, folder
        self._given: set[str] = set()

    def path(self, name: str) -> Path:
        """Where a call is kept."""
        return self.folder / f"{name}.yaml"

    def new(self, at: datetime) -> str:
        """The name under which a call that begins now will be kept."""
        first = f"call-{at:%Y%m%d-%H%M%S}-{os.getpid()}"
        names = (first, *(f"{first}-{count}" for count in range(2, 1000)))
        return next(name for name in names if not self._taken(name))

    def _taken(self, name: str) -> bool:
        taken = name in self._given or self.path(name).exists()
        if not taken:
            self._given.add(name)
        return taken

    def keep(self, name: str, now: State) -> str:
        """Keep the call; what went wrong, in words, or ''."""
        try:
            keep(self.path(name), self.tree, now)
        except OSError as error:
            return (
                f"This call cannot be kept on disk ({error.strerror}); it goes on in memory. "
                "Export it with F8 before you quit."
            )
        return ""

    def find(self, typed: str) -> list[KeptCall]:
        """Calls whose caller or file name has the text in it, the latest first."""
        found = []
        for path in sorted(self.folder.glob("call-*.yaml"), reverse=True)[:200]:
            transcript, _ = load_transcript(path)
            if transcript is None or transcript.tree != self.tree.name:
                continue
            told = transcript.call.latest()
            named = [q.name for q in self.tree.questions.values() if q.sets == "caller_name"]
            who = next((told[name].said for name in named if name in told), "no name")
            line = f"{who}, {transcript.call.today.isoformat()}, {len(told)} answers, {path.stem}"
            if typed.casefold() in line.casefold():
                found.append(KeptCall(path.stem, line))
        return found

    def open(self, name: str) -> Call | str:
        """A call kept earlier; why it cannot be opened, in words."""
        transcript, problems = load_transcript(self.path(name))
        if transcript is None:
            return " ".join(str(problem) for problem in problems)
        return transcript.call


def calls_folder() -> Path:
    """Where calls are kept: CONSULT_CALLS, else the platform's folder for data of a user."""
    chosen = os.environ.get("CONSULT_CALLS")
    return Path(chosen) if chosen else Path(platformdirs.user_data_dir("consult")) / "calls"


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
