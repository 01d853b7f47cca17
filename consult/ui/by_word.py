"""Every action by a word after a slash, a suggestion for a mistyped one."""

from __future__ import annotations

from typing import TYPE_CHECKING

from consult.call.by_name import fact_named
from consult.call.wording import question_label
from consult.ui import pages
from consult.ui.widgets.answer_line import AnswerInput
from consult.ui.word_meant import action_meant
from consult.ui.words import NO_NOTE
from consult.units import Unclear

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from consult.ui.call_screen import CallScreen


def do(call: CallScreen, said: str) -> bool:
    """Do what a word after a slash names; whether it named something."""
    meant = action_meant(said, call.WORDS, WITH_TEXT, call.session.basis.tree)
    answer = call.query_one(AnswerInput)
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
        call.tell(NO_NOTE)
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
