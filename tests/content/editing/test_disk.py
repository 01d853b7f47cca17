"""A question or caution renamed in the trees has its new name in the demo calls too."""

from __future__ import annotations

from pathlib import Path

import pytest

from consult.content.editing.disk import Renamed
from consult.content.editing.edits_rename import rename_part, trees_with
from consult.content.editing.folder import DraftFolder
from consult.content.editing.patching import Refused
from tests.content.editing.pieces import KEPT, SHIPPED, read

CALL = """\
# A short call.
transcript: Short
tree: main
today: 2026-12-02
answers:
  - light: lamp   # as said
  - glare: {said: yes, note: light}
handled:
  - {caution: low, after: 1}
expect:
  cautions: [low, high]
  not_asked: [light, other]
"""
TREES = frozenset({"main"})


def kept(folder: Path, renamed: Renamed) -> DraftFolder:
    """A folder with a tree and its call, in which something was renamed, not saved yet."""
    (folder / "trees").mkdir()
    (folder / "calls").mkdir()
    (folder / "trees" / "main.yaml").write_text("tree: main\n", "utf-8")
    (folder / "calls" / "short.yaml").write_text(CALL, "utf-8")
    (folder / "calls" / "other.yaml").write_text(CALL.replace("main", "rest"), "utf-8")
    draft = DraftFolder.open(folder / "trees", "Ann", folder / "calls")
    draft.edit({"main.yaml": "tree: main\nfirst: a\n"}, "renaming", renamed=renamed)
    return draft


def call(folder: Path, name: str = "short") -> str:
    return (folder / "calls" / f"{name}.yaml").read_text("utf-8")


def test_a_question_is_renamed_in_calls_once_it_is_saved(tmp_path: Path) -> None:
    """As a key and in lists, other trees' calls stay; undo brings it back."""
    draft = kept(tmp_path, Renamed("question", "light", "lamp_side", TREES))
    assert call(tmp_path) == CALL
    assert draft.save().calls == ("short.yaml",)
    wanted = CALL.replace("- light:", "- lamp_side:").replace("[light,", "[lamp_side,")
    assert call(tmp_path) == wanted
    assert call(tmp_path, "other") == CALL.replace("main", "rest")
    draft.undo()
    assert draft.save().calls == ("short.yaml",)
    assert call(tmp_path) == CALL
    draft.edit({"main.yaml": "tree: main\nversion: 2\n"}, "another thing")
    assert draft.save().calls == ()


def test_a_caution_is_renamed_in_calls(tmp_path: Path) -> None:
    """In what was said and in what must come out; a question of the same name stays."""
    kept(tmp_path, Renamed("caution", "low", "too_low", TREES)).save()
    assert call(tmp_path) == CALL.replace("caution: low", "caution: too_low").replace(
        "[low,", "[too_low,"
    )


def test_a_call_that_cannot_be_read_is_left(tmp_path: Path) -> None:
    """The check tells of it; the trees are saved all the same."""
    draft = kept(tmp_path, Renamed("question", "light", "lamp_side", TREES))
    (tmp_path / "calls" / "short.yaml").write_text("answers: [", "utf-8")
    assert draft.save().calls == ()
    assert call(tmp_path) == "answers: ["


def test_trees_with_a_question() -> None:
    """Those whose calls ask it, in whatever file it stands."""
    assert "seating" in trees_with(KEPT, "work.yaml", "tasks")
    assert trees_with(KEPT, "follow_up.yaml") == {"follow_up"}


def test_promises_follow_a_renamed_caution() -> None:
    """The name, and every promise that speaks of it in the trees around; nothing else."""
    home, old = "aches.yaml", "general_chair_advice"
    assert f"then: caution.{old}" in SHIPPED[home]
    new = rename_part(SHIPPED, home, "cautions", old, "any_chair")
    assert "any_chair" in [one["name"] for one in read(new[home])["cautions"]]
    assert "then: caution.any_chair" in new[home]
    assert not any(f"caution.{old}" in text for text in new.values())
    assert rename_part(new, home, "cautions", "any_chair", old) == SHIPPED


def test_what_must_not_be_said_with_advice_follows_it() -> None:
    """The lists of other advice name it as it is called now."""
    text = "tree: a\nadvice:\n  - name: up\n    contradicts: down\n  - name: down\n    say: Down.\n"
    new = rename_part({"a.yaml": text}, "a.yaml", "advice", "down", "lower")["a.yaml"]
    assert new == text.replace("contradicts: down", "contradicts: lower").replace(
        "name: down", "name: lower"
    )


def test_a_name_that_is_taken_is_refused() -> None:
    """Two cautions of one name could not be told apart."""
    first, second = (one["name"] for one in read(SHIPPED["aches.yaml"])["cautions"][:2])
    with pytest.raises(Refused, match="already has"):
        rename_part(SHIPPED, "aches.yaml", "cautions", first, second)
