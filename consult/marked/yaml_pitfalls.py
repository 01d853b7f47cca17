"""Slips that YAML answers with a riddle on another line, or not at all, called what they are.

Each looks right on the screen: a space that is none, a dash grown together with its word, the
quotes of a word processor, a character that cannot be seen.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any

import yaml

from consult.problems import Problem, Where
from consult.visible import TURNING

if TYPE_CHECKING:
    from consult.marked.marks import Marked


_PROSE = 3
"""Spaces in a text that is said, rather than a name or a number."""

_REMARK = re.compile(r"[ \t]+#([^\s#]?)")
_NAME = r"[A-Za-z][A-Za-z0-9_]*"
_ODD_SPACE = re.compile("[\u00a0\u1680\u2000-\u200f\u2028\u2029\u202f\u205f\u2060\u3000\ufeff]")
_ODD_INDENT = re.compile(f"[ \t]*({_ODD_SPACE.pattern})")
_AFTER_NAME = re.compile(f" *(?:- )? *{_NAME}:?({_ODD_SPACE.pattern})")
_DASH = re.compile(rf" *-(?={_NAME}(:|$| ))")
_ODD_COLON = re.compile(f" *(?:- )?{_NAME}([\uff1a\ufe55\ua789\u2236])")
_NAMED = re.compile(rf" *(?:- )? *{_NAME}: +\S")
_NO_SPACE = re.compile(rf" *(?:- )?{_NAME}:(?=[^\s/:])")
_CURLY = re.compile(f" *(?:- )?{_NAME}: +([\u201c\u201d\u201e\u2018\u2019\u00ab\u00bb])")
_MERGE = re.compile(r"(<{7}|={7}|>{7}|\|{7})( |$)")
_COMPARED = re.compile(rf"[-+] {{2,}}{_NAME}:")
_ODD_DASH = re.compile(rf" *([\u2013\u2014\u2022\u00b7*+]) *(?={_NAME}:)")
_EQUALS = re.compile(rf" *(?:- )?{_NAME} *(=) ")
_ODD_REMARK = re.compile(r" *(//|<!--|/\*|;)")
_COMMA = re.compile(rf" *(?:- )?\"?{_NAME}\"? *:.*[\"'](,) *$")
_BRACKET = re.compile(rf" *(?:- )?(?:{_NAME}: +)?([\[{{?%])")


def trap(lines: Sequence[str], near: int, file: str) -> Problem | None:
    """The slip on the line that the parser stumbled at, or just above it; None where none is seen.

    ``near`` counts from 0.
    """
    for number in (near, near - 1):
        if 0 <= number < len(lines):
            problem = _on(lines[number], number + 1, file)
            if problem is not None:
                return problem
    return None


def left_by_merge(lines: Sequence[str], file: str) -> Problem | None:
    """The first of the lines that a merge leaves where two people changed the same place."""
    for number, line in enumerate(lines, 1):
        if _MERGE.match(line):
            message = "A merge of two versions left its marks here."
            fix = "Keep the wording you want of the two, and delete the lines of <, = and >."
            return Problem(Where(file, number, 1), message, fix, "merge-marks")
    return None


def left_by_comparing(lines: Sequence[str], near: int, file: str) -> Problem | None:
    """A line with the sign of a comparison of two versions before it, as patches have them."""
    for number in (near, near - 1):
        here = lines[max(0, number - 1) : number + 2] if number < len(lines) else []
        if {line[0] for line in here if _COMPARED.match(line)} == {"-", "+"}:
            message = "A comparison of two versions left its - and + before these lines."
            fix = "Keep one of the two, with a space in place of the sign."
            return Problem(Where(file, number + 1, 1), message, fix, "merge-marks")
    return None


def odd_space(text: str, where: Where) -> Problem | None:
    """A name, or the edge of a value, with a space in it that is none."""
    match = _ODD_SPACE.search(text)
    if match is None:
        return None
    name = unicodedata.name(match.group(), "an invisible character").lower()
    article = "an" if name[0] in "aeiou" else "a"
    message = f"This is not a plain space but {article} '{name}', which looks like a space or is"
    fix = "Delete it, and type a space if you want one."
    return Problem(where, f"{message} invisible.", fix, "odd-space")


def remark_after(text: str, line: str, file: str, end: Any) -> Problem | None:
    """A text of several words that breaks off at a ' #', which nobody sees when it is said.

    ``end`` is the parser's mark after the text.
    """
    rest = line[end.column :]
    match = _REMARK.match(rest)
    # "size #5" is no remark; "32 to 52  # in cm" is one. What is said begins with a capital.
    prose = text.count(" ") >= (1 if text[:1].isupper() else _PROSE)
    if match is None or (not match.group(1) and not prose):
        return None
    column = end.column + match.start(0) + rest.index("#") + 1
    message = "The text ends before the '#', because YAML reads the rest of the line as a comment."
    fix = "Put the text in quotes if it goes on, or the comment on a line of its own."
    return Problem(Where(file, end.line + 1, column), message, fix, "remark", "warning")


def grown_together(where: Where) -> Problem:
    """A dash without a space after it, which makes no list."""
    message = "The dash of a list needs a space after it."
    return Problem(where, message, "Write - and a space, then the rest.", "dash")


def _on(line: str, number: int, file: str) -> Problem | None:
    if match := _ODD_INDENT.match(line) or _AFTER_NAME.match(line):
        return odd_space(match.group(1), Where(file, number, match.start(1) + 1))
    if match := _DASH.match(line):
        return grown_together(Where(file, number, match.end()))
    if match := _ODD_COLON.match(line):
        message = f"'{match.group(1)}' looks like ':', but YAML does not read it as one."
        where = Where(file, number, match.start(1) + 1)
        return Problem(where, message, "Type it again as ':' and a space.", "odd-colon")
    if match := _CURLY.match(line):
        message = f"YAML does not read '{match.group(1)}' as a quote."
        where = Where(file, number, match.start(1) + 1)
        return Problem(
            where, message, "Put the whole text in plain quotes, \" or '.", "curly-quote"
        )
    if match := _ODD_DASH.match(line):
        message = f"'{match.group(1)}' begins no list here."
        where = Where(file, number, match.start(1) + 1)
        return Problem(where, message, "Write - and a space, then the rest.", "dash")
    if match := _EQUALS.match(line):
        message = "A name has a ':' after it, not a '='."
        return Problem(Where(file, number, match.start(1) + 1), message, "Write ': '.", "equals")
    if match := _ODD_REMARK.match(line):
        message = f"'{match.group(1)}' begins no comment here."
        return Problem(Where(file, number, match.start(1) + 1), message, "Write # there.", "remark")
    if match := _COMMA.match(line):
        message = "A line does not end with a comma here."
        return Problem(Where(file, number, match.start(1) + 1), message, "Delete it.", "comma")
    if match := _NO_SPACE.match(line):
        message = "The ':' after a name needs a space behind it."
        return Problem(Where(file, number, match.end()), message, "Put a space there.", "no-space")
    return None


def bracket(line: str, number: int, file: str) -> Problem | None:
    """A text that begins with a sign YAML keeps for itself."""
    match = _BRACKET.match(line)
    if match is None:
        return None
    message = f"A text cannot start with '{match.group(1)}': YAML reads that as something else."
    fix = "Put the text in quotes, or after >- on the next line."
    return Problem(Where(file, number, match.start(1) + 1), message, fix, "odd-start")


def not_text(content: str, file: str) -> Problem | None:
    """A document of a word processor, which is no plain text."""
    if not content.startswith(("{\\rtf", "PK\x03\x04", "%PDF")):
        return None
    message = "This is a document of another program, not a text file."
    fix = "Save it as plain text in UTF-8, or edit it with a text editor or consult edit."
    return Problem(Where(file, 1, 1), message, fix, "not-text")


def not_utf8(content: bytes, at: int) -> tuple[str, str]:
    """What is wrong, and what would be right, of a file whose byte ``at`` is not UTF-8."""
    if content[:4] in (b"\xff\xfe\0\0", b"\0\0\xfe\xff"):
        return "The file is written in UTF-32, not in UTF-8.", "Save it again as UTF-8."
    if content[:2] in (b"\xff\xfe", b"\xfe\xff"):
        message = "The file is written in UTF-16, which some programs call Unicode, not in UTF-8."
        return message, "Save it again as UTF-8."
    message = "The file is not written in UTF-8; this is the first character that is not."
    try:
        letter = content[at : at + 1].decode("cp1252")
    except UnicodeDecodeError:
        return message, "Save it again as UTF-8."
    if letter.isprintable():
        message = (
            f"This '{letter}' is not written in UTF-8, but probably in an old Windows encoding."
        )
    return message, "Save the file again as UTF-8."


# -- what the YAML parser complains of, said so that a person who writes trees can mend it --------

_QUOTE = "Put the text in quotes, or after >- on the next line."


def in_plain_words(error: yaml.YAMLError, text: str, file: str) -> Problem:
    """One problem for one parser error; the parser stops at its first."""
    if not isinstance(error, yaml.MarkedYAMLError) or error.problem_mark is None:
        where = Where(file, 1, 1)
        message = "The file contains a character that YAML cannot read."
        return Problem(where, message, "Save it as plain UTF-8 text.", "yaml")
    mark = error.problem_mark
    context = error.context or ""
    complaint = error.problem or ""
    lines = text.splitlines()
    line = lines[mark.line] if mark.line < len(lines) else ""
    where = Where(file, mark.line + 1, mark.column + 1)
    indent = line[: len(line) - len(line.lstrip())]
    if "\t" in indent:
        tab = Where(file, mark.line + 1, indent.index("\t") + 1)
        message = "There is a tab in the indentation."
        return Problem(tab, message, "Indent with spaces; two a step is usual.", "tab")
    slip = (
        left_by_merge(lines, file)
        or left_by_comparing(lines, mark.line, file)
        or trap(lines, mark.line, file)
    )
    if slip is not None:
        return slip
    if complaint.startswith("mapping values are not allowed"):
        if ":" in line[: mark.column]:
            message = "This text contains ': ', which YAML reads as a name and its value."
            if not line[mark.column + 1 :].strip():
                message = "This text ends with ':', which YAML reads as the end of a name."
            return Problem(where, message, _QUOTE, "colon")
        return _does_not_follow(lines, mark.line, file)
    mark_before = error.context_mark
    opened = Where(file, mark_before.line + 1, mark_before.column + 1) if mark_before else None
    if "unknown escape" in complaint:
        sign = line[mark.column : mark.column + 2]
        message = f"In double quotes a \\ begins a sign of its own, and {sign} is none."
        return Problem(
            where, message, "Put the text in single quotes, or after >- below.", "escape"
        )
    if "quoted scalar" in context and opened:
        message = "The quote that opens here is never closed."
        return Problem(opened, message, "Close it; an apostrophe goes in double quotes.", "quote")
    if "flow" in context and opened:
        message = "The bracket that opens here is not closed properly."
        fix = f"Close it before line {mark.line + 1} goes on; text with , or : in it needs quotes."
        return Problem(opened, message, fix, "bracket")
    if "scanning an alias" in context or "scanning an anchor" in context:
        message = "A text cannot start with & or *: YAML reads that as a reference."
        return Problem(where, message, _QUOTE, "no-references")
    if "tag" in context or "tag" in complaint:
        message = "A text cannot start with !: YAML reads that as a type."
        return Problem(where, message, f"{_QUOTE} In a condition write not.", "no-tags")
    if "block scalar" in context:
        message = "The text after > or | starts on the next line."
        return Problem(where, message, "Break the line after >- and indent the text.", "block-text")
    if "cannot start any token" in complaint:
        if line[mark.column : mark.column + 1] == "\t":
            message = "There is a tab here, where only spaces may stand."
            return Problem(where, message, "Write one space.", "tab")
        message = f"A text cannot start with '{line[mark.column : mark.column + 1]}'."
        return Problem(where, message, _QUOTE, "odd-start")
    if "sequence entries are not allowed" in complaint:
        message = "A list cannot start here, after a name on the same line."
        fix = "Start the list on the next line; a text that starts with '- ' goes in quotes."
        return Problem(where, message, fix, "list-start")
    if "scanning a simple key" in context:
        return _no_colon(opened or where)
    begun = bracket(line, mark.line + 1, file)
    if begun is not None:
        return begun
    first = next((index for index, text_line in enumerate(lines) if text_line.strip(" #-")), 0)
    if "<document start>" in complaint and lines[first].startswith(" "):
        message = "The first line is indented."
        return Problem(Where(file, first + 1, 1), message, "Begin it at the left.", "indentation")
    if "parsing a block" in context:
        if lines[first].startswith("- ") and not lines[mark.line].startswith(("-", " ")):
            message = "The file begins with a dash, which makes a list of it."
            return Problem(Where(file, first + 1, 1), message, "Delete the dash.", "list-start")
        if line[: mark.column].rstrip().endswith(('"', "'")):
            message = "Something follows the closing quote."
            return Problem(where, message, "Put the whole text inside the quotes.", "quote")
        message = "This line is not indented like the rest of its block."
        return Problem(where, message, "Indent it like the lines around it.", "indentation")
    message = "YAML cannot read the file from here on."
    return Problem(where, message, "Check the indentation and the ':' of this line.", "yaml")


def _no_colon(where: Where) -> Problem:
    fix = "Write 'name: value', or indent text that continues."
    return Problem(where, "A name here has no ':' after it.", fix, "no-colon")


def _does_not_follow(lines: Sequence[str], at: int, file: str) -> Problem:
    """Why a line with a name cannot stand below the one above it."""
    line, above = (lines[at], next((prior for prior in reversed(lines[:at]) if prior.strip()), ""))
    indent, indent_above = (len(text) - len(text.lstrip(" ")) for text in (line, above))
    where = Where(file, at + 1, indent + 1)
    if _NAMED.match(above) and indent > indent_above:
        message = "This line is indented further than the line above it, which is complete."
        fix = (
            "Indent it like the lines around it; a text that goes on over lines has no ': ' in it."
        )
        return Problem(where, message, fix, "indentation")
    if ":" not in above:
        place = Where(file, lines.index(above) + 1 if above in lines else at, indent_above + 1)
        return _no_colon(place)
    message = "This line does not follow from the line above it."
    fix = "Check its indentation, and that the line above has ':' after its name. "
    return Problem(where, message, fix + _QUOTE, "indentation")


# -- characters that cannot be seen and steer a terminal, or turn the direction of what is around -

_TURNS = "".join(map(chr, TURNING))
_UNSEEN = re.compile(f"(?P<turns>[{_TURNS}])|[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f]")
_DIRECTION = "There is an invisible character here that changes the direction of the text."
_CONTROL = "There is a control character here. The file must be plain text."


def unseen_in(text: str, file: str) -> Iterator[Problem]:
    """Those that stand in a text."""
    lines = text.split("\n") if _UNSEEN.search(text) else []
    for number, line in enumerate(lines, 1):
        for match in _UNSEEN.finditer(line.removesuffix("\r")):
            yield _unseen(match, Where(file, number, match.start() + 1))


def unseen_values(marked: Marked) -> Iterator[Problem]:
    """Those that a value holds, as YAML also has them written in letters and figures."""
    for steps, spot in marked.values.items():
        if match := _UNSEEN.search(spot.raw or ""):
            yield _unseen(match, marked.value(*steps))


def _unseen(match: re.Match[str], where: Where) -> Problem:
    message = _DIRECTION if match["turns"] else _CONTROL
    return Problem(where, message, "Delete it.", "control-character")
