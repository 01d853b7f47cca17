"""Drafts, publishing and bringing back: what becomes live, and what is refused."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest

from consult.content.library.files import LibraryTrouble, digest_of_files, read_files
from consult.content.library.library import (
    SCHEMAS,
    Library,
    begin_draft,
    discard_draft,
    draft_folder,
    note_bases,
    the_library,
)
from consult.content.library.lost import Weaker
from consult.content.library.publish import Judged, bring_back, locked, publish
from consult.content.library.verify import verify
from consult.paths import live_version, trees_folder, version_folder
from consult.problems import Problem, Where
from tests.content.library.libraries import (
    SEATING,
    SHIPPED,
    agreeable,
    edit,
    published,
    wanted,
    write,
)


def test_a_draft_holds_the_schemas_and_publishes_none(drafted: Library) -> None:
    """Editors complete names by them; a version is what people wrote."""
    schema = drafted.draft / SCHEMAS / "tree.schema.json"
    assert (drafted.draft / SCHEMAS / "range.schema.json").is_file()
    assert json.loads(schema.read_text("utf-8"))["$id"] == "urn:consult:tree"
    assert not any(SCHEMAS in name for name in read_files(drafted.draft))


def test_a_draft_is_a_copy_of_what_is_live(library: Library) -> None:
    """The first draft is of the trees that come with the program; they stay live."""
    folder = draft_folder()
    assert folder == library.draft
    assert read_files(folder) == {name: text.encode() for name, text in SHIPPED.items()}
    assert trees_folder() == library.live().folder
    assert live_version(library.root) is None


def test_a_draft_is_begun_once(drafted: Library) -> None:
    """Asked for again, it is the same draft with its edits; discarded, a new one is a new copy."""
    edit(drafted, "seating.yaml", "Who is there?", "Hello?")
    begin_draft(drafted)
    assert b"Hello?" in (drafted.draft / "seating.yaml").read_bytes()
    assert discard_draft(drafted)
    assert not discard_draft(drafted)
    begin_draft(drafted)
    assert b"Hello?" not in (drafted.draft / "seating.yaml").read_bytes()


def test_publishing_makes_the_draft_live_whole(drafted: Library) -> None:
    """Every main tree bears the new version; every other byte is that of the draft."""
    edit(drafted, "seating.yaml", "Who is there?", "Hello?")
    report = publish(drafted, wanted(), agreeable)
    assert (report.done, report.version, report.why_not) == (True, "2026.11.25", "")
    assert trees_folder() == drafted.folder("2026.11.25")
    files = read_files(trees_folder())
    assert files["seating.yaml"].decode() == SEATING.replace("Who is there?", "Hello?").replace(
        "version: 2026.11 ", "version: 2026.11.25 "
    )
    assert b'version: "2026.11.25"' in files["second.yaml"]
    assert files["signs.yaml"].decode() == SHIPPED["signs.yaml"]
    assert b"version: 2026.11 " in (drafted.draft / "seating.yaml").read_bytes()


def test_a_day_has_several_versions(drafted: Library) -> None:
    """The second of a day is numbered, and the trees of the program are the first version kept."""
    published(drafted, "One?")
    report = published(drafted, "Two?")
    assert report.version == "2026.11.25.2"
    told = [(entry.version, entry.kind) for entry in drafted.entries()]
    assert told == [
        ("2026.11", "begun"),
        ("2026.11.25", "published"),
        ("2026.11.25.2", "published"),
    ]
    entry = drafted.entries()[-1]
    assert (entry.by, entry.reason, entry.changes) == ("Ann", "Because.", ("Something changed.",))
    assert entry.digest == digest_of_files(read_files(trees_folder()))


def test_a_version_is_made_read_only(drafted: Library) -> None:
    """Nobody's editor writes into a published version by mistake."""
    published(drafted, "One?")
    for path in (trees_folder(), *trees_folder().rglob("*")):
        assert not path.stat().st_mode & 0o222


def test_nothing_changed_is_not_published(drafted: Library) -> None:
    """An untouched draft, and one just published, are refused in words."""
    report = publish(drafted, wanted(), agreeable)
    assert not report.done
    assert "Nothing changed" in report.why_not
    published(drafted, "One?")
    assert "Nothing changed" in publish(drafted, wanted(), agreeable).why_not
    assert len(drafted.entries()) == 2


