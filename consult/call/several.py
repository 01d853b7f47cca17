"""Several answers in one line: "leg 41, thigh 47, desk 73".

A line is parted at commas, semicolons and line ends, where a fact begins after one. A comma inside
a number ("41,5") parts nothing, nor does one that belongs to the answer before it ("5 ft, 2 in",
"neck, hips").
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from consult.call.by_name import begins_with_name, fact_named
from consult.call.understand import understand
from consult.hearing.spoken import in_digits
from consult.units import Unclear

if TYPE_CHECKING:
    from datetime import date

    from consult.tree.model import Tree
    from consult.units import System

_SIGN = re.compile(r"[,;\r\n]")
"""What may stand between two facts."""
_LISTED = ("choices", "text")
"""Kinds of answers that have commas of their own: the rest of the line belongs to one."""
LONGEST = 2_000
"""Characters; a longer line is one answer, a text."""


def facts_in(tree: Tree, line: str, today: date, system: System) -> tuple[str, ...]:
    """The facts of a line, each as typed, name and answer; one where it is not several.

    A slash before a fact says nothing.
    """
    found = [""]
    if len(line) > LONGEST:
        return (line,)
    sign = ""
    for piece, after in _pieces(line):
        if sign and _begins(tree, found[-1], sign, piece, today, system):
            found.append(piece)
        else:
            found[-1] += sign + piece
        sign = after
    return tuple(one.strip().removeprefix("/").strip() for one in found)


def _pieces(line: str) -> list[tuple[str, str]]:
    """What stands between the signs, each with the sign after it."""
    pieces, at = [], 0
    for sign in _SIGN.finditer(line):
        pieces.append((line[at : sign.start()], sign.group()))
        at = sign.end()
    return [*pieces, (line[at:], "")]


def _begins(tree: Tree, before: str, sign: str, piece: str, today: date, system: System) -> bool:
    """Whether a fact of its own begins after a sign."""
    text = piece.strip().removeprefix("/").strip()
    plain = in_digits(text)
    # What begins with a figure goes on with the number, or the answer, before it.
    if not plain[:1].isalpha():
        return False
    try:
        told = fact_named(tree, before)
        if told.question.answer in _LISTED:
            return False
    except Unclear:
        told = None
    try:
        named = bool(fact_named(tree, text).said.strip())
    except Unclear:
        named = False
    if named and begins_with_name(tree, text):
        return True
    if told is not None:
        try:
            understand(told.question, told.said + sign + piece, today, system)
        except Unclear:
            pass
        else:
            return False
    # A name that is not known, or is mistyped, with a figure after it.
    return named or any(one.isdecimal() or one == "?" for one in plain)
