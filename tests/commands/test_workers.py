"""One process per core: the same results in the same order, and none left behind."""

from __future__ import annotations

import os
import sys
from multiprocessing import active_children
from pathlib import Path
from threading import Event

import pytest

from consult.commands import workers
from consult.commands.workers import in_processes

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="a fork is begun on Linux alone")


@pytest.fixture(autouse=True)
def _two_cores(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(os, "sched_getaffinity", lambda _: {0, 1})
    monkeypatch.setattr(workers, "_MANY", 4)


@pytest.mark.parametrize("many", [0, 1, 3, 4, 5, 100])
def test_every_result_in_its_order(many: int) -> None:
    """As ``map`` gives them; what is worked with never passes between processes."""
    things = [lambda at=at: at * at for at in range(many)]
    found = list(in_processes(lambda thing: (thing(), os.getpid()), things))
    assert [square for square, _ in found] == [at * at for at in range(many)]
    assert (os.getpid() not in {process for _, process in found}) is (many >= 4 or not many)
    assert active_children() == []


def test_what_goes_wrong_in_one_is_told() -> None:
    """In the process that asked for it, and the others are ended."""

    def work(at: int) -> int:
        if at == 7:
            raise ValueError("seven")
        return at

    with pytest.raises(ValueError, match="seven"):
        list(in_processes(work, range(40)))
    assert active_children() == []


def test_who_leaves_early_waits_for_nobody(tmp_path: Path) -> None:
    """What is still under way then is ended."""
    left = tmp_path / "went on"

    def work(at: int) -> int:
        if at == 17:
            Event().wait(20)
            left.touch()
        return at

    worked = in_processes(work, range(64))
    assert next(worked) == 0
    worked.close()
    assert active_children() == []
    assert not left.exists()
