"""Mistakes of somebody's first product: what is told first names the cause."""

from __future__ import annotations

from pathlib import Path
from shutil import copyfile, copytree

import pytest

from consult.commands.check import problems_of_files
from consult.paths import shipped_trees
from consult.problems import Problem

EXAMPLE = shipped_trees() / "examples" / "desk_fitting"
FITTING, TREE, CALLERS = "fitting.yaml", "desk_fitting.yaml", "callers.yaml"
CONTACTS, SETTINGS = "contacts.yaml", "settings.yaml"

WAY = "    next: several_people\n\n  several"
POOL = "    next: pool\n\n  pool:\n    best_of: "

SLIPS = {
    SETTINGS: (
        ("country: GB", "country: UK", "contacts.yaml has no country 'UK'"),
        ("country: GB", "country: England", "'England' is not written correctly."),
        ("settings:", "setting:", "settings.yaml does not have the name 'settings'"),
        ("currency: ", "Currency: ", "'Currency' is not a known name here."),
        ("units: metric", "units: cm", "'cm' is not allowed here in 'units'."),
    ),
    CONTACTS: (
        ("  GB:", "  UK:", "There is no country 'GB' in this file."),
        ("  GB:", "  gb:", "'gb' is not written correctly."),
        ("    emergency: ", "    Emergency: ", "'Emergency' is not written correctly."),
        ("contacts: contacts", "contact: contacts", "contacts.yaml does not have the name"),
    ),
    FITTING: (
        ("equipment: 15 kg", "equipment: 15kg", "'15kg' has no space before its unit."),
        ("equipment: 15 kg", "equipment: 15", "15 has no unit in 'equipment'."),
        ("load: 80 kg", "load: 80 KG", "'80 KG' has a unit in capitals."),
        ("height: 68.5 to 116 cm", "height: 68,5 to 116 cm", "The comma before '5 to 116 cm'"),
        (
            "height: 68.5 to 116 cm",
            "height: 68.5-116 cm",
            "'68.5-116 cm' needs the word to between",
        ),
        (
            "height: 68.5 to 116 cm",
            "height: 68.5–116 cm",
            "'68.5–116 cm' needs the word to between",
        ),
        (
            "height: 68.5 to 116 cm",
            "height: 68.5 cm to 116 cm",
            "'68.5 cm to 116 cm' says its unit",
        ),
        ("height: 68.5 to 116 cm", "height: 116 to 68.5 cm", "'116 to 68.5 cm' runs backwards."),
        ("price: 340", "price: £340", "'£340' in 'price' is more than a number."),
        (
            "price: 340",
            "price: 340,00",
            "The comma before '00' begins another entry of what stands",
        ),
        ("price: 340,", "price: 1.340,", "The price 1.340 is read as 1.34, because a point parts"),
        ("lead_days: 5", "lead_days: 5 days", "'5 days' in 'lead_days' is more than a number."),
        ("lead_days: 5", "lead_time: 5", "A part of the kind 'frame' has no 'lead_time'."),
        ("load: 80 kg", "weight: 80 kg", "FRAME-TWO does not say its load."),
        ("name: Two-stage frame", "name: Frame, two-stage", "The comma before 'two-stage' begins"),
        (
            "features: [stops_on_contact], g",
            "features: [stop_on_contact], g",
            "A part of the kind 'frame' has no feature 'stop_on_contact'.",
        ),
        (
            "features: [remembers_heights]\n\n",
            "features: [remembers heights]\n\n",
            "'remembers heights' is not written correctly.",
        ),
        ("kind: top, code: TOP-120", "kind: tops, code: TOP-120", "There is no kind 'tops'."),
        ("code: TOP-120", "code: top-120", "'top-120' is not written correctly."),
        ("code: TOP-120", "code: TOP 120", "'TOP 120' is not written correctly."),
        ("code: TOP-140", "code: TOP-120", "The code 'TOP-120' is already taken by 'Top of 120"),
        (
            "heel - 20 mm",
            "heel − 20 mm",
            "The − in 'body.popliteal_height + body.elbow_rest_height",
        ),
        (
            "heel - 20 mm",
            "heel - 20",
            "The 20 in 'body.popliteal_height + body.elbow_rest_height +",
        ),
        (
            "body.popliteal_height + body.elbow_rest_height",
            "body.popliteal_height+body.elbow_rest_height",
            "In 'body.popliteal_height+body.elbow_rest_height + heel - 20 mm' a sign has no space",
        ),
        ("body.popliteal_height +", "popliteal_height +", "'popliteal_height' is a dimension of"),
        ("from: equipment", "from: equipment × 2", "The × in 'equipment × 2' is not a sign of"),
        ("from: equipment", "from: 2 * equipment", "In '2 * equipment' the number stands before"),
        ("from: equipment", "from: (equipment)", "The ( in '(equipment)' is not a sign of sums."),
        (
            "at_most: frame.load - top.weight",
            "at_most: frame.load - top.weight\n    within: frame.height",
            "'load' has to be tested in one way, and 2 are named.",
        ),
        ("    at_most: frame.load - top.weight\n", "", "'load' has to be tested in one way, and"),
        ("at_most: frame.load", "at most: frame.load", "'at most' is not a known name here in"),
        ("at_most: frame.load", "max: frame.load", "'max' is not a known name here in 'load'."),
        (
            "    at_most: frame.load - top.weight\n",
            "    at_most: frame.load - top.weight\n    below: 3 kg\n",
            "'load' is a limit, so there is nothing below or above that is acceptable.",
        ),
        ("    below: 40 mm", "    below: 40 kg", "'40 kg' is no length."),
        ("    below: 40 mm", "    below: -40 mm", "'-40 mm' is below zero."),
        ("    below: 40 mm\n    above: 20 mm\n", "", "'standing_desk_height' has nothing below or"),
        (
            "within: frame.height + top.thickness",
            "within: frame.heigth + top.thickness",
            "No kind of part has the number 'frame.heigth'.",
        ),
        (
            "within: frame.height + top.thickness",
            "within: height + thickness",
            "No kind of part has the number 'height'.",
        ),
        ("currency: GBP", "currency: gbp", "'gbp' is not written correctly."),
        ("vat: included", "vat: yes", "'yes' is not allowed here in 'vat'."),
        ("thing: desk", "thing: Desk", "'Desk' is not written correctly."),
        (
            "equipment: 15 kg",
            "equipmnt: 15 kg",
            "No question 'equipmnt' of the tree answers with a",
        ),
        ("equipment: 15 kg", "body.stature: 170 cm", "'body.stature' is not written correctly."),
        ("equipment: 15 kg", "reason: 15 kg", "No question 'reason' of the tree answers with a"),
        ("equipment: 15 kg", "equipment: 15 cm", "'15 cm' is no mass."),
        (
            "lead_days: 5,\n     height: 68.5",
            "lead_days: 5, until: 31.12.2026,\n     height: 68.5",
            "'31.12.2026' is not written correctly.",
        ),
        ("weight: 17 kg}", "weight: 17 kg, fits_with: [FRAME-4]}", "There is no part 'FRAME-4'."),
        ("weight: 17 kg}", "weight: 17 kg, fits_with: FRAME-TWO}", "This is text in 'fits_with',"),
        ("source: our_range", "source: our_rang", "sources.yaml has no source 'our_rang'."),
        ("    source: our_range\n", "", "'source' is missing in 'load'."),
        ("    label: Weight on the desk\n", "", "'label' is missing in 'load'."),
        ("short: Standing", "short: Desk height for standing up", "This is too long in 'short'."),
        ("  load:\n    label", "  load:\n\tlabel", "There is a tab in the indentation."),
        (
            "quantities:\n  standing_desk_height:",
            "quantities:\n  - standing_desk_height:",
            "This line is not indented like the rest of its block.",
        ),
        ("lengths: [height]", "lengths: height", "This is text in 'lengths', not a list."),
        (
            "lengths: [width, thickness]",
            "lengths: [width; thickness]",
            "'width; thickness' is not written correctly.",
        ),
    ),
    TREE: (
        ("works_out: fitting", "works_out: fittings", "'fittings' is not allowed here in"),
        ("<fit.standing_desk_height>", "<standing_desk_height>", "Nothing called"),
        (
            "when: known(fit.standing_desk_height)\n    say: >-",
            "when: fit.standing_desk_height > 110 cm\n    say: >-",
            "A number in a condition has no unit.",
        ),
        (
            "when: known(fit.standing_desk_height)\n    say: >-",
            "when: standing_desk_height > 110\n    say: >-",
            "There is no question or choice 'standing_desk_height'.",
        ),
        (
            "when: known(fit.standing_desk_height)\n    say: >-",
            "when: fit.standing_desk_height > 1100\n    say: >-",
            "'fit.standing_desk_height' is in cm, and 1100 cm is far too much.",
        ),
        (
            "    say: Stand on the mat",
            "    adjusts: heel - 1 cm, at most 6 cm\n    say: Stand on the mat",
            "'heel - 1 cm, at most 6 cm' takes something away, and a figure can only be added to.",
        ),
        (
            "    say: Stand on the mat",
            "    adjusts: heel + 1 cm\n    say: Stand on the mat",
            "'heel + 1 cm' does not say with 'at most' how much there is to be in all.",
        ),
        (
            "    say: Stand on the mat",
            "    adjusts: heel + 3, at most 6\n    say: Stand on the mat",
            "'heel + 3, at most 6' has a number without a unit.",
        ),
        (
            "    say: Stand on the mat",
            "    adjusts: desk + 1 cm, at most 6 cm\n    say: Stand on the mat",
            "The fit has no figure 'desk' that could be changed.",
        ),
        (
            "    say: Stand on the mat",
            "    adjusts: heel + 8 cm, at most 6 cm\n    say: Stand on the mat",
            "It adds 8 cm, but at most 6 cm in all.",
        ),
        (
            "    say: Stand on the mat",
            "    adjusts: heel + mat, at most 6 cm\n    say: Stand on the mat",
            "There is no question 'mat'.",
        ),
        (
            "    say: Stand on the mat",
            "    adjusts: heel + equipment, at most 6 cm\n    say: Stand on the mat",
            "The answer to 'equipment' is not a length, so it cannot be added.",
        ),
        (
            "    say: Stand on the mat",
            "    adjusts: heel + 1 cm, at most 60 cm\n    say: Stand on the mat",
            "A heel of more than 12 cm is not counted with.",
        ),
        (
            "    say: Stand on the mat",
            "    adjusts: heel + 1,5 cm, at most 6 cm\n    say: Stand on the mat",
            "'heel + 1,5 cm, at most 6 cm' has a comma in a number, which has a decimal point.",
        ),
        (
            "    say: Stand on the mat",
            "    adjusts: heel + 1 cm, up to 6 cm\n    say: Stand on the mat",
            "'heel + 1 cm, up to 6 cm' does not say with 'at most' how much there is to be in all.",
        ),
        (
            "feature: remembers_heights",
            "feature: remembers heights",
            "'remembers heights' is not written correctly.",
        ),
        ("strength: prefer", "strength: should", "'should' is not allowed here in 'strength'."),
        (
            WAY,
            f"{POOL}several_people\n    next: small_children\n\n  several",
            "This is text in 'best_of', not a list.",
        ),
        (
            WAY,
            f"{POOL}[several_people]\n    next: small_children\n\n  several",
            "'several_people' is asked in the pool 'pool', which says what comes next.",
        ),
        (
            WAY,
            f"{POOL}[several_peoples]\n    next: several_people\n\n  several",
            "There is no question 'several_peoples' in this file to ask in a pool.",
        ),
        (
            WAY,
            WAY.replace(
                ": several_people",
                ": t\n\n  t: {topic: safety, title: Cables, next: several_people}",
            ),
            "'changes' is missing in 't'.",
        ),
    ),
    CALLERS: (
        ("unknown: 5\n", "unknown: 5%\n", "'5%' in 'unknown' is more than a number."),
        (
            "shares: {yes: 20, no: 80}",
            "shares: {yes: 20%, no: 80%}",
            "'20%' in 'yes' is more than a number.",
        ),
        (
            "shares: {yes: 20, no: 80}",
            "shares: {yes: 0.2, no: 0.8}",
            "These shares add up to 1 of 100.",
        ),
        ("shares: {yes: 20, no: 80}", "shares: {yes: 30, no: 80}", "These shares add up to 110 of"),
        ("shares: {either: 10}", "shares: {other: 10}", "'sex' has no answer 'other', so this is"),
        ("  several_people:", "  several_peoples:", "No tree in this folder has a question"),
        ("{mean: 18 kg,", "{mean: 18,", "18 has no unit, and the others have."),
        ("{mean: 18 kg,", "{mean: 18 cm,", "Mean, spread and within need the same kind of unit."),
        ("within: 3 to 90 kg", "within: 3-90 kg", "'3-90 kg' is not written correctly."),
        ("  female: 50", "  female: 60", "These shares add up to 110 of 100."),
        ("spread: 9 kg", "spread: -9 kg", "'-9 kg' is not written correctly."),
        (
            "says: [oak top of 160 cm, up and down switch]",
            "says: oak top of 160 cm",
            "This is text in 'says', not a list.",
        ),
    ),
}
"""File -> what is right, what was written, and how what is told begins."""


