"""Every recipe of the guide is followed at the screen, key by key as it says."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.widget import Widget

from consult.ui.edit.field_widgets import DoLine, FieldRow
from tests.content.guide import RECIPES, begun, shown, steps
from tests.long import LONG
from tests.ui.edit.content_desk import ContentDesk, content_desk

SIZES = [(80, 24), (120, 40)]
RUNS = [
    (name, size)
    for number, name in enumerate(RECIPES)
    for size in (SIZES if LONG else [SIZES[number % 2]])
]
"""Every recipe at every size; in a short run each at one, in turn."""


def label(widget: Widget) -> str:
    """What a field is called on the screen."""
    if isinstance(widget, DoLine):
        return str(widget.content)
    return widget.parent.label.strip() if isinstance(widget.parent, FieldRow) else ""


async def to_field(at: ContentDesk, name: str) -> None:
    """Go to the field among those that Tab goes round.

    Not with the key itself: the pilot takes a tenth of a second for each.
    """
    round_ = at.top.focus_chain
    fields = [one for one in round_ if label(one) == name]
    assert len(fields) == 1, f"{name} is not one of {[label(one) for one in round_]}"
    at.top.set_focus(fields[0])
    await at.pilot.pause()


@pytest.mark.parametrize(("name", "size"), RUNS)
async def test_a_recipe_does_what_it_shows(
    name: str, size: tuple[int, int], tmp_path: Path
) -> None:
    """Its keys make of the first files the second ones, saved, with nothing wrong."""
    folder = tmp_path / "trees"
    folder.mkdir()
    wanted = shown(RECIPES[name])
    for file, text in begun(RECIPES[name]).items():
        (folder / file).write_text(text, "utf-8")
    async with content_desk(folder, size) as at:
        for kind, text in steps(RECIPES[name]):
            if kind == "press":
                await at.press(text)
                if text in ("enter", "y"):
                    await at.settle()
            elif kind == "field":
                await to_field(at, text)
            elif kind == "other":
                for file, theirs in shown(RECIPES[name], "Theirs").items():
                    (folder / file).write_text(theirs, "utf-8")
                at.desk.look_outside()
                await at.pause()
                assert at.home
                assert "somebody else changed the same" in at.status
            else:
                await at.type(text)
        await at.pause()
        assert [str(problem) for problem in at.session.problems] == []
        assert dict(at.session.folder.texts) == wanted
        await at.press("ctrl+s")
    assert {one.name: one.read_text("utf-8") for one in folder.glob("*.yaml")} == wanted
