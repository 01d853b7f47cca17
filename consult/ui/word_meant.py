"""What a word after a slash means: an action, a slip of one, or an answer."""

from __future__ import annotations

import re
from dataclasses import dataclass
from difflib import get_close_matches
from typing import TYPE_CHECKING

from consult.call.by_name import fact_named
from consult.units import Unclear

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping

    from consult.tree.model import Tree

_BY_WORD = re.compile(r"\s*/\s*([^\W\d_]+)(?:[\s:=]+(.*))?", re.S)
_NEAR = 0.65
"""How like a word a slip of it is: two of three letters changed about still are."""


@dataclass(frozen=True, slots=True)
class Meant:
    """An action with the text that follows its word; or the word that was probably meant."""

    action: str = ""
    text: str = ""
    trouble: str = ""
    """What to tell where there is no such word."""


def action_meant(
    said: str, actions: Mapping[str, str], with_text: Collection[str], tree: Tree
) -> Meant | None:
    """What a typed text does; None where it is an answer, or a fact by name.

    ``actions`` are by word; those ``with_text`` do something with what follows the word.
    """
    match = _BY_WORD.fullmatch(said)
    if match is None:
        return None
    word, rest = match[1].casefold(), (match[2] or "").strip()
    action = actions.get(word)
    if action is None:
        return _near(word, actions, tree)
    if rest and (action not in with_text or _names_question(said, tree)):
        return None
    return Meant(action, rest)


def _near(word: str, actions: Mapping[str, str], tree: Tree) -> Meant | None:
    """The action's word that is nearer than any name of a question."""
    known = [*actions, *tree.question_named]
    near = get_close_matches(word, known, n=1, cutoff=_NEAR)
    if not near or near[0] not in actions:
        return None
    return Meant(trouble=f"There is no /{word}. Did you mean /{near[0]}?")


def _names_question(said: str, tree: Tree) -> bool:
    try:
        fact_named(tree, said)
    except Unclear:
        return False
    return True
