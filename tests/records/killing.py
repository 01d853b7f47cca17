"""A process killed before any step it takes on the disk or in the database, one step at a time.

A step is what Python tells an audit hook of (a file made, opened to be written, renamed, removed; a
database opened) and each statement and commit of SQLAlchemy. So a step that is added later is
killed before, too, without anybody listing it.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterator

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
_KILLED = 9


def killed_before(step: int, work: Callable[[], object]) -> bool:
    """Do the work in a process that is killed before its step of this number; whether it was."""
    child = os.fork()
    if child == 0:
        try:
            _die_before(step)
            work()
        except BaseException as error:
            print(repr(error), file=sys.stderr, flush=True)
            os._exit(1)
        os._exit(0)
    code = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
    assert code in (0, _KILLED), f"the work failed by itself, exit code {code}"
    return code == _KILLED


def every_kill(work: Callable[[], object], before: Callable[[], object]) -> Iterator[int]:
    """Each step of some work, killed before it; ``before`` sets the scene anew each time.

    Ends with the first run that comes to its own end.
    """
    step = 0
    while True:
        before()
        if not killed_before(step, work):
            return
        yield step
        step += 1


def _die_before(step: int) -> None:
    left = step

    def count() -> None:
        nonlocal left
        if left == 0:
            os._exit(_KILLED)
        left -= 1

    def heard(name: str, given: tuple[object, ...]) -> None:
        if name in _STEPS or (name == "open" and _writes(given[2])):
            count()

    sys.addaudithook(heard)
    event.listen(Engine, "before_cursor_execute", lambda *_: count())
    event.listen(Engine, "commit", lambda _: count())


def _writes(flags: object) -> bool:
    return isinstance(flags, int) and bool(flags & _WRITES)
