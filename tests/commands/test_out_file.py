"""What ``--out`` writes to, whichever command it is given to."""

from __future__ import annotations

import os
import socket
import stat
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from consult.paths import demo_folder, trees_folder
from consult.records.store import Store
from tests.commands.runs import Run
from tests.records.samples import call_of, keep

DEMO = sorted(demo_folder().glob("0*.yaml"))[0]
TREE = trees_folder() / "after_stop.yaml"
COMMANDS: dict[str, Callable[[str, str], tuple[str, ...]]] = {
    "replay": lambda _, out: ("replay", str(DEMO), "--summary", "text", "--out", out),
    "document": lambda ref, out: ("records", "document", ref, "--out", out),
    "json": lambda ref, out: (
        *("records", "export", ref, "--format", "json", "--force", "--out", out),
    ),
    "csv": lambda ref, out: ("records", "export", ref, "--format", "csv", "--force", "--out", out),
    "call file": lambda ref, out: (
        *("records", "export", ref, "--format", "yaml", "--force", "--out", out),
    ),
    "backup": lambda _, out: ("records", "backup", out),
    "draw": lambda _, out: ("draw", str(TREE), "--out", out),
    "batch": lambda _, out: ("batch", "people.csv", "--out", out),
    "effect": lambda _, out: (*("impact", str(TREE), str(TREE), "--callers", "1", "--out", out),),
    "record": lambda _, out: ("practise", "--learner", "Ann", "--export", out),
}

WRITERS = [name for name in COMMANDS if name not in ("backup", "effect")]
"""Those that write quickly, and over a file that is there."""


@pytest.fixture
def reference(records: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    """A kept call, and a folder to write in."""
    (tmp_path / "here").mkdir()
    monkeypatch.chdir(tmp_path / "here")
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    Path("people.csv").write_text("reference,stature\nA1,170 cm\n")
    return keep(records, call_of(("caller_name", "Ada"))).reference


def what_is_no_file() -> Iterator[Path]:
    """Everything that must not be replaced by a file; only root makes devices."""
    os.mkfifo("pipe")
    yield Path("pipe")
    Path("link").symlink_to("pipe")
    yield Path("link")
    with socket.socket(socket.AF_UNIX) as listening:
        listening.bind("socket")
    yield Path("socket")
    if not os.geteuid():
        os.mknod("device", stat.S_IFCHR | 0o666, os.makedev(1, 3))
        yield Path("device")


@pytest.mark.skipif(os.name != "posix", reason="pipes and devices as POSIX has them")
@pytest.mark.parametrize("command", COMMANDS)
def test_what_is_no_file_is_never_replaced(run: Run, reference: str, command: str) -> None:
    """It is refused in a sentence and stays what it is."""
    for path in what_is_no_file():
        before = path.lstat()
        done = run(*COMMANDS[command](reference, str(path)))
        assert (done.code, done.err.count("\n")) == (2, 1), path
        assert "is a device or a pipe" in done.err, path
        assert (path.lstat().st_mode, path.lstat().st_ino) == (before.st_mode, before.st_ino)


@pytest.mark.parametrize("command", COMMANDS)
def test_a_missing_folder_is_never_made(run: Run, reference: str, command: str) -> None:
    """Not even where its name ends in a slash."""
    for slash in ("", "/"):
        done = run(*COMMANDS[command](reference, f"nowhere/out{slash}"))
        assert (done.code, done.err.count("\n")) == (2, 1)
        assert "There is no folder" in done.err
        assert [one.name for one in Path().iterdir()] == ["people.csv"]


@pytest.mark.parametrize("command", WRITERS)
def test_a_link_is_followed(run: Run, reference: str, command: str) -> None:
    """The file it names is written, for this user alone; the link stays one."""
    Path("old").write_text("old")
    Path("link").symlink_to("old")
    run(*COMMANDS[command](reference, "link"))
    assert Path("link").is_symlink()
    assert Path("old").read_text(errors="replace") != "old"
    assert Path("old").stat().st_mode & 0o777 == 0o600


REFUSED = ((2, "No file can be made in"), (13, "may not write"), (30, "read-only"), (28, "is full"))
"""Number of the error that the system has for it, and our words."""


@pytest.mark.parametrize("command", WRITERS)
def test_a_folder_that_takes_nothing(
    run: Run, reference: str, command: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Our words, no number of an error, no name that nobody gave; nothing is left over."""
    for number, words in REFUSED:

        def refuse(number: int = number, **given: object) -> None:
            raise OSError(number, os.strerror(number), f"{given['dir']}/.tmpabc.part")

        monkeypatch.setattr(tempfile, "mkstemp", refuse)
        done = run(*COMMANDS[command](reference, "out.txt"))
        assert done.code == 2
        assert words in done.err
        assert "Errno" not in done.err
        assert ".part" not in done.err.replace("out.txt.part", "")
        assert not Path("out.txt").exists()


@pytest.mark.usefixtures("reference")
def test_a_folder_for_several_call_files(run: Run, records: Store) -> None:
    """It must be there; each file in it is refused or written like any."""
    keep(records, call_of(("caller_name", "Ben")))
    words = ("records", "export", "--format", "yaml", "--out", "calls")
    assert "There is no folder" in run(*words).err
    Path("calls").mkdir()
    assert run(*words).code == 0
    assert len(list(Path("calls").iterdir())) == 2
    done = run(*words)
    assert done.code == 2
    assert "--force" in done.err
