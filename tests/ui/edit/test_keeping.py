"""What becomes of a text at the content desk: another person's edits, quitting, a crash."""

from __future__ import annotations

from pathlib import Path

import pytest

from consult.content.editing.patching import Refused
from consult.ui.dialogs import LettersScreen
from tests.ui.edit.below import Below
from tests.ui.edit.content_desk import content_desk, trees

ASKED = "And what do you do most of that time?"


def saved_by_another(at: Below, old: str, new: str) -> str:
    """Somebody else saves a file."""
    other = (at.path / "work.yaml").read_text("utf-8").replace(old, new)
    (at.path / "work.yaml").write_text(other, "utf-8")
    return other


async def test_what_two_people_edit_stays(tmp_path: Path) -> None:
    """Other pieces are taken in and said; of the same piece both wordings are shown, to choose."""
    at = Below(trees(tmp_path))
    session, file = at.session, at.path / "work.yaml"
    at.go("tasks")
    at.type_in(f"{ASKED} Mine", "ask")
    saved_by_another(at, "The working day", "A day")
    assert "'title' now as they have it" in at.keeping.look().told
    assert "title: A day\n" in at.text("work.yaml")
    saved_by_another(at, "A day", "The day")
    saved, told = await at.answering(at.keeping.save())
    assert saved
    assert "time? Mine" in file.read_text("utf-8")
    assert "title: The day\n" in file.read_text("utf-8")
    assert "'title' now as they have it" in told
    at.type_in(f"{ASKED} Mine Still", "ask")
    other = saved_by_another(at, "time? Mine", "time? Theirs")
    assert at.keeping.look().told == ""
    assert "work.yaml: somebody else changed the same" in session.status
    assert not session.others()
    with pytest.raises(Refused, match="asked again"):
        await at.answering(at.keeping.save(), None)
    page = at.pages[-1]
    assert "MINE" in page
    assert "time? Mine Still" in " ".join(page.split())
    assert "time? Theirs" in " ".join(page.split())
    assert file.read_text("utf-8") == other
    assert session.contested == {"work.yaml"}
    saved, told = await at.answering(at.keeping.save(), "t")
    assert not saved
    assert "work.yaml has what you chose" in told
    assert at.text("work.yaml") == other
    assert "somebody else" not in session.status
    session.undo()
    saved, told = await at.answering(at.keeping.save())
    assert saved
    assert "Saved" in told
    assert "time? Mine Still" in file.read_text("utf-8")
    assert await at.answering(at.keeping.save()) == (True, "Everything is already saved.")


async def test_quitting_asks_where_something_is_not_saved(tmp_path: Path) -> None:
    """Esc stays, s saves and quits."""
    folder = trees(tmp_path)
    async with content_desk(folder) as at:
        await at.find("most of that")
        await at.press("!")
        await at.press("ctrl+q")
        await at.until(lambda: isinstance(at.top, LettersScreen))
        await at.press("escape")
        assert at.home
        await at.press("ctrl+q")
        await at.until(lambda: isinstance(at.top, LettersScreen))
        await at.press("s")
        await at.pilot.pause()
    assert "most of that time?!" in (folder / "work.yaml").read_text("utf-8")


async def test_what_a_crash_left_is_offered(tmp_path: Path) -> None:
    """Typing that was not saved is offered at the next start; dropped, it is gone for good."""
    folder = trees(tmp_path)
    before = Below(folder)
    before.go("tasks")
    before.type_in(f"{ASKED} Lost?", "ask")
    async with content_desk(folder) as at:
        await at.until(lambda: isinstance(at.top, LettersScreen))
        await at.press("g")
        await at.settle()
        assert "time? Lost?" in at.text("work.yaml")
        assert "restored" in at.told
    left = Below(folder)
    assert left.session.folder.left == ("work.yaml",)
    assert await left.answering(left.keeping.left(), None) is None
    done = await left.answering(left.keeping.left(), "d")
    assert done is not None
    assert done.told == "Dropped."
    assert not Below(folder).session.folder.left


async def test_what_was_not_saved_is_dropped(tmp_path: Path) -> None:
    """Quitting so leaves the files as they were, and nothing to offer."""
    at = Below(trees(tmp_path))
    before = at.text("work.yaml")
    at.go("tasks")
    at.type_in("Lost?", "ask")
    assert await at.answering(at.keeping.leave(), "d") == (True, "")
    assert at.text("work.yaml") == before
    assert not Below(at.path).session.folder.left
