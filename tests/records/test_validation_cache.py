"""What one run found valid the next one need not check, and nothing else."""

from __future__ import annotations

from pathlib import Path

import platformdirs
import pytest

from consult.cli import main
from consult.commands import call_files
from consult.marked import fast_validation
from consult.paths import demo_folder
from consult.records.validation_cache import read_validated, write_validated
from consult.tree import check


@pytest.fixture(autouse=True)
def another_run(monkeypatch: pytest.MonkeyPatch) -> dict[str, None]:
    """A program that has just started."""
    known: dict[str, None] = {}
    monkeypatch.setattr(fast_validation, "_validated", known)
    return known


def test_kept_for_the_next_run(another_run: dict[str, None]) -> None:
    """By text and by what it was held against, both."""
    fast_validation.add_validated("text", "schema")
    write_validated()
    another_run.clear()
    assert not fast_validation.is_validated("text", "schema")
    read_validated()
    assert fast_validation.is_validated("text", "schema")
    assert not fast_validation.is_validated("text", "other schema")
    assert not fast_validation.is_validated("other text", "schema")


@pytest.mark.parametrize("content", [b"", b"\xff\xfe", b"nothing of the kind\n", b"ab" * 10])
def test_a_file_of_something_else(content: bytes, another_run: dict[str, None]) -> None:
    """Nothing is taken from it, and it is written anew."""
    file = Path(platformdirs.user_cache_dir("consult")) / "validated"
    file.parent.mkdir(parents=True, exist_ok=True)
    file.write_bytes(content)
    read_validated()
    assert not another_run


def test_replay_checks_a_sound_tree_once(
    monkeypatch: pytest.MonkeyPatch,
    another_run: dict[str, None],
    capsys: pytest.CaptureFixture[str],
) -> None:
    """The second replay finds the tree known to be sound, and prints the same."""
    checked: list[Path] = []
    whole = check.all_problems

    def counted(draft: object, path: Path, features: object) -> object:
        checked.append(path)
        return whole(draft, path, features)  # type: ignore[arg-type]

    monkeypatch.setattr(check, "all_problems", counted)
    demo = str(sorted(demo_folder().glob("*.yaml"))[0])
    said = []
    for _ in range(2):
        call_files._basis_in.cache_clear()
        another_run.clear()
        assert main(["replay", demo]) == 0
        said.append(capsys.readouterr())
    assert len(checked) == 1
    assert said[0] == said[1]
