"""Files that commands read: nothing endless, nothing waited for, each trouble by its name."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import pytest

from consult import durable
from consult.marked.yaml_pitfalls import not_utf8
from consult.records.store import open_store
from tests.commands.runs import Run

pytestmark = pytest.mark.skipif(os.name != "posix", reason="pipes and devices as POSIX has them")
READING: dict[str, Callable[[str], tuple[str, ...]]] = {
    "batch": lambda name: ("batch", name, "--out", "out.csv"),
    "report": lambda name: ("practise", "--report", name),
    "replay": lambda name: ("replay", name),
    "check": lambda name: ("check", name),
    "call": lambda name: ("call", "--from", name),
}


@pytest.fixture(autouse=True)
def _here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("CONSULT_RECORDS", str(tmp_path / "r.db"))


@pytest.mark.parametrize("command", READING)
@pytest.mark.parametrize("kind", ["pipe", "/dev/zero", "folder"])
def test_what_is_no_file_is_not_read(run: Run, command: str, kind: str) -> None:
    """A pipe nobody writes to and a file without an end are refused at once, in words."""
    name = kind if kind.startswith("/") else "there"
    if kind == "pipe":
        os.mkfifo(name)
    elif kind == "folder":
        Path(name).mkdir()
    done = run(*READING[command](name))
    assert done.code == 2
    assert any(
        words in done.err
        for words in ("not a file", "is a folder", "There is no file", "There is no tree")
    )


@pytest.mark.parametrize("kind", ["pipe", "/dev/zero"])
@pytest.mark.parametrize("name", ["CONSULT_RECORDS", "CONSULT_RECORDS_FILE", "CONSULT_KEY_FILE"])
def test_what_the_environment_names(
    run: Run, kind: str, name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A pipe or a device is refused there too; a key that cannot be read is said to be missing."""
    if kind == "pipe":
        os.mkfifo(kind)
    if name == "CONSULT_RECORDS_FILE":
        monkeypatch.delenv("CONSULT_RECORDS")
    elif name == "CONSULT_KEY_FILE":
        open_store().close()  # records to be encrypted
    monkeypatch.setenv(name, kind)
    done = run("records", "where")
    assert kind in done.err + done.out
    assert ("cannot be read" in done.err + done.out) == (name != "CONSULT_RECORDS")
    assert done.code == (0 if name == "CONSULT_KEY_FILE" else 2)


def test_a_file_too_large(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    """Its size is bounded by what was read, not by what the file says it has."""
    monkeypatch.setattr(durable.read_file, "__defaults__", (1_000_000,))
    Path("people.csv").write_bytes(b"stature\n" + b"170 cm\n" * 200_000)
    done = run("batch", "people.csv", "--out", "out.csv")
    assert done.code == 2
    assert "larger than 1 MB" in done.err


def test_a_cell_of_five_megabytes(run: Run) -> None:
    """It is called what it is, and the usual cause is named."""
    Path("people.csv").write_text('stature,note\n170 cm,"' + "x" * 5_000_000 + '"\n')
    done = run("batch", "people.csv", "--out", "out.csv")
    assert done.code == 2
    assert "people.csv:2: a cell here is longer than 131,072 characters" in done.err


@pytest.mark.parametrize("form", ["utf-16-le", "utf-16-be", "utf-32-le", "utf-32-be"])
def test_people_in_other_text_without_its_mark(run: Run, form: str) -> None:
    """Its zeros tell what it is."""
    Path("people.csv").write_bytes("stature\n170 cm\n".encode(form))
    assert f"is {form.upper()[:6]} text" in run("batch", "people.csv", "--out", "out.csv").err


@pytest.mark.parametrize("form", ["utf-16", "utf-32", "utf-32-be"])
def test_other_ways_to_write_text(run: Run, form: str) -> None:
    """UTF-32 is not called UTF-16."""
    content = "stature\n170 cm\n".encode(form)
    if form == "utf-32-be":
        content = b"\0\0\xfe\xff" + content
    Path("people.csv").write_bytes(content)
    name = form.upper()[:6]
    assert f"is {name} text" in run("batch", "people.csv", "--out", "out.csv").err
    assert name in not_utf8(content, 0)[0]
