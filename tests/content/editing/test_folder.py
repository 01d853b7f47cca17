"""The folder being edited: history, saving, files changed by others, and what a crash leaves."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from consult.content.editing.disk import UNSAVED_FOLDER
from consult.content.editing.folder import DraftFolder
from consult.content.editing.patching import Refused
from tests.content.editing.pieces import KEPT, TREES


@pytest.fixture
def trees(tmp_path: Path) -> Path:
    """A copy of the shipped trees and of the wording of their papers."""
    shutil.copytree(TREES / "summary", tmp_path / "draft" / "summary")
    for name, text in KEPT.items():
        (tmp_path / "draft" / name).write_text(text, "utf-8")
    return tmp_path / "draft"


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def changed(folder: DraftFolder, name: str, old: str, new: str) -> None:
    text = folder.texts[name]
    assert old in text
    folder.edit({name: text.replace(old, new)}, f"writing {new}")


def test_one_history_over_all_files(trees: Path) -> None:
    """Steps of several files are undone in turn and done again, each called what it was."""
    folder = DraftFolder.open(trees)
    assert folder.changed == frozenset()
    assert folder.undo() is None
    changed(folder, "work.yaml", "The working day", "The day")
    changed(folder, "desk.yaml", "The desk", "A desk")
    folder.edit({"work.yaml": "a: 1\n", "new.yaml": "b: 1\n"}, "two at once")
    folder.edit({"work.yaml": "a: 1\n"}, "nothing new")
    assert folder.changed == {"work.yaml", "desk.yaml", "new.yaml"}
    assert folder.undo() == "two at once"
    assert "new.yaml" not in folder.texts
    assert folder.undo() == "writing A desk"
    assert folder.undo() == "writing The day"
    assert folder.undo() is None
    assert folder.changed == frozenset()
    assert [folder.redo() for _ in range(4)] == [
        "writing The day",
        "writing A desk",
        "two at once",
        None,
    ]
    folder.undo()
    changed(folder, "work.yaml", "The day", "Days")
    assert folder.redo() is None


def test_typing_on_is_one_step(trees: Path) -> None:
    """A field still being typed in is undone as a whole."""
    folder = DraftFolder.open(trees)
    for title in ("T", "Th", "The"):
        text = KEPT["work.yaml"].replace("The working day", title)
        folder.edit({"work.yaml": text}, "the title of work", goes_on=True)
    assert folder.undo() == "the title of work"
    assert folder.texts["work.yaml"] == KEPT["work.yaml"]


def test_saving_writes_what_changed_and_nothing_else(trees: Path) -> None:
    """Only changed files are written, with their mode, line ends and byte order mark."""
    windows = ("\ufeff" + KEPT["desk.yaml"].replace("\n", "\r\n")).encode()
    (trees / "desk.yaml").write_bytes(windows)
    (trees / "desk.yaml").chmod(0o640)
    before = {path: path.stat().st_mtime_ns for path in trees.glob("*.yaml")}
    folder = DraftFolder.open(trees)
    changed(folder, "desk.yaml", "title: The desk", "title: A desk")
    assert (trees / "desk.yaml").read_bytes() == windows
    assert folder.save().names == ("desk.yaml",)
    assert (trees / "desk.yaml").read_bytes() == windows.replace(b": The desk", b": A desk")
    assert (trees / "desk.yaml").stat().st_mode & 0o777 == 0o640
    after = {path: path.stat().st_mtime_ns for path in trees.glob("*.yaml")}
    assert [path.name for path in before if before[path] != after[path]] == ["desk.yaml"]
    assert folder.changed == frozenset()
    assert names(trees) == sorted([*KEPT, "summary"])
    assert not (trees.parent / UNSAVED_FOLDER).exists()


def test_a_file_begun_here_is_made_and_undone(trees: Path) -> None:
    """A new sub-tree appears on saving, and is gone when it was undone and saved again."""
    folder = DraftFolder.open(trees)
    folder.edit({"car.yaml": "tree: car\n"}, "a new tree")
    folder.save()
    assert (trees / "car.yaml").read_text() == "tree: car\n"
    folder.undo()
    assert folder.changed == {"car.yaml"}
    folder.save()
    assert not (trees / "car.yaml").exists()
    assert folder.changed == frozenset()
    for name in ("../car.yaml", "car.txt", "a/b.yaml", ".yaml", "/etc/x.yaml"):
        with pytest.raises(Refused, match="not a valid name for a tree"):
            folder.edit({name: "x"}, "x")


def test_two_people_s_edits_of_one_file_both_stay(trees: Path) -> None:
    """What another saved is taken in, piece by piece; undo takes back one's own steps only."""
    mine, other = (DraftFolder.open(trees, person) for person in ("mine", "other"))
    changed(mine, "work.yaml", "The working day", "Mine")
    changed(other, "work.yaml", "version: 2026.11", "version: 2026.12")
    changed(other, "desk.yaml", "The desk", "A desk")
    other.save()
    assert mine.outside_changes() == {"work.yaml", "desk.yaml"}
    with pytest.raises(Refused, match=r"work\.yaml has been changed by somebody else"):
        mine.save()
    for name in ("work.yaml", "desk.yaml"):
        assert mine.take_in(name, {}).conflicts == ()
    assert mine.outside_changes() == frozenset()
    assert mine.changed == {"work.yaml"}
    changed(mine, "work.yaml", "title: Mine", "title: Mine still")
    assert [mine.undo(), mine.undo(), mine.undo()] == [
        "writing title: Mine still",
        "writing Mine",
        None,
    ]
    assert mine.texts == other.texts
    mine.redo()
    mine.save()
    saved = (trees / "work.yaml").read_text()
    assert "title: Mine\n" in saved
    assert "version: 2026.12" in saved


