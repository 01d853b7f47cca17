"""Slips of YAML are called what they are, whatever the parser makes of them."""

from __future__ import annotations

import pytest

from consult.marked.marks import load_marked, parse_marked


@pytest.mark.parametrize(
    ("text", "rule", "place", "words"),
    [
        ("a:\n\u00a0 b: c\n  d: e\n", "odd-space", (2, 1), "'no-break space'"),
        ("a:\u00a0b\nc: d\n", "odd-space", (1, 3), "'no-break space'"),
        ("a: \u00a0b\n", "odd-space", (1, 4), "type a space if you want one"),
        ("\u200ba: b\n", "odd-space", (1, 1), "'zero width space'"),
        ("a:\n  -b: c\n", "dash", (2, 3), "Write - and a space"),
        ("a:\n  -b\n  -c\n", "dash", (2, 3), "needs a space after it"),
        ("a:b\nc: d\n", "no-space", (1, 2), "needs a space behind it"),
        ("a\uff1a b\nc: d\n", "odd-colon", (1, 2), "Type it again"),
        ("a: \u201cb: c\u201d\n", "curly-quote", (1, 4), "plain quotes"),
        ("%a\nb: c\n", "odd-start", (1, 1), "A text cannot start with '%'"),
        ("a: {b} c\n", "odd-start", (1, 4), "A text cannot start with '{'"),
        ("a: two words and more # three\n", "remark", (1, 23), "before the '#'"),
        ("a: size #5\n", "remark", (1, 9), "Put the text in quotes"),
    ],
)
def test_trap(text: str, rule: str, place: tuple[int, int], words: str) -> None:
    """The slip is told in its place, alone, and with what would be right."""
    _, problems = parse_marked(text, "f.yaml")
    (problem,) = problems
    assert (problem.rule, problem.where.line, problem.where.column) == (rule, *place)
    assert words in str(problem)


@pytest.mark.parametrize(
    "text",
    [
        "a: -5\n",
        "a: -b\n",
        "a: >-\n  -b and so on\n  size #5\n",
        "a: two  # a remark\n",
        "a: 32 to 52  # in cm\n",
        "a: 'size #5'\n",
        "a: http://b\n",
        "a: “b” and more\n",
        "a: caf\u00e9\u00a0noir\n",
        "a: b\r\nc: d\r\n",
        "a: it's so\n",
    ],
)
def test_no_trap(text: str) -> None:
    """What reads as it looks is left alone."""
    assert parse_marked(text, "f.yaml")[1] == []


@pytest.mark.parametrize(
    ("content", "words"),
    [
        ("a: caf\u00e9\n".encode("cp1252"), "This 'é' is not written in UTF-8"),
        ("a: b\n".encode("utf-16"), "written in UTF-16"),
        (b"a: \x81\n", "the first character that is not"),
    ],
)
def test_other_codes(tmp_path_factory: pytest.TempPathFactory, content: bytes, words: str) -> None:
    """A file of an old Windows program, or in UTF-16, is known for what it is."""
    path = tmp_path_factory.mktemp("codes") / "f.yaml"
    path.write_bytes(content)
    _, (problem,) = load_marked(path)
    assert problem.rule == "not-utf8"
    assert words in problem.message
