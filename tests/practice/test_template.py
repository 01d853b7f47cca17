"""The file to begin with."""

from __future__ import annotations

from pathlib import Path

from consult.practice.caller_file import caller_template
from consult.practice.load import practice_problems
from tests.practice.callers import CALLERS


def test_the_template_can_be_played_as_it_stands(tmp_path: Path) -> None:
    """It follows every rule that it explains."""
    folder = tmp_path / "practice"
    folder.mkdir()
    for path in (*CALLERS.parent.glob("*.yaml"), *CALLERS.glob("[wt]*s.yaml")):
        where = folder if path.parent == CALLERS else tmp_path
        (where / path.name).write_bytes(path.read_bytes())
    path = folder / "new_one.yaml"
    path.write_text(caller_template("new_one"), "utf-8")
    assert practice_problems(path) == []
