"""What the YAML parser complains of, said so that a person who writes trees can mend it."""

from __future__ import annotations

import yaml

from consult.marked.traps import bracket, left_by_merge, trap
from consult.problems import Problem, Where

_QUOTE = "Put the text in quotes, or after >- on the next line."


def in_plain_words(error: yaml.YAMLError, text: str, file: str) -> Problem:
    """One problem for one parser error; the parser stops at its first."""
    if not isinstance(error, yaml.MarkedYAMLError) or error.problem_mark is None:
        where = Where(file, 1, 1)
        said = "The file contains a character that YAML cannot read."
        return Problem(where, said, "Save it as plain UTF-8 text.", "yaml")
    mark = error.problem_mark
    context = error.context or ""
    complaint = error.problem or ""
    lines = text.splitlines()
    line = lines[mark.line] if mark.line < len(lines) else ""
    where = Where(file, mark.line + 1, mark.column + 1)
    indent = line[: len(line) - len(line.lstrip())]
    if "\t" in indent:
        tab = Where(file, mark.line + 1, indent.index("\t") + 1)
        said = "There is a tab in the indentation."
        return Problem(tab, said, "Indent with spaces; two a step is usual.", "tab")
    slip = left_by_merge(lines, file) or trap(lines, mark.line, file)
    if slip is not None:
        return slip
    if complaint.startswith("mapping values are not allowed"):
        if ":" in line[: mark.column]:
            said = "This text contains ': ', which YAML reads as a name and its value."
            return Problem(where, said, _QUOTE, "colon")
        said = "This line does not follow from the line above it."
        fix = "Check its indentation, and that the line above has ':' after its name. A text that "
        fix += "contains ': ' goes in quotes or after >- on the next line."
        return Problem(where, said, fix, "indentation")
    opened = error.context_mark
    if "quoted scalar" in context and opened is not None:
        where = Where(file, opened.line + 1, opened.column + 1)
        said = "The quote that opens here is never closed."
        return Problem(where, said, "Close it; an apostrophe goes in double quotes.", "quote")
    if "flow" in context and opened is not None:
        where = Where(file, opened.line + 1, opened.column + 1)
        said = "The bracket that opens here is not closed properly."
        fix = f"Close it before line {mark.line + 1} goes on; text with , or : in it needs quotes."
        return Problem(where, said, fix, "bracket")
    if "scanning an alias" in context or "scanning an anchor" in context:
        said = "A text cannot start with & or *: YAML reads that as a reference."
        return Problem(where, said, _QUOTE, "no-references")
    if "tag" in context or "tag" in complaint:
        said = "A text cannot start with !: YAML reads that as a type."
        return Problem(where, said, _QUOTE, "no-tags")
    if "block scalar" in context:
        said = "The text after > or | starts on the next line."
        return Problem(where, said, "Break the line after >- and indent the text.", "block-text")
    if "cannot start any token" in complaint:
        said = f"A text cannot start with '{line[mark.column : mark.column + 1]}'."
        return Problem(where, said, _QUOTE, "odd-start")
    if "sequence entries are not allowed" in complaint:
        said = "A list cannot start here, after a name on the same line."
        fix = "Start the list on the next line; a text that starts with '- ' goes in quotes."
        return Problem(where, said, fix, "list-start")
    if "scanning a simple key" in context:
        said = "A name here has no ':' after it."
        return Problem(
            where, said, "Write 'name: value', or indent text that continues.", "no-colon"
        )
    begun = bracket(line, mark.line + 1, file)
    if begun is not None:
        return begun
    if "parsing a block" in context:
        if line[: mark.column].rstrip().endswith(('"', "'")):
            said = "Something follows the closing quote."
            return Problem(where, said, "Put the whole text inside the quotes.", "quote")
        said = "This line is not indented like the rest of its block."
        return Problem(where, said, "Indent it like the lines around it.", "indentation")
    said = "YAML cannot read the file from here on."
    return Problem(where, said, "Check the indentation and the ':' of this line.", "yaml")
