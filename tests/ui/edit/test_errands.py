"""Effect, drawing and publishing from the content desk."""

from __future__ import annotations

from pathlib import Path

import pytest

from consult.content.library.library import Library, begin_draft, the_library
from consult.content.library.lost import compared
from consult.content.library.publish import Judged
from consult.ui.dialogs import LettersScreen, LineScreen, TextScreen
from tests.ui.edit.content_desk import content_desk, trees


@pytest.fixture
def library(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Library:
    """A library whose draft was begun from the small trees."""
    shipped = trees(tmp_path)
    monkeypatch.setattr("consult.content.library.library.shipped_trees", lambda: shipped)
    monkeypatch.setenv("CONSULT_TREES", str(tmp_path / "library"))
    found = the_library()
    found.root.mkdir()
    begin_draft(found)
    return found


async def test_the_effect_is_loud_about_lost_cautions(tmp_path: Path) -> None:
    """A caution deleted is named first, with what else is other for simulated callers."""
    async with content_desk(trees(tmp_path)) as at:
        await at.find("numbness")
        await at.press("ctrl+delete")
        await at.until(lambda: isinstance(at.top, LettersScreen))
        await at.press("y")
        await at.settle()
        await at.press("alt+i")
        await at.app.workers.wait_for_complete()
        await at.until(lambda: isinstance(at.top, TextScreen))
        assert "!! WARNINGS REMOVED: numbness" in at.page()
        assert "compared with the saved files" in at.page()


async def test_a_tree_with_mistakes_has_no_effect(tmp_path: Path) -> None:
    """That is said in words."""
    async with content_desk(trees(tmp_path)) as at:
        await at.find("numbness")
        await at.field("when")
        await at.type("x")
        await at.press("alt+i")
        await at.until(lambda: isinstance(at.top, TextScreen))
        assert "has mistakes" in at.page()
        await at.press("escape", "alt+e")
        assert "so it cannot be rehearsed" in at.told
        await at.press("alt+d")
        await at.app.workers.wait_for_complete()
        assert "cannot be drawn" in at.told


async def test_the_tree_is_drawn(tmp_path: Path) -> None:
    """Drawing and page are written, and it is said where."""
    pytest.importorskip("fast_sugiyama")
    async with content_desk(trees(tmp_path)) as at:
        await at.find("most of that")
        await at.press("alt+d")
        await at.app.workers.wait_for_complete()
        await at.until(lambda: "Written" in at.told)
    assert "most of that time?" in (tmp_path / "work.html").read_text("utf-8")
    assert (tmp_path / "work.svg").is_file()


async def test_only_the_draft_is_published(tmp_path: Path) -> None:
    """Of any other folder it is said why not, and which is the draft."""
    async with content_desk(trees(tmp_path)) as at:
        await at.press("alt+p")
        assert "not installed" in at.told
        at.desk.judge = compared
        await at.press("alt+p")
        assert "Only the draft at" in at.told


async def test_publishing_asks_who_and_why_and_once_more(library: Library) -> None:
    """What is lost needs a reason; the changes are read before the last yes; then it is live.

    It is judged once: a yes and a reason change nothing in the draft.
    """
    judged = []

    def judge(live: Path, new: Path) -> Judged:
        judged.append(new)
        return compared(live, new)

    async with content_desk(library.draft) as at:
        at.desk.judge = judge
        await at.find("numbness")
        await at.press("ctrl+delete")
        await at.until(lambda: isinstance(at.top, LettersScreen))
        await at.press("y")
        await at.settle()
        await at.press("alt+p")
        await at.until(lambda: isinstance(at.top, LettersScreen))
        await at.press("s")
        await at.until(lambda: isinstance(at.top, LineScreen))
        await at.press("enter")
        await at.choose("Asked for by the clinic")
        await at.until(lambda: isinstance(at.top, LineScreen) and "numbness" in at.page())
        await at.choose("It is said elsewhere")
        await at.until(lambda: isinstance(at.top, LettersScreen) and "numbness" in at.page())
        assert not library.published
        await at.press("p")
        await at.until(lambda: "is live now" in at.told)
    (first, last) = library.entries()
    assert last.by == "Ann"
    assert last.reason == "Asked for by the clinic"
    assert [one.what for one in last.accepted] == ["caution.numbness"]
    assert first.kind == "begun"
    assert len(judged) == 1
