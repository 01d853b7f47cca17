"""Versions at the desk: running calls keep theirs, new ones begin with what is live."""

from __future__ import annotations

import shutil
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path

import pytest

from consult.call.basis import load_basis
from consult.call.call import Call
from consult.paths import shipped_trees, trees_folder
from consult.records.call_trees import FirstCalls, LiveTrees
from consult.records.desk_calls import Begun, DeskCalls
from consult.records.store import open_store
from consult.ui.app import ConsultApp
from tests.ui.desk import NOON, Clock, Desk


@pytest.fixture
def library(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The shipped trees as version one, and with another greeting as version two; one is live."""
    library = tmp_path / "library"
    for version in ("one", "two"):
        folder = Path(shutil.copytree(shipped_trees(), library / "versions" / version))
        file = folder / "seating.yaml"
        lines = [
            f"version: {version}" if line.startswith("version:") else line
            for line in file.read_text("utf-8").splitlines()
        ]
        text = "\n".join(lines).replace("<maker.greeting>", f"Hello from {version}, Tarnbeck.")
        file.write_text(text, "utf-8")
    (library / "live").write_text("one\n")
    monkeypatch.setenv("CONSULT_TREES", str(library))
    return library


@asynccontextmanager
async def desk(folder: Path, open_first: str = "") -> AsyncIterator[Desk]:
    """A desk as ``consult call`` opens it, with what is live now."""
    basis, problems = load_basis(trees_folder() / "seating.yaml")
    assert basis is not None, problems
    place, clock = folder / "records.db", Clock()
    kept = DeskCalls(basis, place, "Ann", clock)
    call, firsts = Call(NOON.date()), FirstCalls(place)
    app = ConsultApp(Begun(basis, call, kept, clock, open_first, firsts, LiveTrees(basis)))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        at = Desk(pilot, clock, folder)
        await at.settle()
        yield at


def kept_version(folder: Path, reference: str) -> str:
    store = open_store(folder / "records.db")
    try:
        return store.read(reference).versions.tree_version
    finally:
        store.close()


async def test_a_version_goes_live_while_a_desk_is_open(library: Path, tmp_path: Path) -> None:
    """The call at hand goes on as it began; the next one begins with the new and says so."""
    async with desk(tmp_path) as at:
        await at.answer("Ada Fen")
        first = at.screen
        (library / "live").write_text("two\n")
        at.app.beat()
        await at.settle()
        assert "A new version of the questions is live" in at.text("#trouble")
        assert at.screen.session.basis.tree.version == "one"
        await at.press("f9")
        await at.press("enter")
        await at.settle()
        assert at.screen is not first
        assert at.screen.session.basis.tree.version == "two"
        assert "Hello from two" in at.text("#ask")
        assert "uses version two" in at.text("#trouble")
        await at.answer("Ben Fen")
        assert kept_version(tmp_path, at.screen.reference) == "two"
        assert kept_version(tmp_path, first.reference) == "one"
        at.calls.turn_to(first.reference)
        await at.settle()
        assert at.screen.session.basis.tree.version == "one"


@pytest.mark.parametrize("way", ["F9", "--open"])
async def test_a_kept_call_is_gone_on_with_as_it_began(
    library: Path, tmp_path: Path, way: str
) -> None:
    """With its own version, from the list and from the command line; a new one with the live."""
    async with desk(tmp_path) as at:
        await at.answer("Ada Fen")
        reference = at.screen.reference
    (library / "live").write_text("two\n")
    async with desk(tmp_path, reference if way == "--open" else "") as at:
        if way == "F9":
            assert at.screen.session.basis.tree.version == "two"
            at.calls.open_kept(reference)
            await at.settle()
        assert at.screen.reference == reference
        assert at.screen.session.basis.tree.version == "one"
        # It is said once the call is drawn, which a busy machine may put off.
        said = "continues with version one"
        for _ in range(100):
            if said in at.text("#trouble"):
                break
            await at.pilot.pause(0.02)
        assert said in at.text("#trouble")
        await at.answer("caller")
        assert kept_version(tmp_path, reference) == "one"
        await at.press("f9")
        await at.press("enter")
        await at.settle()
        assert at.screen.session.basis.tree.version == "two"


async def test_a_call_opened_at_once_shows_what_its_records_have_to_say(
    library: Path, tmp_path: Path
) -> None:
    """Both of the call that ``--open`` names and of the records, on the screen it is drawn on."""
    async with desk(tmp_path) as at:
        await at.answer("Ada Fen")
        reference = at.screen.reference
    (library / "live").write_text("two\n")
    async with desk(tmp_path, reference) as at:
        assert at.screen.reference == reference
        for _ in range(100):
            if "is not finished" in at.text("#trouble"):
                break
            await at.pilot.pause(0.02)
        assert "1 call of yours is not finished" in at.text("#trouble")
        assert "continues with version one" in at.text("#trouble")
        assert at.calls.kept.notices == []


async def test_a_version_that_is_gone(library: Path, tmp_path: Path) -> None:
    """The call is worked out anew with what is live, and that is said."""
    async with desk(tmp_path) as at:
        await at.answer("Ada Fen")
        reference = at.screen.reference
    (library / "live").write_text("two\n")
    (library / "versions" / "one").rename(library / "versions" / "elsewhere")
    from consult.records.call_trees import _loaded

    _loaded.cache_clear()
    async with desk(tmp_path, reference) as at:
        assert at.screen.session.basis.tree.version == "two"
        assert "seating one, now seating two" in at.text("#trouble")
