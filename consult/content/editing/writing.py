"""Values as YAML in the layout of the trees: quotes where needed, long texts folded.

Whatever a person can type comes back from the reader as it was given. Anything the plain, folded
and ``|`` forms could not carry exactly goes in double quotes, where all of it can be written.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from consult.content.editing.refused import Refused
from consult.marked.marks import plain_value
from consult.marked.traps import odd_space
from consult.problems import Where

WIDTH = 96
STEP = 2

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


def plain(text: str, *, brackets: bool = False) -> bool:
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

    def escaped(found: re.Match[str]) -> str:
        character = found.group()
        if character in _ESCAPES:
            return _ESCAPES[character]
        code = ord(character)
        return f"\\x{code:02x}" if code < 256 else f"\\u{code:04x}"

    return '"' + _TO_ESCAPE.sub(escaped, text) + '"'


def single_quoted(text: str) -> str | None:
    """The text in single quotes, on one line; None where it holds what needs an escape."""
    return None if _ODD.search(text) else "'" + text.replace("'", "''") + "'"


def quoted(text: str) -> str:
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
            f"{key_text(str(key))}: {inline(each, brackets=True)}" for key, each in value.items()
        ]
        return "{" + ", ".join(parts) + "}"
    if isinstance(value, Sequence) and not isinstance(value, str):
        return f"[{', '.join(inline(each, brackets=True) for each in value)}]"
    text = str(value)
    refuse_unwritable(text)
    return text if plain(text, brackets=brackets) else quoted(text)


def key_text(name: str) -> str:
    """A name before its ':'."""
    refuse_unwritable(name)
    if odd_space(name, _ANYWHERE) or name.startswith("-"):
        raise Refused("A name cannot have invisible spaces, or start with a dash.")
    written = name if plain(name, brackets=True) or _number_like(name) else double_quoted(name)
    if len(written) > _MAX_KEY:
        raise Refused("This name is too long. Use at most 60 letters.")
    return written


def _number_like(name: str) -> bool:
    return bool(re.fullmatch(r"[0-9A-Za-z_]+", name))


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


def value_lines(value: object, indent: int, used: int, *, step: int = STEP) -> list[str]:
    """A value that follows a name or dash.

    The first line goes after it, with ``used`` columns taken already; the others carry their
    indentation. ``indent`` is that of what stands inside the value.
    """
    if isinstance(value, Mapping) and value:
        return ["", *block_lines(value, indent, step=step)]
    if isinstance(value, Sequence) and not isinstance(value, str) and value:
        short = inline(value)
        simple = not any(isinstance(each, (Mapping, list, tuple)) for each in value)
        if simple and used + 1 + len(short) <= WIDTH:
            return [f" {short}"]
        lines = [""]
        for each in value:
            lines += item_lines(each, indent, step=step)
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


def entry_lines(name: str, value: object, indent: int, *, step: int = STEP) -> list[str]:
    """``name: value``, indented."""
    first = f"{' ' * indent}{key_text(name)}:"
    rest = value_lines(value, indent + step, len(first), step=step)
    return [first + rest[0], *rest[1:]]


def block_lines(block: Mapping[str, object], indent: int, *, step: int = STEP) -> list[str]:
    """A line or more for every name of a block."""
    return [
        line
        for name, value in block.items()
        for line in entry_lines(str(name), value, indent, step=step)
    ]


def item_lines(value: object, indent: int, *, step: int = STEP) -> list[str]:
    """``- value``, indented; what is inside stands two columns further in, after the dash."""
    dash = f"{' ' * indent}-"
    if isinstance(value, Mapping) and value:
        lines = block_lines(value, indent + 2, step=step)
        return [f"{dash} {lines[0].lstrip(' ')}", *lines[1:]]
    if isinstance(value, Sequence) and not isinstance(value, str) and value:
        return [f"{dash} {inline(value)}"]
    rest = value_lines(value, indent + 2, len(dash), step=step)
    return [dash + rest[0], *rest[1:]]
