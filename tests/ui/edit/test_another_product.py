"""The content desk on the worked example of another product."""

from __future__ import annotations

from pathlib import Path
from shutil import copytree

from textual.widgets import OptionList

from consult.content.editing.choices import options, subjects
from consult.paths import shipped_trees
from consult.ui.edit.field_widgets import PickLine
from tests.ui.edit.content_desk import content_desk

EXAMPLE = shipped_trees() / "examples" / "desk_fitting"


async def test_the_example_is_edited(tmp_path: Path) -> None:
    """It opens without a mistake. A need asks for a feature of desks; one of chairs is wrong, and
    so is a name in what is declared that no question has."""
    folder = tmp_path / "trees"
    copytree(EXAMPLE, folder)
    async with content_desk(folder) as at:
        assert at.mistakes == []
        await at.find("memories")
        assert at.value("feature") == "remembers_heights"
        await at.field("feature")
        await at.press("enter")
        await at.until(lambda: not at.home)
        offered = at.page()
        await at.press("escape")
        assert "seat_slide" not in offered
        # A condition can ask for what is declared, and for nothing that chairs have.
        named = dict(subjects(at.session.sheets, "desk_fitting.yaml"))
        assert named["fit.desk_height"] == "Desk height for sitting, in cm"
        assert not {"fit.seat_height", "fit.load", "range.headrest"} & named.keys()
        tree, fitting = at.text("desk_fitting.yaml"), at.text("fitting.yaml")
        texts = {
            "desk_fitting.yaml": tree.replace("feature: stops_on_contact", "feature: seat_slide"),
            "fitting.yaml": fitting.replace("from: room_width", "from: room_with"),
        }
        at.session.folder.edit_many(texts, "two mistakes")
        at.desk.panes.check(at.session)
        await at.settle()
        assert set(at.mistakes) == {
            "The range has no feature 'seat_slide'.",
            "No question 'room_with' of the tree answers with a length, mass or count.",
        }


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


async def test_an_adjustment_is_typed_into_its_field(tmp_path: Path) -> None:
    """What advice changes of a figure stands in the form; written otherwise it is a mistake."""
    folder = tmp_path / "trees"
    copytree(EXAMPLE, folder)
    async with content_desk(folder) as at:
        await at.find("stand_on_the_mat")
        await at.field("adjusts")
        await at.type("heel + 15 mm, at most 6 cm")
        await at.press("tab")
        await at.settle()
        assert "    adjusts: heel + 15 mm, at most 6 cm\n" in at.text("desk_fitting.yaml")
        assert at.mistakes == []
        await at.field("adjusts")
        await at.press("ctrl+u")
        await at.type("heel 15 mm")
        await at.press("tab")
        await at.settle()
        assert at.mistakes == ["'heel 15 mm' does not say which figure changes, and by how much."]


async def test_a_part_and_a_quantity_have_a_form(tmp_path: Path) -> None:
    """Price, numbers of the kind and features of a part; the sums of a quantity; one like another
    is begun by a key, and what is wrong stands at its field."""
    folder = tmp_path / "trees"
    copytree(EXAMPLE, folder)
    async with content_desk(folder) as at:
        await at.find("FRAME-TWO")
        assert (at.value("price"), at.value("height"), at.value("load")) == (
            "340",
            "68.5 to 116 cm",
            "80 kg",
        )
        for field, typed in (("price", "349.50"), ("height", "70 to 118 cm")):
            await at.field(field)
            await at.press("ctrl+u")
            await at.type(typed)
            await at.press("tab")
        await at.settle()
        assert "price: 349.5" in at.text("fitting.yaml")
        assert "height: 70 to 118 cm, load: 80 kg" in at.text("fitting.yaml")
        assert at.mistakes == []
        await at.field("load")
        await at.press("ctrl+u")
        await at.type("80 cm")
        await at.press("tab")
        await at.settle()
        assert at.mistakes == ["'80 cm' is no mass."]
        await at.press("ctrl+z")
        await at.find("TOP-140")
        await at.press("alt+a")
        await at.type("TOP-180")
        await at.press("enter")
        await at.type("Top of 180 cm")
        await at.press("enter")
        await at.settle()
        assert at.value("code") == "TOP-180"
        assert at.value("width") == "140 cm"
        await at.find("standing_desk_height")
        assert at.value("label") == "Desk height for standing"
        await at.field("below")
        await at.press("ctrl+u")
        await at.type("3 cm")
        await at.press("tab")
        await at.settle()
        assert "below: 3 cm\n" in at.text("fitting.yaml")
        assert at.mistakes == []
