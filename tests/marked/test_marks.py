"""Reading files: places, our own scalars, and bad files as problems."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from consult.marked.marks import MAX_BYTES, load_marked, parse_marked
from consult.marked.schema import schema_problems
from consult.tree.check import check_tree
from consult.tree.placeholders import blanks, fill
from tests.long import every_case, examples

GOOD = Path(__file__).parents[1] / "tree" / "good" / "whole.yaml"


def test_places() -> None:
    """Names, values and list items know their line and column, counted from 1."""
    marked, problems = parse_marked("a: 1\nb:\n  - c: 'x y'\n  - 2\n", "f.yaml")
    assert problems == []
    assert marked is not None
    assert str(marked.key("b")) == "f.yaml:2:1"
    assert str(marked.value("b", 0, "c")) == "f.yaml:3:8"
    assert str(marked.value("b", 1)) == "f.yaml:4:5"
    assert str(marked.inside(("b", 0, "c"), 2)) == "f.yaml:3:11"
    assert str(marked.value("b", 7, "nothing")) == "f.yaml:3:3"


@every_case(
    [
        ("no", "no"),
        ("on", "on"),
        ("Yes", "Yes"),
        ("true", True),
        ("2026.10", 2026.1),
        ("12", 12),
        ("-3.5", -3.5),
        ("012345", "012345"),
        ("1:30", "1:30"),
        ("2026-11-01", "2026-11-01"),
        ("0x1F", "0x1F"),
        ("1e999", "1e999"),
        (".inf", ".inf"),
        ("'12'", "12"),
        ("~", None),
        ("9" * 5000, "9" * 5000),
    ]
)
def test_scalars(text: str, value: object) -> None:
    """Only true and false are truth values; the text as written is kept."""
    marked, problems = parse_marked(f"a: {text}\n", "f.yaml")
    assert problems == []
    assert marked is not None
    assert marked.data == {"a": value}
    assert type(marked.data["a"]) is type(value)
    assert marked.raw("a") == text.strip("'")


def test_many_references_are_refused() -> None:
    """The file that doubles itself on every line is refused at once."""
    lines = ["a0: &a0 [x, x]"]
    lines += [f"a{n}: &a{n} [*a{n - 1}, *a{n - 1}]" for n in range(1, 60)]
    marked, problems = parse_marked("\n".join(lines), "f.yaml")
    assert marked is None
    assert {problem.rule for problem in problems} == {"no-references"}


@pytest.mark.parametrize("text", ["[" * 100_000, "- " * 50_000 + "x", "{a: " * 50_000, "? " * 9999])
def test_deep_nesting(text: str) -> None:
    """Deep nesting is a problem in words, not a crash."""
    marked, problems = parse_marked(text, "f.yaml")
    assert marked is None
    assert problems


def test_files_that_cannot_be_read(tmp_path: Path) -> None:
    """Missing, a folder, not UTF-8, too large: each is said."""
    latin = tmp_path / "latin.yaml"
    latin.write_bytes(b"a: 1\nb: caf\xe9\n")
    large = tmp_path / "large.yaml"
    large.write_bytes(b"#" * (MAX_BYTES + 1))
    told = {}
    for path in (tmp_path / "none.yaml", tmp_path, latin, large, Path("a\0b")):
        marked, (problem,) = load_marked(path)
        assert marked is None
        told[path.name] = (problem.rule, problem.where.line, problem.where.column)
    assert told["none.yaml"] == ("missing-file", 1, 1)
    assert told[tmp_path.name] == ("not-a-file", 1, 1)
    assert told["latin.yaml"] == ("not-utf8", 2, 7)
    assert told["large.yaml"] == ("large-file", 1, 1)


def test_schema_of_another_file() -> None:
    """Any schema is put in words: bounds, types, and the shape that was meant."""
    schema = {
        "type": "object",
        "additionalProperties": False,
        "properties": {
            "width": {"type": "number", "minimum": 10},
            "parts": {
                "type": "array",
                "items": {
                    "oneOf": [
                        {"properties": {"seat": {"type": "string"}}, "required": ["seat"]},
                        {"properties": {"back": {"type": "string"}}, "required": ["back"]},
                    ]
                },
            },
            "either": {"anyOf": [{"type": "string"}, {"type": "array"}]},
        },
    }
    text = "width: 3\nparts:\n  - back: 7\neither: {a: 1}\nwidht: 4\n"
    marked, _ = parse_marked(text, "f.yaml")
    assert marked is not None
    told = {str(problem) for problem in schema_problems(marked, schema)}
    assert told == {
        "f.yaml:1:8: error: 3 is out of bounds in 'width'. It is at least 10.",
        "f.yaml:3:11: error: This is a number in 'back', not text. "
        "Put it in quotes if it is meant as text.",
        "f.yaml:4:9: error: This is a block of names and values in 'either', not text or a list. "
        "Put a dash before the first name of each thing in the list.",
        "f.yaml:5:1: error: 'widht' is not a known name here. Delete it.",
    }


@given(st.binary(max_size=200) | st.text(max_size=200).map(lambda text: text.encode("utf-8")))
@settings(
    max_examples=examples(150),
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
def test_any_bytes(tmp_path: Path, content: bytes) -> None:
    """Any file at all gives problems in words, never an exception."""
    path = tmp_path / "any.yaml"
    path.write_bytes(content)
    assert check_tree(path)


@given(st.data())
@settings(
    max_examples=examples(120),
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
def test_damaged_tree(tmp_path: Path, data: st.DataObject) -> None:
    """A good tree with one line replaced, moved or cut is checked without an exception."""
    lines = GOOD.read_text(encoding="utf-8").splitlines()
    at = data.draw(st.integers(0, len(lines) - 1))
    cut = data.draw(st.integers(0, len(lines[at])))
    put = data.draw(
        st.sampled_from(["", "7", "[]", "{}", "~", "true", "- a", "x: y", "end", "<a b>", "\t"])
        | st.text(max_size=8)
    )
    lines[at] = lines[at][:cut] + put + data.draw(st.sampled_from(["", lines[at][cut:]]))
    path = tmp_path / "whole.yaml"
    path.write_text("\n".join(lines), encoding="utf-8")
    (tmp_path / "desk.yaml").write_bytes(GOOD.with_name("desk.yaml").read_bytes())
    for problem in check_tree(path):
        assert problem.where.line >= 1
        assert problem.message


def test_large_tree(tmp_path: Path) -> None:
    """A tree of thousands of questions in one line is walked without running out of stack."""
    names = [f"q{number}" for number in range(3000)]
    following = [*names[1:], "end"]
    lines = ["tree: large", "title: A title", "version: 1", "first: q0", "questions:"]
    lines += [
        f"  {name}: {{ask: Well?, answer: yes-no, read_by: people, next: {go}}}"
        for name, go in zip(names, following, strict=True)
    ]
    path = tmp_path / "large.yaml"
    path.write_text("\n".join(lines))
    assert check_tree(path) == []


def test_fill() -> None:
    """Blanks are filled in once, literally; unknown ones say so; the rest stays."""
    values = {"a": "<b> \\1 [red]", "fit.seat_height": "44 cm"}
    assert fill("<a>, <b>, <fit.seat_height>, 1 < 2 > 0", values.get) == (
        "<b> \\1 [red], not known yet, 44 cm, 1 < 2 > 0"
    )
    assert list(blanks("a <b c> 1 < 2 > <d>")) == [("b c", 2), ("d", 16)]