def test_a_version_alone_is_no_change(drafted: Library) -> None:
    """Publishing writes the version, so one written by hand is nothing."""
    edit(drafted, "seating.yaml", "2026.11 ", "2031.01 ")
    assert "Nothing changed" in publish(drafted, wanted(), agreeable).why_not


def test_mistakes_are_not_published(drafted: Library) -> None:
    """An error of the check refuses, a warning does not; nothing is left behind."""
    edit(drafted, "seating.yaml", "Who is there?", "Hello?")
    warning = Problem(Where("a", 1, 1), "Odd.", severity="warning")
    error = Problem(Where("a", 1, 1), "Wrong.")
    report = publish(drafted, wanted(), lambda *_: Judged((warning, error), (), ()))
    assert not report.done
    assert "1 mistake." in report.why_not
    assert live_version(drafted.root) is None
    assert list(drafted.versions.iterdir()) == []
    assert publish(drafted, wanted(), lambda *_: Judged((warning,), (), ())).done


def test_what_is_weaker_needs_a_reason(drafted: Library) -> None:
    """One reason for each thing, none for what is no weaker; the reason is kept."""
    edit(drafted, "seating.yaml", "Who is there?", "Hello?")
    lost = (Weaker("caution.legs", "Removed.", "stop"), Weaker("caution.legs", "Fewer.", "stop"))

    def judge(*_: Path) -> Judged:
        return Judged((), (), lost)

    assert "--accept caution.legs=REASON" in publish(drafted, wanted(), judge).why_not
    assert "Say why" in publish(drafted, wanted({"caution.legs": " "}), judge).why_not
    both = {"caution.legs": "Asked elsewhere.", "caution.arms": "No."}
    assert "'caution.arms'" in publish(drafted, wanted(both), judge).why_not
    assert publish(drafted, wanted({"caution.legs": "Asked elsewhere."}), judge).done
    kept = drafted.entries()[-1].accepted
    assert [(one.what, one.reason) for one in kept] == [("caution.legs", "Asked elsewhere.")]


def test_a_dry_run_changes_nothing(drafted: Library) -> None:
    """It says what would come of it."""
    edit(drafted, "seating.yaml", "Who is there?", "Hello?")
    report = publish(drafted, wanted(dry_run=True), agreeable)
    assert (report.done, report.why_not, report.version) == (False, "", "2026.11.25")
    assert live_version(drafted.root) is None
    assert drafted.entries() == ()


def test_bringing_back_makes_an_earlier_version_live(drafted: Library) -> None:
    """It is an entry of the journal, the versions stay as they are, and so does the draft."""
    published(drafted, "One?")
    before = read_files(drafted.draft)
    report = bring_back(drafted, "2026.11", wanted(reason="Worse."), agreeable)
    assert report.done
    assert trees_folder() == drafted.folder("2026.11")
    assert read_files(trees_folder()) == {n: t.encode() for n, t in SHIPPED.items()}
    assert (drafted.entries()[-1].kind, drafted.entries()[-1].reason) == ("brought back", "Worse.")
    assert read_files(drafted.draft) == before
    assert verify(drafted) == []
    assert "already live" in bring_back(drafted, "2026.11", wanted(), agreeable).why_not
    with pytest.raises(LibraryTrouble, match="no version 1999"):
        bring_back(drafted, "1999", wanted(), agreeable)


def test_bringing_back_may_lose_cautions_too(drafted: Library) -> None:
    """The same rule holds as for publishing."""
    published(drafted, "One?")
    judged = Judged((), (), (Weaker("caution.legs", "Removed.", "stop"),))
    assert not bring_back(drafted, "2026.11", wanted(), lambda *_: judged).done
    assert bring_back(drafted, "2026.11", wanted({"caution.legs": "Yes."}), lambda *_: judged).done


