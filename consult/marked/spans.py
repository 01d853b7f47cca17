"""Where every piece of a YAML text begins and ends, for code that changes one piece of it.

``marks`` says where a thing is, so that a person finds it; here are the characters it takes up, so
that the rest of the text can be left as it is.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, Literal

import yaml

from consult.marked.marks import BREAK, LOADER, Steps, parse_marked
from consult.marked.plain import plain_value, value_at
from consult.problems import Problem, Where

_HEADER = re.compile(r"[>|][-+0-9]*")


@dataclass(frozen=True, slots=True)
class Piece:
    """One value of the text, with its name or its dash; all numbers are offsets into the text."""

    kind: Literal["scalar", "list", "block"]
    start: int
    """Its first character; for an empty value, the place after the ':' or the dash."""
    end: int
    """After its last character; of a block text or a block, after its last line's text."""
    style: str
    """Of a scalar '', "'", '"', '>' or '|'; of a list or block '{' in brackets, else ''."""
    head: int
    """Where its name or dash begins; inside brackets and at the top, the same as ``start``."""
    head_end: int
    """After the ':' or dash before it."""
    key_end: int
    """After the name itself; the same as ``head`` where there is none."""
    text: str = ""
    """Of a scalar, as it reads."""


@dataclass(frozen=True, slots=True)
class Spans:
    """A text that was read, and where its pieces are."""

    text: str
    data: Any
    pieces: Mapping[Steps, Piece]
    starts: tuple[int, ...]
    """Offset of the beginning of every line."""

    def inside(self, steps: Steps) -> list[Steps]:
        """The ways to the pieces directly inside one, in the order they stand."""
        value = self.at(steps)
        names = range(len(value)) if isinstance(value, list) else value
        return [(*steps, name) for name in names] if isinstance(value, (list, dict)) else []

    def at(self, steps: Steps) -> Any:
        """The value there; None where there is none."""
        return value_at(self.data, steps)

    def line_of(self, offset: int) -> int:
        """The line, counted from 0, that a character stands on."""
        return bisect_right(self.starts, offset) - 1

    def start_of(self, line: int) -> int:
        """Offset of the first character of a line."""
        return self.starts[line]

    def end_of(self, line: int) -> int:
        """Offset after the last character of a line, its break not counted."""
        if line + 1 == len(self.starts):
            return len(self.text)
        after = self.starts[line + 1]
        return after - (2 if self.text[after - 2 : after] == "\r\n" else 1)

    def line(self, line: int) -> str:
        """What stands on a line."""
        return self.text[self.start_of(line) : self.end_of(line)]

    def column(self, offset: int) -> int:
        """Columns before a character."""
        return offset - self.start_of(self.line_of(offset))


class BrokenTextError(Exception):
    """The text has to be mended before pieces of it can be told apart."""

    def __init__(self, problem: Problem) -> None:
        super().__init__(str(problem))
        self.problem = problem


@lru_cache(maxsize=16)
def read_spans(text: str) -> Spans:
    """Read a text without its byte order mark; raise UnreadableError for one that is not whole."""
    starts = (0, *(match.end() for match in BREAK.finditer(text)))
    try:
        reader = _Reader(text, starts)
        # An anchor, a tag or a second document is refused; so an alias has nothing to name.
        top = yaml.compose(text, Loader=LOADER)
        start = top.start_mark.index if top else 0
        data = reader.value(top, (), start, start, start) if top else None
    except (yaml.YAMLError, _OddError, RecursionError):
        raise BrokenTextError(_problem(text)) from None
    return Spans(text, data, reader.pieces, starts)


def _problem(text: str) -> Problem:
    """What ``marks`` has to say about it, which knows the words."""
    _, problems = parse_marked(text, "")
    message = "The layout of this file cannot be edited piece by piece."
    return problems[0] if problems else Problem(Where("", 1, 1), message, "", "layout")


class _OddError(Exception):
    """Something that ``marks`` refuses too, or that nobody writes."""


class _Reader:
    def __init__(self, text: str, starts: tuple[int, ...]) -> None:
        self.text = text
        self.lines = Spans(text, None, {}, starts)
        self.pieces: dict[Steps, Piece] = {}

    def value(self, node: Any, steps: Steps, head: int, key_end: int, head_end: int) -> Any:
        start = self._start_of(node)
        if isinstance(node, yaml.ScalarNode):
            style = node.style or ""
            end = self._end_of_scalar(start, node.end_mark.index, style)
            if start == end:
                start = end = head_end
            self.pieces[steps] = Piece(
                "scalar", start, end, style, head, head_end, key_end, node.value
            )
            return node.value if style else plain_value(node.value)
        is_list, flow = isinstance(node, yaml.SequenceNode), bool(node.flow_style)
        kind: Literal["list", "block"] = "list" if is_list else "block"
        data = (self._list if is_list else self._block)(node, steps)
        if flow:
            end = node.end_mark.index
        else:
            last = len(data) - 1 if is_list else next(reversed(data))
            end = self.pieces[*steps, last].end
        self.pieces[steps] = Piece(kind, start, end, "{" if flow else "", head, head_end, key_end)
        return data

    def _start_of(self, node: yaml.Node) -> int:
        """Where a piece begins, which is with the sign of a reference or type where it has one."""
        start: int = node.start_mark.index
        if self.text.startswith(("&", "!"), start):
            raise _OddError
        return start

    def _list(self, node: yaml.SequenceNode, steps: Steps) -> list[Any]:
        items: list[Any] = []
        column = self.lines.column(node.start_mark.index)
        for item in node.value:
            head = head_end = item.start_mark.index
            if not node.flow_style:
                head = self._dash(head, column)
                head_end = head + 1
            items.append(self.value(item, (*steps, len(items)), head, head, head_end))
        return items

    def _dash(self, offset: int, column: int) -> int:
        """Where the dash of a list item stands, on its line or above it."""
        for line in range(self.lines.line_of(offset), -1, -1):
            place = self.lines.start_of(line) + column
            text = self.lines.line(line)
            comment = text.lstrip().startswith("#")
            if place <= offset and text[column : column + 1] == "-" and not comment:
                return place
        raise _OddError

    def _block(self, node: yaml.MappingNode, steps: Steps) -> dict[str, Any]:
        block: dict[str, Any] = {}
        for key, value in node.value:
            head, key_end = self._start_of(key), key.end_mark.index
            colon = self.text.find(":", key_end)
            is_name = isinstance(key, yaml.ScalarNode) and key.value not in block
            if not is_name or colon < 0 or self.text[key_end:colon].strip():
                raise _OddError
            inside = (*steps, key.value)
            block[key.value] = self.value(value, inside, head, key_end, colon + 1)
        return block

    def _end_of_scalar(self, start: int, end: int, style: str) -> int:
        """The parser takes the empty lines after a block text for part of it."""
        if style not in ("|", ">"):
            return end
        header = _HEADER.match(self.text, start)
        assert header is not None, "a block text begins with | or >"
        keeps = "+" in header.group()
        first = self.lines.line_of(start)
        line = self.lines.line_of(end)
        if line > first and end == self.lines.start_of(line):
            line -= 1
        while line > first and not keeps and not self.lines.line(line).strip(" \t"):
            line -= 1
        return self.lines.end_of(line)
