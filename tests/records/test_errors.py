"""Each trouble with the records is called what it is, by the real disk and the real server."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from contextlib import closing
from pathlib import Path
from urllib.parse import parse_qs, urlsplit

import pytest

from consult.records.errors import RecordsTrouble
from consult.records.store import open_store
from tests.records.postgres import Server
from tests.records.samples import append, begin, call_of, keep

MOUNTS = pytest.mark.skipif(
    os.geteuid() != 0 or shutil.which("unshare") is None, reason="only root mounts disks"
)
READY = """
import os, sys
from consult.records.store import open_store
open_store(sys.argv[1]).close()
assert os.system(sys.argv[2]) == 0
"""
KEEP = """
from consult.records.errors import RecordsTrouble
from tests.records.samples import call_of, keep
try:
    for number in range(400):
        keep(open_store(sys.argv[1]), call_of(("a", "x" * 3000)))
except RecordsTrouble as trouble:
    print(trouble)
"""


def on_a_disk(place: Path, size: str, then: str = "true", work: str = KEEP) -> str:
    """What is said when calls are kept on a disk of its own, mounted for this alone; ``then``
    something is done to it once there are records."""
    line = (
        f"mount -t tmpfs -o size={size} tmpfs {place.parent} && "
        f'exec {sys.executable} -c "$0" {place} "$1"'
    )
    done = subprocess.run(
        ["unshare", "-m", "bash", "-c", line, READY + work, then],
        capture_output=True,
        text=True,
        check=True,
        timeout=120,
    )
    return done.stdout


@MOUNTS
def test_a_full_disk(tmp_path: Path) -> None:
    """Its folder is named, and to make room."""
    (tmp_path / "disk").mkdir()
    said = on_a_disk(tmp_path / "disk" / "r.db", "600k")
    assert said == (
        f"The disk of {tmp_path / 'disk'} is full. Nothing can be stored until you make room on "
        "it.\n"
    )


BACK_UP = """
from pathlib import Path
from consult.records.backup import backup, restore
from consult.records.errors import RecordsTrouble
from tests.records.samples import call_of, keep
place, own = Path(sys.argv[1]), Path(sys.argv[1]).parent.with_name("own.db")
with (place.parent / "filler").open("wb", buffering=0) as filler:
    try:
        while True:
            filler.write(bytes(512))
    except OSError:
        pass
with_room = open_store(own)
keep(with_room, call_of(("a", "1")))
backup(with_room, own.with_name("copy.db"))
for attempt in (
    lambda: open_store(place),
    lambda: backup(with_room, place.with_name("copy.db")),
    lambda: restore(own.with_name("copy.db"), place),
    lambda: restore(own.with_name("copy.db"), place.with_name("new.db")),
):
    try:
        attempt()
        print("done")
    except RecordsTrouble as trouble:
        print(trouble)
"""


@MOUNTS
def test_a_disk_without_any_room(tmp_path: Path) -> None:
    """Is called full, and is the disk named, by whatever finds it so: the log needs room, too."""
    (tmp_path / "disk").mkdir()
    said = on_a_disk(tmp_path / "disk" / "r.db", "600k", work=BACK_UP)
    full = (
        f"The disk of {tmp_path / 'disk'} is full. Nothing can be stored until you make room on it."
    )
    assert said.splitlines() == [full] * 4


@MOUNTS
def test_a_disk_that_may_only_be_read(tmp_path: Path) -> None:
    """Is told apart from a user who may not write."""
    folder = tmp_path / "disk"
    folder.mkdir()
    said = on_a_disk(folder / "r.db", "9m", f"mount -o remount,ro {folder}")
    assert said.startswith(f"The disk of {folder} is read-only.")


def test_what_is_gone(tmp_path: Path) -> None:
    """The file or its folder, under a desk that had it open."""
    for name, gone in (("file", "r.db no longer exists"), ("folder", "The folder")):
        place = tmp_path / name / "r.db"
        store = open_store(place)
        opened = begin(store)
        place.unlink() if name == "file" else shutil.rmtree(place.parent)
        with pytest.raises(RecordsTrouble, match=gone):
            append(store, opened, call_of(("a", "1")))


def test_a_folder_in_place_of_the_records(tmp_path: Path) -> None:
    """Is called one."""
    (tmp_path / "r.db").mkdir()
    with pytest.raises(RecordsTrouble, match="is a folder"):
        open_store(tmp_path / "r.db")


@pytest.fixture
def users(server: Server, shared: str) -> str:
    """A database with calls, and users who may not do everything; its address for a user."""
    import psycopg

    keep(store := open_store(shared), call_of(("a", "1")))
    store.close()
    with psycopg.connect(server.address("postgres"), autocommit=True) as admin:
        exists = admin.execute("SELECT 1 FROM pg_roles WHERE rolname = 'closed'").fetchone()
        if exists is None:
            admin.execute("CREATE ROLE closed LOGIN PASSWORD 'hush'")
            admin.execute("CREATE ROLE shut LOGIN")
            admin.execute("CREATE ROLE guest LOGIN")
            admin.execute("CREATE ROLE crowd LOGIN CONNECTION LIMIT 0")
            (row,) = admin.execute("SHOW hba_file").fetchall()
            rules = Path(row[0])
            own = "local all closed scram-sha-256\nlocal all shut reject\n"
            rules.write_text(own + rules.read_text())
            admin.execute("SELECT pg_reload_conf()")
    parts = urlsplit(shared)
    return f"postgresql://{{who}}@/{parts.path[1:]}?host={parse_qs(parts.query)['host'][0]}"


@pytest.mark.parametrize(
    ("who", "words"),
    [
        ("closed:wrong", "refuses the user's name or the password"),
        ("closed", "asks for a password"),
        ("shut", "does not let this user or machine in"),
        ("guest", "has no rights"),
        ("crowd", "no free connection"),
        ("nobody_here", "has no such user"),
    ],
)
def test_who_may_not(users: str, who: str, words: str) -> None:
    """Each refusal of the server has its own sentence, and tells no password."""
    with pytest.raises(RecordsTrouble, match=words) as refused:
        open_store(users.format(who=who))
    assert "wrong" not in str(refused.value)


def test_no_such_database(server: Server) -> None:
    """Is told apart from a user who is not known."""
    with pytest.raises(RecordsTrouble, match="no such database"):
        open_store(server.address("role_of_nothing"))


@pytest.mark.parametrize(
    "address",
    [
        "postgresql://ann@/calls?host=/nowhere",
        "postgresql://ann@127.0.0.1:1/calls",
        "postgresql://ann@nowhere.invalid/calls",
    ],
)
def test_no_server(address: str) -> None:
    """Not there, not listening, no such machine (``invalid`` is nobody's: RFC 2606)."""
    with pytest.raises(RecordsTrouble, match="cannot be reached"):
        open_store(address)


def test_a_copy_that_may_only_be_read(shared: str) -> None:
    """As a standby server answers."""
    import psycopg

    with closing(open_store(shared)) as store:
        opened = begin(store)
    name = urlsplit(shared).path[1:]
    with psycopg.connect(shared, autocommit=True) as admin:
        admin.execute(f"ALTER DATABASE {name} SET default_transaction_read_only = on".encode())
    with closing(open_store(shared)) as store, pytest.raises(RecordsTrouble, match="read-only"):
        append(store, opened, call_of(("a", "1")))
