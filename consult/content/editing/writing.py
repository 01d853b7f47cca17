"""Values as YAML in the layout of the trees: quotes where needed, long texts folded.

Whatever a person can type comes back from the reader as it was given. Anything the plain, folded
and ``|`` forms could not carry exactly goes in double quotes, where all of it can be written.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from consult.content.editing.patching import Patch, Refused, newline
from consult.marked.marks import Steps
from consult.marked.plain import plain_value
from consult.marked.spans import Piece, Spans
from consult.marked.yaml_pitfalls import odd_space
from consult.problems import Where

WIDTH = 96
INDENT = 2

# Letters and signs that stand for themselves; tabs, control characters and the line ends that
# only YAML knows are written as escapes.
_ODD = re.compile(
    "[^\x20-\x7e\xa0-\u2027\u202a-\ud7ff\ue000-\ufefe\uff00-\ufffd\U00010000-\U0010ffff]"
)
_ODD_BUT_BREAKS = re.compile(_ODD.pattern.replace("[^", "[^\n", 1))
_TO_ESCAPE = re.compile(_ODD.pattern + r'|[\\"]')
_SURROGATE = re.compile("[\ud800-\udfff]")
_STARTS = "-?:,[]{}#&*!|>'\"%@` ="
_ANYWHERE = Where("", 1, 1)
_MAX_KEY = 1000
"""A name longer than this is no name to the YAML parser."""

_ESCAPES = {"\\": "\\\\", '"': '\\"', "\n": "\\n", "\t": "\\t", "\r": "\\r"}


def refuse_unwritable(text: str) -> None:
    """Half of a character (a torn emoji) cannot be kept in a file."""
    if _SURROGATE.search(text):
        raise Refused("The text contains half a character that cannot be saved. Type it again.")


def stands_plain(text: str, *, brackets: bool = False) -> bool:
    """Whether the text can stand without quotes and is read back as this text."""
    if not text or text != text.strip() or _ODD.search(text) or text[0] in _STARTS:
        return False
    if not text.isascii() and odd_space(text, _ANYWHERE):
        return False
    if ": " in text or " #" in text or text.endswith(":") or text.startswith(("---", "...", "<<")):
        return False
    if brackets and re.search(r"[,\[\]{}:?]", text):
        return False
    return isinstance(plain_value(text), str)


def double_quoted(text: str) -> str:
    """The text in double quotes, on one line."""

    def escaped(match: re.Match[str]) -> str:
        character = match.group()
        if character in _ESCAPES:
            return _ESCAPES[character]
        code = ord(character)
        return f"\\x{code:02x}" if code < 256 else f"\\u{code:04x}"

    return '"' + _TO_ESCAPE.sub(escaped, text) + '"'


def single_quoted(text: str) -> str | None:
    """The text in single quotes, on one line; None where it holds what needs an escape."""
    return None if _ODD.search(text) else "'" + text.replace("'", "''") + "'"


def yaml_quoted(text: str) -> str:
    """The text in the quotes that read best."""
    single = single_quoted(text) if '"' in text or "\\" in text else None
    return single or double_quoted(text)


def inline(value: object, *, brackets: bool = False) -> str:
    """A value on one line: as it is where it can be, else in quotes; lists in brackets."""
    if value is None:
        return "null"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, (int, float)):
        return repr(value)
    if isinstance(value, Mapping):
        parts = [
            f"{key_text(str(key))}: {inline(item, brackets=True)}" for key, item in value.items()
        ]
        return "{" + ", ".join(parts) + "}"
    if isinstance(value, Sequence) and not isinstance(value, str):
        return f"[{', '.join(inline(item, brackets=True) for item in value)}]"
    text = str(value)
    refuse_unwritable(text)
    return text if stands_plain(text, brackets=brackets) else yaml_quoted(text)


def key_text(name: str) -> str:
    """A name before its ':'."""
    refuse_unwritable(name)
    if odd_space(name, _ANYWHERE) or name.startswith("-"):
        raise Refused("A name cannot have invisible spaces, or start with a dash.")
    plain = stands_plain(name, brackets=True) or re.fullmatch(r"[0-9A-Za-z_]+", name)
    written = name if plain else double_quoted(name)
    if len(written) > _MAX_KEY:
        raise Refused("This name is too long. Use at most 60 letters.")
    return written


def can_fold(text: str) -> bool:
    """Whether the text is the same after ``>-`` and line breaks at its spaces."""
    lines = text.split("\n")
    return (
        bool(lines[0] and lines[-1])
        and not _ODD_BUT_BREAKS.search(text)
        and all(line == line.strip() for line in lines)
    )


def can_stand_in_lines(text: str) -> bool:
    """Whether the text is the same after ``|-``, line by line."""
    lines = text.split("\n")
    return (
        bool(lines[0] and lines[-1])
        and not _ODD_BUT_BREAKS.search(text)
        and not lines[0][0].isspace()
        and all(line == line.rstrip() for line in lines)
    )


def folded(text: str, width: int) -> list[str]:
    """The lines of a text that ``can_fold``; an empty line is a line break of the text."""
    lines: list[str] = []
    for part in text.split("\n"):
        if lines:
            lines.append("")
        lines += _wrapped(part, width) if part else []
    return lines


def _wrapped(text: str, width: int) -> list[str]:
    """Broken at single spaces only: two spaces side by side would not come back."""
    lines: list[str] = []
    line = ""
    for word in re.split(r"(?<=[^ ]) (?=[^ ])", text):
        if line and len(line) + 1 + len(word) > width:
            lines.append(line)
            line = word
        else:
            line = f"{line} {word}" if line else word
    return [*lines, line]


def refolded(old: Sequence[str], text: str, width: int) -> list[str]:
    """The lines of a changed text, those that did not change broken where they were."""
    if "\n" in text or "" in old:
        return folded(text, width)
    above: list[str] = []
    rest = text
    for line in old:
        if not rest.startswith(f"{line} "):
            break
        above.append(line)
        rest = rest[len(line) + 1 :]
    below: list[str] = []
    for line in reversed(old[len(above) :]):
        if rest == line:
            return [*above, line, *below]
        if not rest.endswith(f" {line}"):
            break
        below.insert(0, line)
        rest = rest[: -len(line) - 1]
    if rest != rest.strip() or any(line != line.strip() for line in (*above, *below)):
        return folded(text, width)
    return [*above, *(_wrapped(rest, width) if rest else []), *below]


def value_lines(value: object, indent: int, used: int, *, step: int = INDENT) -> list[str]:
    """A value that follows a name or dash.

    The first line goes after it, with ``used`` columns taken already; the others carry their
    indentation. ``indent`` is that of what stands inside the value.
    """
    if isinstance(value, Mapping) and value:
        return ["", *block_lines(value, indent, step=step)]
    if isinstance(value, Sequence) and not isinstance(value, str) and value:
        short = inline(value)
        simple = not any(isinstance(item, (Mapping, list, tuple)) for item in value)
        if simple and used + 1 + len(short) <= WIDTH:
            return [f" {short}"]
        lines = [""]
        for item in value:
            lines += item_lines(item, indent, step=step)
        return lines
    text = inline(value)
    if not isinstance(value, str) or (used + 1 + len(text) <= WIDTH and "\n" not in value):
        return [f" {text}"]
    pad = " " * indent
    if "\n" in value and can_stand_in_lines(value):
        return [" |-", *(f"{pad}{line}" if line else "" for line in value.split("\n"))]
    if "\n" not in value and can_fold(value):
        return [" >-", *(f"{pad}{line}" for line in folded(value, WIDTH - indent))]
    return [f" {text}"]


def entry_lines(name: str, value: object, indent: int, *, step: int = INDENT) -> list[str]:
    """``name: value``, indented."""
    first = f"{' ' * indent}{key_text(name)}:"
    rest = value_lines(value, indent + step, len(first), step=step)
    return [first + rest[0], *rest[1:]]


def block_lines(block: Mapping[str, object], indent: int, *, step: int = INDENT) -> list[str]:
    """A line or more for every name of a block."""
    return [
        line
        for name, value in block.items()
        for line in entry_lines(str(name), value, indent, step=step)
    ]


def item_lines(value: object, indent: int, *, step: int = INDENT) -> list[str]:
    """``- value``, indented; what is inside stands two columns further in, after the dash."""
    dash = f"{' ' * indent}-"
    if isinstance(value, Mapping) and value:
        lines = block_lines(value, indent + 2, step=step)
        return [f"{dash} {lines[0].lstrip(' ')}", *lines[1:]]
    if isinstance(value, Sequence) and not isinstance(value, str) and value:
        return [f"{dash} {inline(value)}"]
    rest = value_lines(value, indent + 2, len(dash), step=step)
    return [dash + rest[0], *rest[1:]]


# -- A new value in the place of an old one, written the way the old one was where it can be ------


def in_brackets(spans: Spans, steps: Steps) -> bool:
    """Whether a piece stands in ``[...]`` or ``{...}``, where all is on one line."""
    return any(spans.pieces[steps[:depth]].style == "{" for depth in range(len(steps)))


def replaced(spans: Spans, steps: Steps, lines: list[str]) -> Patch:
    """The piece's value replaced by lines as ``value_lines`` makes them.

    A comment at the end of the line that the value begins on stays there.
    """
    text, piece = spans.text, spans.pieces[steps]
    first, body = lines[0], lines[1:]
    nl = newline(text)
    own_line = spans.line_of(piece.head_end)
    here = spans.line_of(piece.start) == own_line
    if in_brackets(spans, steps):
        # An empty value stands right behind its ':'.
        spaced = piece.end == piece.start and text[piece.start - 1] == ":"
        return Patch(piece.start, piece.end, first if spaced else first.lstrip(" "))
    if piece.kind != "scalar" and piece.style == "" and here:
        # A block that begins after its dash.
        start, tail, end = piece.start, "", spans.end_of(spans.line_of(piece.end))
    elif here and piece.style in ("|", ">"):
        header = re.compile(r"[|>][-+0-9]*").match(text, piece.start)
        assert header is not None, "a block text begins with | or >"
        start, end = piece.start, piece.end
        tail = text[header.end() : spans.end_of(own_line)]
    elif here:
        start, end = piece.start, spans.end_of(spans.line_of(piece.end))
        tail = text[piece.end : end]
    else:
        start, end = piece.head_end, spans.end_of(spans.line_of(piece.end))
        tail = text[piece.head_end : spans.end_of(own_line)]
    if not first:
        start = piece.head_end
    elif start > piece.head_end:
        first = first.removeprefix(" ")
    return Patch(start, end, nl.join((first + tail, *body)))


def same_style(spans: Spans, steps: Steps, value: str) -> list[str]:
    """The lines of a new scalar, in the style of the old one where it can carry the new text."""
    piece = spans.pieces[steps]
    refuse_unwritable(value)
    flow = in_brackets(spans, steps)
    column = spans.column(piece.head)
    used = spans.column(piece.head_end)
    indent = column + INDENT
    on_one_line = spans.line_of(piece.head) == spans.line_of(piece.end)
    room = max(WIDTH, spans.column(piece.end) if on_one_line else 0)
    if piece.kind != "scalar":
        return [f" {inline(value, brackets=True)}"] if flow else value_lines(value, indent, used)
    one_line = _inline_like(spans, steps, value, piece, flow=flow)
    if one_line is not None and (flow or used + 1 + len(one_line) <= room):
        return [f" {one_line}"]
    if flow:
        return [f" {inline(value, brackets=True)}"]
    kept = value.removesuffix("\n")
    chomp = "-" if kept == value else ""
    old = _content(spans, piece)
    pad = old[0] if old else " " * indent
    if piece.style == ">" and can_fold(kept):
        before = old[1] if old and " ".join(old[1]) == piece.text.removesuffix("\n") else []
        again = refolded(before, kept, WIDTH - len(pad))
        return [f" >{chomp}", *(f"{pad}{line}" if line else "" for line in again)]
    if piece.style == "|" and can_stand_in_lines(kept):
        return [f" |{chomp}", *(f"{pad}{line}" if line else "" for line in kept.split("\n"))]
    if piece.style == '"' and piece.text and not can_fold(value):
        return [f" {double_quoted(value)}"]
    if piece.style not in ("|", ">") and "\n" not in value and can_fold(value):
        lines = folded(value, WIDTH - indent)
        return [" >-", *(f"{' ' * indent}{line}" for line in lines)]
    return value_lines(value, indent, used)


def _inline_like(spans: Spans, steps: Steps, value: str, piece: Piece, *, flow: bool) -> str | None:
    """On one line in the old quotes or without; None where that cannot be."""
    if piece.style in ("'", '"') and not piece.text:
        # The quotes of an emptied field were nobody's wish.
        return inline(value, brackets=flow)
    if piece.style == "'":
        return single_quoted(value)
    if piece.style == '"':
        return double_quoted(value)
    if piece.style:
        return None
    if stands_plain(value, brackets=flow):
        # Before a remark a longer text would look broken off.
        remark = spans.text[piece.end : spans.end_of(spans.line_of(piece.end))].strip(" \t")
        prose = remark.startswith("#") and value.count(" ") > 2
        return yaml_quoted(value) if prose else value
    # A version or a price stays a number.
    number = not isinstance(spans.at(steps), (str, type(None)))
    return value if number and not isinstance(plain_value(value), (str, type(None))) else None


def _content(spans: Spans, piece: Piece) -> tuple[str, list[str]] | None:
    """Indentation and lines of a block text; None where the lines do not share one."""
    if piece.style not in ("|", ">"):
        return None
    first, last = spans.line_of(piece.start) + 1, spans.line_of(piece.end)
    lines = [spans.line(line) for line in range(first, last + 1)]
    full = [line for line in lines if line.strip()]
    if not full:
        return None
    pad = full[0][: len(full[0]) - len(full[0].lstrip(" "))]
    return pad, [line.removeprefix(pad) for line in lines]
