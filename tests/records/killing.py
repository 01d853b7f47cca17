"""Work killed before any step it takes on the disk or in the database, one step at a time.

A step is what Python tells an audit hook of (a file made, opened to be written, renamed, removed; a
database opened) and each statement and commit of SQLAlchemy. So a step that is added later is
killed before, too, without anybody listing it.

The work is done once, and its folder copied before each step: a kill leaves just that, because
what a process has written stays when it ends and its locks do not.
"""

from __future__ import annotations

import os
import shutil
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

from sqlalchemy import event
from sqlalchemy.engine import Engine

_STEPS = (
    "sqlite3.connect",
    "os.rename",
    "os.remove",
    "os.link",
    "os.truncate",
    "os.chmod",
    "os.mkdir",
    "os.rmdir",
)
_WRITES = os.O_WRONLY | os.O_RDWR | os.O_CREAT


def every_kill(work: Callable[[], object], folder: Path) -> Iterator[int]:
    """Put a folder into each state that a kill of the work can leave it in, in their order.

    Tells before which step it first was in that state. In the end the work is done.
    """
    states = folder.with_name(f"{folder.name} killed")
    states.mkdir()
    child = os.fork()
    if child == 0:  # because Python never lets go of an audit hook
        try:
            _copy_before_each_step(folder, states)
            work()
        except BaseException as error:
            print(repr(error), file=sys.stderr, flush=True)
            os._exit(1)
        os._exit(0)
    code = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
    assert code == 0, f"the work failed by itself, exit code {code}"
    done = folder.rename(states / "done")
    for step in sorted(int(state.name) for state in states.iterdir() if state != done):
        (states / str(step)).rename(folder)
        yield step
        shutil.rmtree(folder)
    done.rename(folder)
    states.rmdir()


def _copy_before_each_step(folder: Path, states: Path) -> None:
    met: set[object] = set()
    step, looking = 0, False

    def look() -> None:
        nonlocal step, looking
        if looking:
            return
        looking = True
        state = tuple(
            (str(one.relative_to(folder)), one.stat().st_mode, one.is_file() and one.read_bytes())
            for one in sorted(folder.rglob("*"))
        )
        if state not in met:
            met.add(state)
            shutil.copytree(folder, states / str(step))
        step, looking = step + 1, False

    def heard(name: str, given: tuple[object, ...]) -> None:
        if name in _STEPS or (name == "open" and _writes(given[2])):
            look()

    sys.addaudithook(heard)
    event.listen(Engine, "before_cursor_execute", lambda *_: look())
    event.listen(Engine, "commit", lambda _: look())


def _writes(flags: object) -> bool:
    return isinstance(flags, int) and bool(flags & _WRITES)
