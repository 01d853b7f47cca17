"""The live check: the same as checking the folder on disk, and only where something changed."""

from __future__ import annotations

from pathlib import Path

import pytest

from consult.commands.check import problems_of_files
from consult.content.editing.live import LiveCheck
from consult.marked.marks import Texts
from consult.tree.condition import Limits
from consult.tree.draft import Draft, read_draft
from tests.content.editing.pieces import KEPT, TREES

SLIPS = {
    "nothing": ("work.yaml", "x-y-z", ""),
    "a route": ("work.yaml", "next: arm_use", "next: arm_us"),
    "a broken file": ("measures.yaml", "tree: measures", "tree: measures: x"),
    "a broken main tree": ("seating.yaml", "questions:\n", "questions: [\n"),
    "a contact": ("contacts.yaml", "    urgent: ring your GP", "    urgnt: ring your GP"),
    "a limit of the range": ("measures.yaml", "when: weight > 110", "when: weight > 180"),
    "the range": ("range.yaml", "price: 176", "price: cheap"),
    "an include": ("seating.yaml", "include: desk", "include: dessk"),
    "the callers": ("callers.yaml", "caller: 82", "caller: 83"),
}


@pytest.mark.parametrize("slip", SLIPS)
def test_the_live_check_says_what_the_check_says(slip: str, tmp_path: Path) -> None:
    """From memory the same is told as of files, wherever the mistake is."""
    name, old, new = SLIPS[slip]
    texts = {**KEPT, name: KEPT[name].replace(old, new, 1)}
    assert (texts == KEPT) == (slip == "nothing")
    folder = tmp_path
    for file, text in KEPT.items():
        (folder / file).write_text(text, "utf-8")
    check = LiveCheck(folder)
    check.problems(KEPT)
    found = {str(problem) for problem in check.problems(texts)}
    (folder / name).write_text(texts[name], "utf-8")
    wanted = {str(problem) for problem in problems_of_files(*sorted(folder.glob("*.yaml")))}
    if slip.startswith("a broken"):
        # On disk alone, questions that cannot be read look like questions that nobody has, and
        # the sub-trees of a broken tree like trees of their own.
        found, wanted = ({e for e in some if "callers.yaml" not in e} for some in (found, wanted))
    if slip == "a broken main tree":
        assert found < wanted
        # Of wording there are warnings in every file.
        files = {Path(each.split(":")[0]).name for each in found if ": error: " in each}
        assert name in files
        assert files <= {name, "follow_up.yaml"}
    else:
        assert found == wanted


def test_only_what_reads_the_changed_file_is_checked_again(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """An edit of one main tree leaves the other's result; the same texts are not checked twice."""
    read: list[str] = []

    def noted(path: Path, texts: Texts, limits: Limits) -> Draft:
        read.append(path.name)
        return read_draft(path, texts, limits)

    monkeypatch.setattr("consult.content.editing.live.read_draft", noted)
    check = LiveCheck(TREES)
    first = check.problems(KEPT)
    assert {"follow_up.yaml", "seating.yaml"} <= set(read)
    read.clear()
    assert check.problems(dict(KEPT)) == first
    assert read == []
    check.problems({**KEPT, "seating.yaml": KEPT["seating.yaml"] + "\n"})
    assert read == ["seating.yaml"]
