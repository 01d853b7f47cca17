"""Pools and topics in the outline of the content desk."""

from __future__ import annotations

from pathlib import Path

from textual.widgets import OptionList

from tests.content.guide import RECIPES, WHOLE, shown
from tests.ui.edit.content_desk import ContentDesk, content_desk


def corner(folder: Path) -> Path:
    """The folder of the guide."""
    (folder / "trees").mkdir()
    (folder / "trees" / "corner.yaml").write_text(WHOLE, "utf-8")
    return folder / "trees"


def outline(at: ContentDesk) -> list[str]:
    lines = at.desk.query_one("#e-lines", OptionList)
    return [str(one.prompt).rstrip() for one in lines.options]


async def test_the_outline_shows_what_is_in_them(tmp_path: Path) -> None:
    """Behind the pool its questions in its order, behind the topic those of its file, set in."""
    folder = corner(tmp_path)
    for name in ("Put a question into a pool", "Make a topic"):
        for file, text in shown(RECIPES[name]).items():
            (folder / file.replace("corner", name[:3].casefold() + "_corner")).write_text(
                text.replace("tree: corner", f"tree: {name[:3].casefold()}_corner"), "utf-8"
            )
    async with content_desk(folder, (120, 40)) as at:
        await at.find("the best of 2")
        await at.press("ctrl+f", "escape")
        lines = [line for line in outline(at) if line.startswith(" ")]
        place = next(n for n, line in enumerate(lines) if line.startswith("  ◇ decides"))
        assert lines[place + 1].startswith("    ? seat_height")
        assert lines[place + 2].startswith("    ? glare")
        assert sum("? glare" in line for line in lines) == 1
        await at.find("Reading at night")
        await at.press("ctrl+f", "escape")
        lines = [line for line in outline(at) if line.startswith(" ")]
        place = next(n for n, line in enumerate(lines) if "◆ the_reading_night" in line)
        assert lines[place + 1].startswith("    ? there_bedside_lamp")


async def test_down_goes_through_a_topic(tmp_path: Path) -> None:
    """The tree around it stays open while the cursor is in the topic, and the way goes on."""
    folder = corner(tmp_path)
    for file, text in shown(RECIPES["Make a topic"]).items():
        (folder / file).write_text(text, "utf-8")
    async with content_desk(folder) as at:
        await at.find("Which topics")
        await at.press("ctrl+f", "escape")
        before = outline(at)
        met = []
        for _ in range(4):
            await at.press("down")
            await at.settle()
            met.append((at.session.place.file, at.session.entry.name))
        assert met == [
            ("corner.yaml", "the_reading_night"),
            ("reading_night.yaml", "there_bedside_lamp"),
            ("corner.yaml", "glare"),
            ("corner.yaml", "lamp_behind"),
        ]
        assert outline(at) == before