def test_a_draft_that_was_overtaken_is_not_published(drafted: Library) -> None:
    """Another version live meanwhile: who made it so and why, and what to do."""
    published(drafted, "One?")
    edit(drafted, "seating.yaml", "One?", "Two?")
    assert bring_back(drafted, "2026.11", wanted(reason="It was worse."), agreeable).done
    report = publish(drafted, wanted(), agreeable)
    assert not report.done
    for said in ("2026.11.25", "Ann", "It was worse.", "consult draft --build-on-live"):
        assert said in report.why_not
    note_bases(drafted, drafted.live().base)
    assert publish(drafted, wanted(), agreeable).version == "2026.11.25.2"


def test_other_trees_with_the_program_overtake_a_draft(drafted: Library, tmp_path: Path) -> None:
    """A new program may come with changed trees of the same version."""
    edit(drafted, "seating.yaml", "Who is there?", "Hello?")
    write(tmp_path / "shipped", {"signs.yaml": SHIPPED["signs.yaml"] + "# changed\n"})
    assert "have changed" in publish(drafted, wanted(), agreeable).why_not


def test_two_do_not_publish_at_once(drafted: Library) -> None:
    """The second is told to wait, by publishing and by bringing back."""
    published(drafted, "One?")
    with locked(drafted.root):
        with pytest.raises(LibraryTrouble, match="Somebody else is publishing"):
            publish(drafted, wanted(), agreeable)
        with pytest.raises(LibraryTrouble, match="Somebody else is publishing"):
            bring_back(drafted, "2026.11", wanted(), agreeable)


def test_what_was_judged_is_what_is_published(drafted: Library) -> None:
    """A file saved while the draft is looked at waits for the next version."""

    def judge(live: Path, new: Path) -> Judged:
        edit(drafted, "seating.yaml", "Hello?", "Slipped in?")
        return agreeable(live, new)

    edit(drafted, "seating.yaml", "Who is there?", "Hello?")
    assert publish(drafted, wanted(), judge).done
    assert b"Hello?" in (trees_folder() / "seating.yaml").read_bytes()


def test_verify_finds_what_was_changed(drafted: Library) -> None:
    """A changed file, a lost folder and a folder of nobody's are each told; so is bringing back."""
    published(drafted, "One?")
    published(drafted, "Two?")
    assert verify(drafted) == []
    file = drafted.folder("2026.11") / "signs.yaml"
    file.chmod(0o644)
    file.write_text("tree: signs\n")
    (drafted.versions / "mine").mkdir()
    told = " ".join(verify(drafted))
    assert "2026.11 has changed since it was published" in told
    assert "mine is not in the journal" in told
    report = bring_back(drafted, "2026.11", wanted(), agreeable)
    assert not report.done
    assert "has changed since it was published" in report.why_not
    os.rename(drafted.folder("2026.11.25"), drafted.root / "elsewhere")  # noqa: PTH104
    assert "2026.11.25 is no longer in" in " ".join(verify(drafted))


def test_trees_come_from_where_they_are_published(
    drafted: Library, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """CONSULT_TREES may be a plain folder; without it what the user published counts."""
    published(drafted, "One?")
    plain = write(tmp_path / "plain", SHIPPED)
    monkeypatch.setenv("CONSULT_TREES", str(plain))
    assert trees_folder() == plain
    with pytest.raises(LibraryTrouble, match="plain folder"):
        the_library()
    monkeypatch.delenv("CONSULT_TREES")
    assert trees_folder() == tmp_path / "shipped"
    mine = the_library()
    begin_draft(mine)
    assert trees_folder() == tmp_path / "shipped"
    published(mine, "Mine?")
    assert trees_folder() == mine.folder("2026.11.25")
    assert version_folder("2026.11") == mine.folder("2026.11")
    for odd in ("..", "../..", "a/b", "", "2031.01"):
        assert version_folder(odd) is None


@pytest.mark.parametrize("said", ["", "../../etc", "2031.01", "\x00", "a\nb", "x" * 500])
def test_a_damaged_live_is_never_taken_for_older_trees(drafted: Library, said: str) -> None:
    """No call begins with the trees of the program because a file is damaged; it is said."""
    published(drafted, "One?")
    (drafted.root / "live").write_text(said)
    assert not trees_folder().is_dir()
    with pytest.raises(LibraryTrouble, match="live"):
        publish(drafted, wanted(), agreeable)
    (drafted.root / "live").write_bytes(b"\xff")
    assert not trees_folder().is_dir()
