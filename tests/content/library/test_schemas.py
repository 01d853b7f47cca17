"""What text editors read: every file says its schema in its first line, and the schema is there."""

from __future__ import annotations

import json
import re
from pathlib import Path

from jsonschema import Draft202012Validator

from consult.content.begin import begin_folder
from consult.content.editing.edits_questions import new_tree, with_schema_line
from consult.content.library.library import SCHEMAS
from consult.marked.marks import parse_marked
from consult.paths import shipped_trees
from tests.long import every_case

FILES = sorted(shipped_trees().glob("*.yaml"))
_LINE = re.compile(r"# yaml-language-server: \$schema=(\S+)\n")


def schema_of(path: Path) -> Path:
    found = _LINE.match(path.read_text("utf-8"))
    assert found, path
    return path.parent / found[1]


@every_case(FILES)
def test_a_shipped_file_names_its_schema(path: Path) -> None:
    """It is there, it has a name of its own, and the file follows it."""
    schema = json.loads(schema_of(path).read_text("utf-8"))
    assert schema["$id"].startswith("urn:consult:")
    marked, _ = parse_marked(path.read_text("utf-8"), path.name)
    assert marked is not None
    assert list(Draft202012Validator(schema).iter_errors(marked.data)) == []


def test_a_draft_has_the_schemas_beside_it(tmp_path: Path) -> None:
    """Those of all its files, as they are in the program; the settings find theirs too."""
    said = {"maker": "M", "country": "IE", "currency": "EUR", "greeting": "Hello."}
    begin_folder(tmp_path / "home", said)
    draft = tmp_path / "home" / "library" / "draft"
    for path in (*draft.glob("*.yaml"), tmp_path / "home" / "settings.yaml"):
        there = shipped_trees() / SCHEMAS / schema_of(path).name
        assert schema_of(path).read_bytes() == there.read_bytes()


def test_a_new_tree_says_it_where_the_others_do() -> None:
    """In a folder without schemas an editor would only complain of the line."""
    new = new_tree("shelf", "The shelf", "1", "height", "How high?")
    line = "# yaml-language-server: $schema=.schemas/tree.schema.json\n"
    assert with_schema_line(new, f"{line}tree: a\n") == line + new
    assert with_schema_line(new, "# A tree\ntree: a\n") == new