def test_typing_on_over_what_was_taken_in_does_not_undo_it(trees: Path) -> None:
    """The field typed in before and after is two steps, so that undo leaves what is theirs."""
    mine, other = (DraftFolder.open(trees, person) for person in ("mine", "other"))
    title = "title: The working day"
    mine.edit({"work.yaml": mine.texts["work.yaml"].replace(title, "title: A")}, "t", goes_on=True)
    changed(other, "work.yaml", "version: 2026.11", "version: 2026.12")
    other.save()
    mine.take_in("work.yaml", {})
    text = mine.texts["work.yaml"].replace("title: A", "title: AB")
    mine.edit({"work.yaml": text}, "t", goes_on=True)
    mine.undo()
    mine.undo()
    assert mine.texts["work.yaml"] == other.texts["work.yaml"]


def test_the_same_piece_of_two_people_is_taken_as_somebody_decides(trees: Path) -> None:
    """Until then nothing is changed; theirs can be undone to mine, and mine is saved as mine."""
    mine, other = (DraftFolder.open(trees, person) for person in ("mine", "other"))
    changed(mine, "work.yaml", "The working day", "Mine")
    before = mine.texts["work.yaml"]
    changed(other, "work.yaml", "The working day", "Theirs")
    changed(other, "work.yaml", "version: 2026.11", "version: 2026.12")
    other.save()
    (conflict,) = mine.take_in("work.yaml", {}).conflicts
    assert (conflict.way, conflict.theirs) == (("title",), "title: Theirs\n")
    assert mine.texts["work.yaml"] == before
    assert mine.outside_changes() == {"work.yaml"}
    mine.take_in("work.yaml", {conflict: True})
    assert mine.texts == other.texts
    assert mine.undo() == "taking their wording into work.yaml"
    assert "title: Mine" in mine.texts["work.yaml"]
    assert "version: 2026.12" in mine.texts["work.yaml"]
    mine.save()
    changed(mine, "work.yaml", "Mine", "Mine again")
    (trees / "work.yaml").unlink()
    (gone,) = mine.take_in("work.yaml", {}).conflicts
    mine.take_in("work.yaml", {gone: False})
    mine.save()
    assert "Mine again" in (trees / "work.yaml").read_text()


def test_files_that_others_add_and_delete(trees: Path) -> None:
    """They come and go here too, where nothing was changed in them."""
    folder = DraftFolder.open(trees)
    (trees / "wishes.yaml").unlink()
    (trees / "extra.yaml").write_text("tree: extra\n")
    assert folder.outside_changes() == {"wishes.yaml", "extra.yaml"}
    for name in ("wishes.yaml", "extra.yaml"):
        folder.take_in(name, {})
    assert folder.changed == folder.outside_changes() == frozenset()
    assert folder.texts["extra.yaml"] == "tree: extra\n"
    assert "wishes.yaml" not in folder.texts


def test_what_is_not_saved_is_kept_for_each_person(trees: Path) -> None:
    """One is not offered what another left; after other changes on disk, both come together."""
    mine, other = (DraftFolder.open(trees, person) for person in ("An Na", "b"))
    changed(mine, "work.yaml", "The working day", "Mine")
    changed(other, "work.yaml", "version: 2026.11", "version: 2026.12")
    assert DraftFolder.open(trees, "c").left == ()
    other.save()
    assert DraftFolder.open(trees, "b").left == ()
    again = DraftFolder.open(trees, "An Na")
    again.restore()
    assert again.outside_changes() == {"work.yaml"}
    assert again.take_in("work.yaml", {}).conflicts == ()
    again.save()
    assert (trees / "work.yaml").read_text().count("2026.12") == 1
    assert "title: Mine" in (trees / "work.yaml").read_text()
    assert names(trees.parent) == ["draft"]