def told(folder: Path, file: str, right: str, wrong: str) -> list[Problem]:
    """What the check says of the example with one slip, the first of its file first."""
    copytree(EXAMPLE, folder / "desks")
    copyfile(shipped_trees() / SETTINGS, folder / "desks" / SETTINGS)
    path = folder / "desks" / file
    text = path.read_text("utf-8")
    assert right in text
    path.write_text(text.replace(right, wrong, 1), "utf-8")
    found = problems_of_files(*sorted((folder / "desks").glob("*.yaml")))
    return sorted(found, key=lambda one: (one.severity, one.where.file != str(path), one.where))


@pytest.mark.parametrize(
    ("file", "right", "wrong", "cause"),
    [(file, *slip) for file, slips in SLIPS.items() for slip in slips],
)
def test_no_slip_is_silent(tmp_path: Path, file: str, right: str, wrong: str, cause: str) -> None:
    """The first message stands in the file with the slip and names the cause in its first words."""
    first = told(tmp_path, file, right, wrong)[0]
    assert Path(first.where.file).name == file
    assert first.message.startswith(cause)


def test_a_file_that_is_not_used_is_told(tmp_path: Path) -> None:
    """Somebody wrote what the product is, and forgot to say that the tree works it out."""
    found = told(tmp_path, TREE, "works_out: fitting\n", "")
    assert "fitting-unused" in {one.rule for one in found}


def test_contacts_with_a_mistake_are_there(tmp_path: Path) -> None:
    """No caution is said to name a contact that nobody wrote down."""
    found = told(tmp_path, CONTACTS, "default: ", "defaults: ")
    assert {one.where.file.rpartition("/")[2] for one in found} == {CONTACTS}


def test_a_broken_file_is_told_once(tmp_path: Path) -> None:
    """What hangs on it is not called wrong as well."""
    (only,) = told(tmp_path, FITTING, "  load:\n    label", "  load:\n\tlabel")
    assert only.message == "There is a tab in the indentation."
