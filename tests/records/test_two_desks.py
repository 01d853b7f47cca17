"""The page about two desks, followed on a real server as adviser, content lead and team lead."""

from __future__ import annotations

import io
import re
import shlex
from collections.abc import Iterator
from pathlib import Path

import psycopg
import pytest

from consult.commands.outcome import Outcome
from consult.paths import trees_folder
from consult.records.backup import FULL
from consult.records.store import open_store
from tests.commands.conftest import run as run
from tests.commands.runs import Ran, Run
from tests.records.postgres import Server
from tests.ui.desk import NOON, demo, demo_basis
from tests.ui.test_follow_up import keep

NO_RIGHTS = "The user of the shared records has no rights to them."
PAGE = (trees_folder() / "TWO_DESKS.md").read_text("utf-8")
DAY = "2026-11-25"


def part(number: int) -> str:
    """One section of the page."""
    found = re.search(rf"^## {number}\. .*?(?=^## |\Z)", PAGE, re.MULTILINE | re.DOTALL)
    assert found is not None
    return found[0]


def blocks(number: int, kind: str) -> list[str]:
    """The lines of the blocks of one kind in a section."""
    found = re.findall(rf"^```{kind}\n(.*?)^```", part(number), re.MULTILINE | re.DOTALL)
    return [line for block in found for line in block.splitlines() if line.strip()]


class Desks:
    """The three users, each with the commands of the page."""

    def __init__(self, server: Server, run: Run, patch: pytest.MonkeyPatch, folder: Path) -> None:
        self.server, self.run, self.patch, self.folder = server, run, patch, folder

    def address(self, user: str, database: str = "consult") -> str:
        """As the page has it, through the socket of the test's server."""
        return f"postgresql://{user}@/{database}?host={self.server.folder}"

    def sql(self, user: str, lines: list[str]) -> None:
        """Statements of the page; those about a database or a role go to the first database."""
        of_server = user == "postgres"
        where = self.server.address("postgres") if of_server else self.address(user)
        with psycopg.connect(where, autocommit=True) as connection:
            for line in lines:
                connection.execute(line.encode())

    def consult(self, user: str, line: str, typed: str = "", database: str = "consult") -> Ran:
        """A command of the page as a user, whose file has the address."""
        file = self.folder / f"{user}-address"
        file.write_text(self.address(user, database))
        file.chmod(0o600)
        self.patch.setenv("CONSULT_RECORDS_FILE", str(file))
        self.patch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(typed.encode())))
        return self.run(*shlex.split(line)[1:])

    def commands(self, number: int) -> Iterator[str]:
        """The commands of consult in a section, with the folders of the test."""
        for line in blocks(number, "sh"):
            if line.startswith("consult "):
                found = line.replace("/shared", str(self.folder)).replace("/safe", str(self.folder))
                yield found.replace("consult.key", str(self.folder / "consult.key"))