def test_all_or_none(trees: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where one of several files cannot be put in place, the others are put back."""
    folder = DraftFolder.open(trees)
    changed(folder, "desk.yaml", "The desk", "A desk")
    changed(folder, "work.yaml", "The working day", "The day")
    replace = Path.replace

    def failing(self: Path, target: Path) -> Path:
        if target.name == "work.yaml" and UNSAVED_FOLDER not in target.parts:
            raise OSError(28, "No space left on device")
        return replace(self, target)

    monkeypatch.setattr(Path, "replace", failing)
    with pytest.raises(Refused, match="Nothing was saved: No space left on device"):
        folder.save()
    assert (trees / "desk.yaml").read_text() == KEPT["desk.yaml"]
    assert folder.changed == {"desk.yaml", "work.yaml"}
    assert names(trees) == sorted([*KEPT, "summary"])


def test_a_crash_loses_nothing_typed(trees: Path) -> None:
    """What was not saved is found when the folder is opened again, and can be let go."""
    first = DraftFolder.open(trees)
    changed(first, "work.yaml", "The working day", "Unsaved 😀")
    first.edit({"summary/card.md.j2": "x"}, "the card")
    del first
    again = DraftFolder.open(trees)
    assert again.left == ("summary/card.md.j2", "work.yaml")
    assert again.changed == frozenset()
    again.restore()
    assert "Unsaved 😀" in again.texts["work.yaml"]
    assert again.changed == {"summary/card.md.j2", "work.yaml"}
    assert DraftFolder.open(trees).left == ("summary/card.md.j2", "work.yaml")
    assert again.undo() == "restoring unsaved changes"
    assert again.changed == frozenset()
    again.redo()
    again.save()
    assert DraftFolder.open(trees).left == ()
    changed(again, "work.yaml", "Unsaved", "Once more")
    third = DraftFolder.open(trees)
    third.forget()
    assert third.left == ()
    assert DraftFolder.open(trees).left == ()


def test_a_restored_text_does_not_overwrite_newer_work(trees: Path) -> None:
    """A file that changed after the crash is named on saving, as any other."""
    first = DraftFolder.open(trees)
    changed(first, "work.yaml", "The working day", "Unsaved")
    (trees / "work.yaml").write_text("tree: work\n")
    again = DraftFolder.open(trees)
    again.restore()
    with pytest.raises(Refused, match="changed by somebody else"):
        again.save()


def test_folders_that_cannot_be_opened(tmp_path: Path, trees: Path) -> None:
    """No folder and no tree are told in words; a file in another code is left out and named."""
    with pytest.raises(Refused, match="There is no folder"):
        DraftFolder.open(tmp_path / "nothing")
    (tmp_path / "empty").mkdir()
    with pytest.raises(Refused, match="There is no tree"):
        DraftFolder.open(tmp_path / "empty")
    (trees / "odd.yaml").write_bytes(b"tree: \xff\n")
    folder = DraftFolder.open(trees)
    assert "UTF-8" in folder.unreadable["odd.yaml"]
    assert any("UTF-8" in problem.message for problem in folder.problems())
    assert folder.outside_changes() == frozenset()


def test_a_read_only_place_is_told(trees: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where no copy can be kept the folder says so, and editing goes on."""

    def refused(*_: object, **__: object) -> None:
        raise OSError(30, "Read-only file system")

    folder = DraftFolder.open(trees)
    monkeypatch.setattr(Path, "mkdir", refused)
    changed(folder, "work.yaml", "The working day", "Mine")
    assert "Read-only" in folder.copy_trouble
    assert folder.changed == {"work.yaml"}


def test_problems_and_basis_come_from_memory(trees: Path) -> None:
    """A mistake typed and not saved is told, and a call can be led with what is not saved."""
    # Beside a range these trees of long ago would have to ask for every warning sign of today.
    (trees / "range.yaml").unlink()
    folder = DraftFolder.open(trees)
    before = folder.problems()
    assert [each for each in before if each.severity == "error"] == []
    changed(folder, "work.yaml", "    next: arm_use", "    next: arm_us")
    new = [each for each in folder.problems() if each not in before]
    assert {Path(each.where.file).name for each in new} == {"work.yaml"}
    assert "arm_us" in new[0].message
    assert folder.basis("seating")[0] is None
    folder.undo()
    assert folder.problems() == before
    changed(folder, "work.yaml", "How many hours", "How many long hours")
    basis, _ = folder.basis("seating")
    assert basis is not None
    assert basis.tree.questions["hours"].ask.startswith("How many long hours")
