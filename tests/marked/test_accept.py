"""The quick look at a file agrees with the full validator."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

import consult
from consult.marked.accept import surely_follows
from consult.marked.marks import load_marked
from consult.paths import trees_folder
from consult.tree.draft import SCHEMA
from tests.long import examples

TREE: Any = json.loads(SCHEMA.read_text("utf-8"))
SCHEMAS = sorted(Path(consult.__file__).parent.rglob("*.schema.json"))
EXAMPLES = sorted((Path(__file__).parents[1] / "tree").rglob("*.yaml"))
_VALUES: list[Any] = [None, True, 3, 2.5, "", "x", "Name!", [], ["a"], {}, {"a": 1}, "end", "cm"]


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_examples(path: Path) -> None:
    """What is accepted follows the schema, and of trees all that follow are accepted."""
    marked, _ = load_marked(path)
    if marked is not None:
        assert surely_follows(marked.data, TREE) == Draft202012Validator(TREE).is_valid(marked.data)


@given(st.data())
@settings(max_examples=examples(80), deadline=None)
def test_spoilt(data: st.DataObject) -> None:
    """A tree with one piece put for another is accepted just where the validator allows it."""
    marked, _ = load_marked(trees_folder() / "aches.yaml")
    assert marked is not None
    tree = json.loads(json.dumps(marked.data))
    piece: Any = tree
    while True:
        keys: list[Any] = list(piece) if isinstance(piece, dict) else list(range(len(piece)))
        key = data.draw(st.sampled_from(keys))
        if not isinstance(piece[key], (dict, list)) or data.draw(st.integers(0, 3)) == 0:
            break
        piece = piece[key]
    piece[key] = data.draw(st.sampled_from(_VALUES))
    assert surely_follows(tree, TREE) == Draft202012Validator(TREE).is_valid(tree)


@pytest.mark.parametrize("path", SCHEMAS, ids=lambda path: path.name)
def test_never_too_kind(path: Path) -> None:
    """Whatever the schema, nothing is accepted that does not follow it."""
    schema = json.loads(path.read_text("utf-8"))
    for value in _VALUES:
        assert not surely_follows(value, schema) or Draft202012Validator(schema).is_valid(value)


def test_strange_words() -> None:
    """Of a word it does not know, it says nothing."""
    assert not surely_follows("x", {"not": {"type": "number"}})
    assert not surely_follows("x", {"$ref": "elsewhere.json"})