@pytest.fixture
def desks(
    server: Server, run: Run, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> Iterator[Desks]:
    """The database of the page on the test's server; gone afterwards, with its users."""
    made = Desks(server, run, monkeypatch, tmp_path)
    monkeypatch.setenv("CONSULT_ADVISER", "Nuala")
    made.sql("postgres", blocks(1, "sql"))
    yield made
    gone = ["consult", "consult_rehearsal"]
    made.sql("postgres", [f"DROP DATABASE IF EXISTS {one} WITH (FORCE)" for one in gone])
    made.sql("postgres", ["DROP ROLE nuala, cian, orla, consult_adviser"])


def test_the_page_is_followed(desks: Desks) -> None:
    """Every SQL line, and every command, by the user that the page names, in its order."""
    (where,) = desks.commands(2)
    made = desks.consult("orla", where)
    assert (made.code, made.err) == (Outcome.DONE, "")
    assert NO_RIGHTS in desks.consult("nuala", where).err
    desks.sql("orla", blocks(2, "sql"))
    (key,) = desks.commands(3)
    assert desks.consult("orla", key).code == Outcome.DONE
    desks.patch.setenv("CONSULT_KEY_FILE", str(desks.folder / "consult.key"))

    call, listing, *others = desks.commands(5)
    taken = desks.consult("nuala", f"{call} --plain", "Ada Fenwick\n1\nfeet\nyes\nnone\nneck\n")
    assert taken.code == Outcome.DONE, taken.err
    reference = taken.out.split("--open ")[-1].strip()
    assert reference in desks.consult("nuala", listing).out
    again = desks.consult("nuala", f"{call} --plain --open {reference}", "/amend consent\nno\n")
    assert (again.code, NO_RIGHTS in again.out) == (Outcome.DONE, False), again
    with psycopg.connect(desks.address("orla")) as connection:
        assert connection.execute("SELECT count(*) FROM health").fetchone() == (0,)

    finished = "8K3-M2Q"
    keep(desks.address("nuala"), demo("01").call, demo_basis(), finished)  # type: ignore[arg-type]
    (desks.folder / "orders").mkdir()
    for line in others:
        told = desks.consult("orla", line)
        assert told.code == Outcome.DONE, (line, told.err)
    assert [file.stem for file in (desks.folder / "orders").iterdir()] == [finished]

    deleting = f"consult records delete {reference} --yes"
    assert NO_RIGHTS in desks.consult("nuala", deleting).err
    assert reference in desks.consult("orla", listing).out
    assert desks.consult("orla", deleting).code == Outcome.DONE
    for line in (listing, f"consult records show {finished}", "consult records report"):
        refused = desks.consult("cian", line)
        assert refused.code == Outcome.BAD_USE
        assert "does not let this user" in refused.err or "no rights" in refused.err
        assert "Fenwick" not in refused.out
    _nights(desks)


def _nights(desks: Desks) -> None:
    (desks.folder / "consult").mkdir()
    copy, purge = desks.commands(6)
    done = desks.consult("orla", copy)
    assert done.code == Outcome.DONE, done.err
    (made,) = (desks.folder / "consult").iterdir()
    assert made.stat().st_mode & 0o077 == 0
    assert NO_RIGHTS not in desks.consult("orla", purge).err
    desks.sql("postgres", blocks(7, "sql"))
    restore, check = desks.commands(7)
    restore = restore.replace("consult-DAY.db", made.name)
    assert (DAY in made.name, str(made) in restore) == (True, True)

    def rehearse(line: str, typed: str = "") -> Ran:
        return desks.consult("orla", line, typed, "consult_rehearsal")

    assert "Nothing was changed." in rehearse(restore, "no\n").err
    assert rehearse(restore, "restore\n").code == Outcome.DONE
    told = rehearse(check)
    assert (told.code, "1 call checked, all intact." in told.out) == (Outcome.DONE, True), told
    assert FULL in rehearse(f"{restore} --yes").err


def test_copies_of_a_file(run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Dated and readable by nobody else; the oldest go, other files of the folder stay."""
    records = tmp_path / "records.db"
    keep(records, demo("01").call, demo_basis())
    folder = tmp_path / "safe"
    folder.mkdir()
    other = folder / "consult-notes.db"
    other.write_text("mine")
    for day in ("2026-11-22", "2026-11-23", "2026-11-24"):
        (folder / f"consult-{day}-010000.db").write_bytes(b"")
    place = ("records", "nightly", "--records", str(records), "--to", str(folder))
    made = run(*place, "--keep", "2")
    assert (made.code, "Older copies deleted: 2." in made.out) == (Outcome.DONE, True), made
    copies = sorted(one.name for one in folder.glob("consult-????-*.db"))
    assert [name[8:18] for name in copies] == ["2026-11-24", DAY]
    assert other.read_text() == "mine"
    store = open_store(folder / copies[-1])
    assert len(list(store.latest())) == 1
    store.close()
    gone = run("records", "nightly", "--records", str(records), "--to", str(folder / "no"))
    assert (gone.code, "Make it first." in gone.err) == (Outcome.BAD_USE, True)
    assert NOON.date().isoformat() == DAY

    def faulty(*_: object) -> tuple[str, ...]:
        return ("One call is damaged.",)

    monkeypatch.setattr("consult.records.backup.integrity", faulty)
    for copy in folder.glob("consult-2026-11-25*"):
        copy.unlink()
    failed = run(*place, "--keep", "1")
    assert (failed.code, "The copy is not whole" in failed.err) == (Outcome.BAD_USE, True)
    assert [one.name[8:18] for one in folder.glob("consult-????-*.db")] == ["2026-11-24"]
