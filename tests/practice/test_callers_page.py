"""The page on writing a caller: what it shows can be used, and it leaves nothing out."""

from __future__ import annotations

import re
from pathlib import Path
from typing import get_args

from consult.marked.schema import load_schema
from consult.practice import caller_file
from consult.practice.catalogue import COURSE_SCHEMA
from consult.practice.load import practice_problems
from consult.practice.model import BehaviourKind
from tests.practice.callers import CALLERS

PAGE = (CALLERS / "CALLERS.md").read_text("utf-8")
FILE, TRAIT = re.findall(r"```yaml\n(.*?)```", PAGE, re.S)


def folder(tmp_path: Path) -> Path:
    """A folder of callers like the shipped one."""
    found = tmp_path / "practice"
    found.mkdir()
    for path in (*CALLERS.parent.glob("*.yaml"), *CALLERS.glob("[wt]*s.yaml")):
        where = found if path.parent == CALLERS else tmp_path
        (where / path.name).write_bytes(path.read_bytes())
    return found


def test_the_file_shown_is_a_caller(tmp_path: Path) -> None:
    """Copied from the page it passes the check."""
    path = folder(tmp_path) / "quiet_one.yaml"
    path.write_text(FILE, "utf-8")
    assert practice_problems(path) == []


def test_the_trait_shown_is_one(tmp_path: Path) -> None:
    """Added to the traits it passes the check."""
    path = folder(tmp_path) / "traits.yaml"
    path.write_text(path.read_text("utf-8") + TRAIT, "utf-8")
    assert practice_problems(path) == []


def test_nothing_is_left_out() -> None:
    """Every key of a caller, of a behaviour and of a course, and every kind, is on the page."""
    schema, course = load_schema(caller_file.CALLER_SCHEMA), load_schema(COURSE_SCHEMA)
    keys = {
        *schema["properties"],
        *schema["properties"]["manner"]["properties"],
        *schema["$defs"]["behaviour"]["properties"],
        *course["properties"],
    }
    assert [key for key in sorted(keys) if not re.search(rf"\b{key}\b", PAGE)] == []
    assert [kind for kind in get_args(BehaviourKind) if f"| `{kind}` |" not in PAGE] == []
