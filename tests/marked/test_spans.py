"""Where the pieces of a YAML text begin and end."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from consult.marked.marks import parse_marked
from consult.marked.spans import BrokenTextError, read_spans

TEXT = """\
# 😀 first
a: one   # remark
b: >-
  two
  lines

  # within

# below
list:
- x
-
- # behind the dash
  y: "q"\x20
flow: [1, {z: 'w'}]
none:
"""


@pytest.mark.parametrize("ends", ["\n", "\r\n", "\r"])
def test_pieces_are_cut_exactly(ends: str) -> None:
    """Every value is cut without its remark, its empty lines and its line end."""
    text = TEXT.replace("\n", ends)
    spans = read_spans(text)
    cut = {steps: text[piece.start : piece.end] for steps, piece in spans.pieces.items()}
    assert cut["a",] == "one"
    assert cut["b",] == ends.join((">-", "  two", "  lines", "", "  # within"))
    assert cut["list", 0] == "x"
    assert cut["list", 1] == ""
    assert cut["list", 2, "y"] == '"q"'
    assert cut["flow",] == "[1, {z: 'w'}]"
    assert cut["flow", 1, "z"] == "'w'"
    assert cut["none",] == ""
    heads = {steps: text[piece.head : piece.head_end] for steps, piece in spans.pieces.items()}
    assert heads["b",] == "b:"
    assert heads["list", 1] == heads["list", 2] == "-"
    assert heads["none",] == "none:"


def test_the_data_is_that_of_marks() -> None:
    """Both readers of a file say the same of it."""
    marked, _ = parse_marked(TEXT, "f.yaml")
    assert marked is not None
    assert read_spans(TEXT).data == marked.data


@given(st.text(alphabet="ab:-> |\n#'\"[]{},&*!?%0\t\r\u2028é", max_size=40))
def test_any_text_is_read_or_refused(text: str) -> None:
    """No text raises anything else, and what both readers take they take alike."""
    marked, _ = parse_marked(text, "f.yaml")
    try:
        spans = read_spans(text)
    except BrokenTextError:
        return
    if marked is not None:
        assert repr(spans.data) == repr(marked.data)
    for piece in spans.pieces.values():
        assert 0 <= piece.head <= piece.head_end <= piece.start <= piece.end <= len(text)


@pytest.mark.parametrize(
    "text", ["a: &b c\n", "a: *b\n", "a: !b c\n", "a: 1\n---\nb: 1\n", "a: [\n"]
)
def test_what_marks_refuses_is_refused(text: str) -> None:
    """References, types, second documents and broken text have the words of the other reader."""
    with pytest.raises(BrokenTextError) as caught:
        read_spans(text)
    assert caught.value.problem == parse_marked(text, "")[1][0]
