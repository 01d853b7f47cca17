"""What becomes of a text at the content desk: another person's edits, quitting, a crash."""

from __future__ import annotations

from pathlib import Path

from consult.ui.dialogs import LettersScreen
from tests.long import in_a_long_run
from tests.ui.edit.content_desk import content_desk, trees


async def test_what_two_people_edit_stays(tmp_path: Path) -> None:
    """Other pieces are taken in and said; of the same piece both wordings are shown, to choose."""
    folder = trees(tmp_path)
    async with content_desk(folder) as at:
        await at.find("most of that")
        await at.type(" Mine")
        other = (folder / "work.yaml").read_text("utf-8").replace("The working day", "The day")
        (folder / "work.yaml").write_text(other, "utf-8")
        await at.press("ctrl+s")
        assert "time? Mine" in at.on_disk("work.yaml")
        assert "title: The day\n" in at.on_disk("work.yaml")
        assert "'title' now as they have it" in at.told
        await at.type(" Still")
        await at.settle()
        other = at.on_disk("work.yaml").replace("time? Mine", "time? Theirs")
        (folder / "work.yaml").write_text(other, "utf-8")
        at.desk.look_outside()
        await at.pause()
        assert at.home
        assert "work.yaml: somebody else changed the same" in at.status
        await at.press("ctrl+s")
        await at.until(lambda: isinstance(at.top, LettersScreen))
        page = at.page()
        assert "MINE" in page
        assert "time? Mine Still" in " ".join(page.split())
        assert "time? Theirs" in " ".join(page.split())
        await at.press("escape")
        await at.press("ctrl+s")
        await at.until(lambda: isinstance(at.top, LettersScreen))
        assert at.on_disk("work.yaml") == other
        await at.press("t")
        await at.settle()
        assert at.text("work.yaml") == other
        assert "somebody else" not in at.status
        await at.press("ctrl+z")
        await at.press("ctrl+s")
        assert "Saved" in at.told
        assert "time? Mine Still" in at.on_disk("work.yaml")


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


@in_a_long_run
async def test_what_a_crash_left_is_offered(tmp_path: Path) -> None:
    """Typing that was not saved is offered at the next start; dropped, it is gone for good."""
    folder = trees(tmp_path)
    async with content_desk(folder) as at:
        await at.find("most of that")
        await at.type(" Lost?")
    async with content_desk(folder) as at:
        await at.until(lambda: isinstance(at.top, LettersScreen))
        await at.press("g")
        await at.settle()
        assert "time? Lost?" in at.text("work.yaml")
        await at.press("ctrl+q")
        await at.until(lambda: isinstance(at.top, LettersScreen))
        await at.press("d")
    async with content_desk(folder) as at:
        assert at.home
        assert "Lost?" not in at.text("work.yaml")
