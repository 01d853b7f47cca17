"""Papers from the command line: of a call file, of several, and of a kept call."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from consult.call.call import Call
from consult.call.private import private_of
from consult.paths import demo_folder
from consult.records.kept import versions_of
from consult.records.store import open_store
from consult.summary.kinds import FORMS, PAPERS
from tests.commands.runs import Run
from tests.records.samples import NOW
from tests.ui.desk import demo, demo_basis

DEMO = str(next(demo_folder().glob("01*.yaml")))


@pytest.mark.parametrize("form", FORMS)
@pytest.mark.parametrize("paper", PAPERS)
def test_every_form_of_every_paper(run: Run, tmp_path: Path, form: str, paper: str) -> None:
    """Each is written where it says, as what it is."""
    out = tmp_path / "paper"
    if form == "png" and paper in ("employer", "order"):
        made = run("replay", DEMO, "--summary", form, "--for", paper, "--out", str(out))
        assert made.code == 2
        assert "not for" in made.err
        assert not out.exists()
        return
    made = run("replay", DEMO, "--summary", form, "--for", paper, "--out", str(out))
    assert (made.code, made.err) == (0, "")
    begins = {"pdf": b"%PDF-", "html": b"<!DOCTYPE html>", "json": b"{", "eml": b"X-Unsent"}
    begins["png"] = b"\x89PNG"
    written = out.read_bytes()
    assert begins.get(form, b"") in written[:400]
    if form in ("text", "md", "html"):
        assert ("Ada Fenwick" in written.decode()) is True


def test_several_go_into_a_folder(run: Run, tmp_path: Path) -> None:
    """A file each, named after the call and the paper; one file for several is refused."""
    files = [str(path) for path in sorted(demo_folder().glob("0[1-3]*.yaml"))]
    folder = f"{tmp_path / 'papers'}/"
    (tmp_path / "papers").mkdir()
    assert run("replay", *files, "--summary", "text", "--for", "order", "--out", folder).code == 0
    names = sorted(path.name for path in (tmp_path / "papers").iterdir())
    assert names == [f"{Path(file).stem}-order.txt" for file in files]
    made = run("replay", *files, "--summary", "text", "--out", str(tmp_path / "one.txt"))
    assert made.code == 2
    assert "folder" in made.err


def kept(place: Path, call: Call) -> str:
    """Records with one call in them; its reference."""
    store, basis = open_store(place), demo_basis()
    opened = store.begin(call, versions_of(basis), "Ann", NOW)
    store.append(
        opened,
        call,
        consent=True,
        caller_name="Ada Fenwick",
        private=private_of(basis.tree),
        at=NOW,
    )
    store.close()
    return opened.reference


def test_of_a_kept_call(run: Run, tmp_path: Path) -> None:
    """The same paper as of the call file, with its reference; the file stands with the call."""
    place = tmp_path / "r.db"
    reference = kept(place, demo("01").call)
    out = tmp_path / "order.json"
    made = run(
        *("records", "--records", str(place), "document", reference),
        *("--form", "json", "--for", "order", "--out", str(out)),
    )
    assert (made.code, made.err) == (0, "")
    told = json.loads(out.read_text("utf-8"))
    assert told["call"]["reference"] == reference
    assert told["call"]["adviser"] == "Ann"
    assert told["answers"] == []
    store = open_store(place)
    assert store.read(reference).summaries == (str(out),)
    store.close()


def test_of_a_call_that_is_not_kept(run: Run, tmp_path: Path) -> None:
    """Is a sentence and exit code 2."""
    place = tmp_path / "r.db"
    kept(place, demo("01").call)
    made = run("records", "--records", str(place), "document", "ZZZ-ZZZ")
    assert made.code == 2
    assert "ZZZ-ZZZ" in made.err
