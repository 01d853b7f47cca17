"""Files to edit and places in them, for the property tests."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

from hypothesis import strategies as st

from consult.content.editing.patching import spans_of
from consult.marked.marks import Steps, parse_marked

TREES = Path(__file__).parents[3] / "trees"
SHIPPED = {path.name: path.read_text("utf-8") for path in sorted(TREES.glob("*.yaml"))}
KEPT = {
    path.name: path.read_text("utf-8") for path in sorted(Path(__file__).parent.glob("kept/*.yaml"))
}
"""Trees as they once were: tests that name what stands in them do not hang on today's wording."""

ODD = """\
# A file laid out in ways that the shipped trees are not.\x20\x20
tree: 'odd'
title:   "Odd \\"ways\\" \\u263a"   # spaces, then a comment with a\ttab
version: 2026.10
first: a
questions:

  a:   # the first
      ask: plain text that
        goes on over two lines
      coach: >
          Folded, with its line break kept.
          And a second line 😀.

          A new paragraph.

      called: [one, 'two', "three"]   # in brackets
      answer: choices
      choices: {x: An x, y: 'A y'}
      next:
      - when: x in a
        go: b
      # what else
      - otherwise: end


  # directly above b
  b:
      ask: |
          Line by line,
            indented.
      answer: text
      next:
          end
          # further in, at the end of b

  # stands alone

  c:
      ask: 'עברית: כן'
      coach:
      answer: yes-no
      next: end
cautions:
- # a comment after the dash
  name: one
  say: "quoted
    over two lines"
-
  name: two
  say: ''
- name: three
"""

LAYOUTS: dict[str, Callable[[str], str]] = {
    "as it is": lambda text: text,
    "Windows": lambda text: text.replace("\n", "\r\n"),
    "no final line break": lambda text: text.rstrip("\n"),
    "byte order mark": lambda text: "\ufeff" + text,
}

TRICKY = st.one_of(
    st.text(max_size=60),
    st.text(alphabet=" \n\tab:#-'\"[]{}&*!|>%@`,?=<~\\\r\x85\u2028\ufeff\x07é😀ש", max_size=30),
    st.lists(st.sampled_from(["word", "a", "it:", "#no", "-", "x" * 40, "", "'q'", "3"])).map(
        " ".join
    ),
    st.sampled_from(["yes", "no", "true", "null", "~", "12", "1.50", "- a", "? b", "---", "a: b"]),
    st.integers(1, 400).map(lambda count: " ".join(["ordinary"] * count)),
)
"""Whatever a person can type or paste."""


def files() -> st.SearchStrategy[str]:
    """A shipped file or the odd one, in one of the layouts a file can have."""
    texts = st.sampled_from([*SHIPPED.values(), ODD, ODD, ODD])
    layouts = st.sampled_from([LAYOUTS["as it is"], *LAYOUTS.values()])
    return st.tuples(texts, layouts).map(lambda both: both[1](both[0]))


def read(text: str) -> Any:
    """What the reader of the program makes of a text; it must find nothing wrong."""
    marked, problems = parse_marked(text.removeprefix("\ufeff"), "f.yaml")
    assert marked is not None, problems
    assert problems == []
    return marked.data


def raw(text: str, steps: Steps) -> str | None:
    """A scalar as it reads."""
    marked, _ = parse_marked(text.removeprefix("\ufeff"), "f.yaml")
    assert marked is not None
    return marked.raw(*steps)


def places(text: str, kind: type | tuple[type, ...] = object) -> list[Steps]:
    """The ways to every piece of a kind."""
    spans = spans_of(text)
    return [steps for steps in spans.pieces if steps and isinstance(spans.at(steps), kind)]


def outside(old: str, new: str) -> tuple[int, int]:
    """How many lines the two texts share at their beginning, and how many at their end."""
    before, after = old.splitlines(keepends=True), new.splitlines(keepends=True)
    top = 0
    while top < min(len(before), len(after)) and before[top] == after[top]:
        top += 1
    bottom = 0
    while bottom < min(len(before), len(after)) - top and before[-1 - bottom] == after[-1 - bottom]:
        bottom += 1
    return top, bottom
