"""Every action by a word after a slash, a suggestion for a mistyped one."""

from __future__ import annotations

import re
from dataclasses import dataclass
from difflib import get_close_matches
from typing import TYPE_CHECKING

from consult.call.by_name import fact_named, names
from consult.call.wording import question_label
from consult.ui import pages
from consult.ui.widgets.answer_line import AnswerLine
from consult.units import Unclear

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Mapping

    from consult.tree.model import Tree
    from consult.ui.call_screen import CallScreen

_BY_WORD = re.compile(r"\s*/\s*([^\W\d_]+)(?:[\s:=]+(.*))?", re.S)


_NEAR = 0.65
"""How similar a mistyped word is to the word meant: two of three letters swapped are enough."""


@dataclass(frozen=True, slots=True)
class Meant:
    """An action with the text that follows its word; or the word that was probably meant."""

    action: str = ""
    text: str = ""
    trouble: str = ""
    """What to tell where there is no such word."""


def do(call: CallScreen, said: str) -> bool:
    """Do what a word after a slash names; whether it named something."""
    meant = action_meant(said, call.WORDS, WITH_TEXT, call.session.basis.tree)
    answer = call.query_one(AnswerLine)
    if meant is None:
        return False
    if meant.trouble:
        call.tell(meant.trouble)
        answer.select_all()
        return True
    answer.value = ""
    if meant.text:
        WITH_TEXT[meant.action](call, meant.text)
    else:
        call.call_next(call.run_action, meant.action)
    return True


def _note(call: CallScreen, text: str) -> None:
    """Keep a note beside the last answer."""
    name = call.session.last_answered
    if name is None:
        call.tell(pages.NO_NOTE)
        return
    call.session.remark(call.session.basis.tree.questions[name], text, call.clock())
    call.changed(f"Note added to: {question_label(name)}.")


def _amend(call: CallScreen, name: str) -> None:
    """Ask the question of a name again."""
    try:
        call.ask(fact_named(call.session.basis.tree, name).question)
    except Unclear as unclear:
        call.tell(str(unclear))


WITH_TEXT: Mapping[str, Callable[[CallScreen, str], None]] = {
    "page('try_out')": pages.trial,
    "page('note')": _note,
    "page('topics')": pages.topics,
    "amend": _amend,
}
"""Actions that do something at once with the text after their word."""


def action_meant(
    said: str, actions: Mapping[str, str], with_text: Collection[str], tree: Tree
) -> Meant | None:
    """What a typed text does; None where it is an answer, or a fact by name.

    ``actions`` are by word; those ``with_text`` do something with what follows the word.
    """
    found = _BY_WORD.fullmatch(said)
    if found is None:
        return None
    word, rest = found[1].casefold(), (found[2] or "").strip()
    action = actions.get(word)
    if action is None:
        return _near(word, actions, tree)
    if rest and (action not in with_text or _names_question(said, tree)):
        return None
    return Meant(action, rest)


def _near(word: str, actions: Mapping[str, str], tree: Tree) -> Meant | None:
    """The action's word that is nearer than any name of a question."""
    known = [*actions, *names(tree)]
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
