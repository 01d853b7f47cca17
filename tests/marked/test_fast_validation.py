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
from consult.marked.fast_validation import surely_follows
from consult.marked.marks import load_marked
from consult.paths import demo_folder, trees_folder
from consult.tree.draft import TREE_SCHEMA
from tests.long import examples

TREE: Any = json.loads(TREE_SCHEMA.read_text("utf-8"))
SCHEMAS = sorted(Path(consult.__file__).parent.rglob("*.schema.json"))
EXAMPLES = sorted((Path(__file__).parents[1] / "tree").rglob("*.yaml"))
_CORE = Path(consult.__file__).parent
FILES = {
    trees_folder() / "aches.yaml": TREE_SCHEMA,
    trees_folder() / "range.yaml": _CORE / "range" / "range.schema.json",
    trees_folder() / "contacts.yaml": _CORE / "tree" / "contacts.schema.json",
    trees_folder() / "callers.yaml": _CORE / "tree" / "shares.schema.json",
    trees_folder() / "settings.yaml": _CORE / "tree" / "settings.schema.json",
    demo_folder() / "01_short_caller_high_desk.yaml": _CORE / "call" / "transcript.schema.json",
}
"""A file of each kind that a start reads -> its schema."""
_VALUES: list[Any] = [
    None,
    True,
    1,
    0,
    -3,
    3,
    2.5,
    "",
    "x",
    "Name!",
    [],
    ["a"],
    {},
    {"a": 1},
    "end",
    "cm",
]


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_examples(path: Path) -> None:
    """What is accepted follows the schema, and of trees all that follow are accepted."""
    marked, _ = load_marked(path)
    if marked is not None:
        assert surely_follows(marked.data, TREE) == Draft202012Validator(TREE).is_valid(marked.data)


@pytest.mark.parametrize("file", FILES, ids=lambda path: path.stem)
def test_shipped(file: Path) -> None:
    """Every kind of file that a start reads is accepted without the full validator."""
    marked, _ = load_marked(file)
    assert marked is not None
    assert surely_follows(marked.data, json.loads(FILES[file].read_text("utf-8")))


@pytest.mark.parametrize("file", FILES, ids=lambda path: path.stem)
@given(data=st.data())
@settings(max_examples=examples(25), deadline=None)
def test_spoilt(file: Path, data: st.DataObject) -> None:
    """A file with one piece put for another is accepted just where the validator allows it."""
    marked, _ = load_marked(file)
    assert marked is not None
    schema = json.loads(FILES[file].read_text("utf-8"))
    whole = json.loads(json.dumps(marked.data))
    piece: Any = whole
    while True:
        keys: list[Any] = list(piece) if isinstance(piece, dict) else list(range(len(piece)))
        key = data.draw(st.sampled_from(keys))
        if not isinstance(piece[key], (dict, list)) or data.draw(st.integers(0, 3)) == 0:
            break
        piece = piece[key]
    if isinstance(piece, dict) and data.draw(st.booleans()):
        del piece[key]
    else:
        piece[key] = data.draw(st.sampled_from(_VALUES))
    assert surely_follows(whole, schema) == Draft202012Validator(schema).is_valid(whole)


@pytest.mark.parametrize("path", SCHEMAS, ids=lambda path: path.name)
def test_never_too_kind(path: Path) -> None:
    """Whatever the schema, nothing is accepted that does not follow it."""
    schema = json.loads(path.read_text("utf-8"))
    for value in _VALUES:
        assert not surely_follows(value, schema) or Draft202012Validator(schema).is_valid(value)


@pytest.mark.parametrize(
    "schema",
    [
        {"const": 1},
        {"const": "1"},
        {"enum": ["yes", True]},
        {"enum": [0, None, "x"]},
        {"exclusiveMinimum": 0},
        {"dependentRequired": {"a": ["b", "c"]}},
        {"dependentRequired": {"a": ["b"], "c": ["d"]}},
        {
            "properties": {"b_x": {"type": "string"}},
            "patternProperties": {"^b_": {"maxLength": 2}, "x$": {"minLength": 2}},
            "additionalProperties": False,
        },
        {"patternProperties": {"_": {"type": "string"}}, "additionalProperties": {"type": "null"}},
    ],
    ids=str,
)
def test_words(schema: dict[str, Any]) -> None:
    """Each word of a schema means to it what it means to the validator."""
    blocks = [{"b_x": each} for each in (None, "", "no", "abc", 3)]
    blocks += [{"a": 1, "b": 2}, {"a": 1, "b": 2, "c": 3}, {"c": 1}, {"a": None}, {"xx": "x"}]
    for value in (*_VALUES, 1.0, False, 0.0, -0.5, "yes", "1", *blocks):
        assert surely_follows(value, schema) == Draft202012Validator(schema).is_valid(value), value


def test_strange_words() -> None:
    """Of a word it does not know, it says nothing."""
    assert not surely_follows("x", {"not": {"type": "number"}})
    assert not surely_follows("x", {"$ref": "elsewhere.json"})
