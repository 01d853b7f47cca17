"""The style sheets of the screens speak of widgets that there are."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
import textual.containers
import textual.screen
import textual.widgets

import consult.ui

UI = Path(consult.ui.__file__).parent
SHEETS = sorted(UI.rglob("*.tcss"))
OURS = {
    name
    for path in UI.rglob("*.py")
    for name in re.findall(r"^class (\w+)", path.read_text("utf-8"), re.MULTILINE)
}
THEIRS = (textual.widgets, textual.containers, textual.screen)


@pytest.mark.parametrize("sheet", SHEETS, ids=lambda path: path.name)
def test_a_style_is_for_a_widget_that_there_is(sheet: Path) -> None:
    """A widget that gets another name would lose its style without a word."""
    rules = re.sub(r"\{[^}]*\}|/\*.*?\*/", "", sheet.read_text("utf-8"), flags=re.DOTALL)
    named = set(re.findall(r"(?<![\w.#$:-])([A-Z]\w+)", rules))
    assert named
    unknown = {name for name in named - OURS if not any(hasattr(one, name) for one in THEIRS)}
    assert unknown == set()
