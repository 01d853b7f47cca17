"""The content desk on the worked example of another product."""

from __future__ import annotations

from pathlib import Path
from shutil import copytree

from textual.widgets import OptionList

from consult.content.editing.choices import options
from consult.paths import shipped_trees
from consult.ui.edit.field_widgets import PickLine
from tests.ui.edit.content_desk import content_desk

EXAMPLE = shipped_trees() / "examples" / "desk_fitting"


async def test_forms_speak_of_the_product(tmp_path: Path) -> None:
    """Whatever the outline is on: headings, hints, what may be chosen, and what can be added."""
    folder = tmp_path / "trees"
    copytree(EXAMPLE, folder)
    (folder / "settings.yaml").write_bytes((shipped_trees() / "settings.yaml").read_bytes())
    async with content_desk(folder, (120, 40)) as at:
        said: list[str] = []
        for file in ("desk_fitting.yaml", "fitting.yaml"):
            for kind in dict.fromkeys(one.kind for one in at.session.sheets.entries(file)):
                entry = next(one for one in at.session.sheets.entries(file) if one.kind == kind)
                at.desk.show_place(entry.place)
                await at.pilot.pause()
                said.append(at.page())
                for row in at.form.rows():
                    said += [
                        str(row.control.render()),
                        str(getattr(row.control, "placeholder", "")),
                    ]
                    lines = options(entry, (row.control.at[-1],), at.session.sheets)
                    said += lines.values() if isinstance(row.control, PickLine) else []
        await at.find("memories")
        for keys in (("alt+a",), ("f1",), ("ctrl+delete",)):
            await at.press(*keys)
            await at.until(lambda: not at.home)
            said.append(at.page())
            said += [str(one.prompt) for each in at.top.query(OptionList) for one in each.options]
            await at.press("escape")
        assert any("Need of the desk" in text for text in said)
        assert any("a feature the desk must" in text for text in said)
        spoken = "\n".join(said).lower()
        assert [line for line in spoken.splitlines() if "chair" in line] == []


async def test_numbers_of_a_part_have_fields(tmp_path: Path) -> None:
    """Those that its kind declares, beside those of every part; each says what is wrong in it."""
    folder = tmp_path / "trees"
    copytree(EXAMPLE, folder)
    async with content_desk(folder) as at:
        await at.find("FRAME-TWO")
        assert (at.value("price"), at.value("height"), at.value("load")) == (
            "340",
            "68.5 to 116 cm",
            "80 kg",
        )
        await at.field("load")
        await at.press("ctrl+u")
        await at.type("80 cm")
        assert at.mistakes == ["'80 cm' is no mass."]
        assert "is no mass" in at.page()
