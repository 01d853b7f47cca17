"""Desks that write to one file wait in a line."""

from __future__ import annotations

import fcntl
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from queue import Queue
from threading import Thread
from threading import enumerate as enumerate_threads

import pytest

from consult.records.write_queue import turn

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="folders are not locked there")


@contextmanager
def taken(folder: Path) -> Iterator[None]:
    """Somebody else's turn."""
    handle = os.open(folder, os.O_RDONLY)
    try:
        fcntl.flock(handle, fcntl.LOCK_EX)
        yield
    finally:
        os.close(handle)


def free(folder: Path) -> bool:
    """Whether nobody has the turn."""
    handle = os.open(folder, os.O_RDONLY)
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    finally:
        os.close(handle)
    return True


def test_one_at_a_time(tmp_path: Path) -> None:
    with turn(tmp_path, 3):
        assert not free(tmp_path)
    assert free(tmp_path)


def test_the_next_one_waits_for_the_first(tmp_path: Path) -> None:
    """However many wait, no two are in at once, and all come in."""
    inside: Queue[str] = Queue()

    def write(name: str) -> None:
        with turn(tmp_path, 30):
            inside.put(f"{name} in")
            inside.put(f"{name} out")

    writers = [Thread(target=write, args=(name,)) for name in "abcdef"]
    with turn(tmp_path, 3):
        for writer in writers:
            writer.start()
        assert inside.empty()
    for writer in writers:
        writer.join()
    seen = [inside.get_nowait() for _ in range(12)]
    assert [out.replace("out", "in") for out in seen[1::2]] == seen[::2]
    assert free(tmp_path)


def test_nobody_waits_for_ever(tmp_path: Path) -> None:
    """Past its patience a desk goes on, and the turn that comes too late is given back."""
    with taken(tmp_path):
        with turn(tmp_path, 0.01):
            pass
        assert not free(tmp_path)
        late = [one for one in enumerate_threads() if one.name.startswith("Thread") and one.daemon]
    for one in late:
        one.join()
    assert free(tmp_path)


def test_what_goes_wrong_ends_the_turn(tmp_path: Path) -> None:
    with pytest.raises(ZeroDivisionError), turn(tmp_path, 3):
        raise ZeroDivisionError
    assert free(tmp_path)


def test_a_folder_that_is_gone(tmp_path: Path) -> None:
    """Then there is nothing to wait for; the records say what is wrong themselves."""
    with turn(tmp_path / "gone", 3):
        pass
