"""What a call in plain lines says of itself, and does by a word after a slash."""

from __future__ import annotations

from typing import TYPE_CHECKING

from consult.call.by_name import fact_named
from consult.call.chair_lines import NOTHING_TO_EXPLAIN, chair_line, price_line, ready_line
from consult.call.wording import question_label
from consult.records.errors import CannotKeep
from consult.records.place import home_path
from consult.sentence import of_thing
from consult.tree.placeholders import in_units
from consult.ui.finishing import sheet_of
from consult.ui.words import (
    NO_NOTE,
    NOT_STORED,
    WHOLE_WORDS,
    cautions_text,
    fit_lines,
    head_line,
    note_lines,
    step_line,
    topic_line,
)
from consult.units import Unclear

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping

    from consult.call.session import Session
    from consult.summary import Paper
    from consult.ui.plain_call import PlainCall

_WIDE = 10_000
"""Cells of a line that no window cuts."""
_PAPERS: Mapping[str, Paper] = {
    **{"s": "caller", "c": "card", "e": "employer"},
    **{"o": "order", "f": "file"},
}
"""Letter -> paper, as at the end of a call on the screen."""


def opening_lines(call: PlainCall) -> Iterator[str]:
    yield call_head(call)
    yield "Type what the caller says, then Enter. /help lists the words. ? if not known."


def call_head(call: PlainCall) -> str:
    """The minutes, the reference, the name, the country."""
    pace = call.session.pace(call.clock())
    return head_line(pace, call.kept.reference(call.name), call.session, _WIDE)


def question_lines(session: Session, *, coaching: bool) -> Iterator[str]:
    """What to say now, the choices, the coaching, the card; at the end what to do next."""
    question, system = session.asking, session.now.call.system
    if question is None:
        yield (
            "That was the last question. /finish reads the set-up back."
            if session.now.stopped is None
            else "The call ends here. /finish has the closing words and the summary."
        )
        return
    lead = "Amend" if session.amending is not None else "Say"
    yield f"{lead}: {in_units(question.ask, system)}"
    yield from (f"{at}  {label}" for at, label in enumerate(question.choices.values(), 1))
    if question.coach and coaching:
        yield f"Coach: {in_units(question.coach, system)}"
    if card := session.card_words(question):
        yield f"This {session.basis.thing}: {card}"


def _help(call: PlainCall) -> None:
    call.tell(
        "Answers: 5ft 2, 157, about 40 cm, 9st 4; y or n; the number of a choice, or letters."
    )
    call.tell("Early answers by name: /desk 73. Several: /leg 41, thigh 47. /desk asks it now.")
    for word, (does, _) in PLAIN_CALL_WORDS.items():
        call.tell(f"/{word}: {does}")


def _amend(call: PlainCall, text: str = "") -> None:
    tree = call.session.basis.tree
    try:
        name = fact_named(tree, text).question.name if text else call.session.last_answered
    except Unclear as unclear:
        call.tell(f"! {unclear}")
        return
    if name is None:
        call.tell("There is no answer yet to amend.")
    else:
        call.session.ask(tree.questions[name])
        call.ask()


def _back(call: PlainCall) -> None:
    call.session.back()
    call.ask()


def _goto(call: PlainCall) -> None:
    system = call.session.now.call.system
    for question in call.session.now.to_ask:
        call.tell(f"/{question.name.replace('_', ' ')}: {in_units(question.ask, system)}")


def _said(call: PlainCall) -> None:
    now = call.session.now
    for step in now.steps:
        if step.answer is not None:
            call.tell(step_line(step, now.call.system).plain)


def _setup(call: PlainCall) -> None:
    session = call.session
    call.tell(call_head(call))
    call.tell(chair_line(session.now, session.basis.range, _WIDE))
    call.tell(fit_lines(session.now, session.before, WHOLE_WORDS).plain)
    call.tell(note_lines(session.now).plain)


def _coach(call: PlainCall) -> None:
    call.coaching = not call.coaching
    call.tell("The coaching is shown." if call.coaching else "The coaching is not shown.")


def _units(call: PlainCall) -> None:
    call.session.turn_units()
    call.tell(f"Units: {call.session.now.call.system}.")
    call.keep()


def _signs(call: PlainCall) -> None:
    call.session.ask_warnings()
    if call.session.now.consent is not True:
        call.tell(NOT_STORED)
    call.ask()


def _lift(call: PlainCall, text: str = "") -> None:
    reply = call.session.lift(text, call.clock())
    call.go_on(reply.tell if reply.taken else f"! {reply.tell}")


def _note(call: PlainCall, text: str = "") -> None:
    name = call.session.last_answered
    if name is None:
        call.tell(NO_NOTE)
    elif not text:
        call.tell("Type the note after the word: /note prefers mornings.")
    else:
        call.session.remark(call.session.basis.tree.questions[name], text, call.clock())
        call.keep()
        call.tell(f"Note added to: {question_label(name)}.")


def _try(call: PlainCall, text: str = "") -> None:
    found = call.session.trial(text)
    if isinstance(found, str):
        call.tell(found)
        return
    call.tell(f"What if {question_label(found.question.name).lower()}: {found.said.strip()}")
    call.tell(f"! {found.odd}" if found.odd else "")
    for change in found.found:
        call.tell(f"{change.topic}: {change.before} → {change.after}")
    if not found.found:
        call.tell("Nothing would change.")
    call.tell("It is not stored. To store it, type it as an answer.")


def _topics(call: PlainCall, text: str = "") -> None:
    topics = call.session.topics()
    chosen = [topic for at, topic in enumerate(topics, 1) if str(at) == text]
    chosen = chosen or [
        topic for topic in topics if text and text.casefold() in topic.title.casefold()
    ]
    if len(chosen) == 1:
        call.go_on(call.session.go_through(chosen[0], call.clock()).tell)
        return
    for at, topic in enumerate(topics, 1):
        call.tell(topic_line(at, topic))
    call.tell("/topics and a number goes through one." if topics else "There are no topics.")


def _why(call: PlainCall) -> None:
    from consult.ui.follow_up import then_and_now, why_text

    session, now = call.session, call.session.whole()
    if now.first_reference and call.firsts is not None:
        call.tell(then_and_now(call.firsts.beside(now, session.basis)))
    elif now.chosen is None:
        call.tell(of_thing(NOTHING_TO_EXPLAIN, now.thing))
    else:
        call.tell(why_text(session.basis, now))


def _sheet(call: PlainCall) -> None:
    found = sheet_of(call.session, call.clock, call.kept.reference(call.name))
    if isinstance(found, str):
        call.tell(found)
    else:
        call.tell(found.text)
        call.tell(found.save(found.stem))


def finish_plainly(call: PlainCall) -> None:
    """The closing words and the summary, then saving, until the adviser goes back."""
    end = call.finish
    closing, summary = end.told()
    for title, lines in closing.items():
        call.tell(title)
        call.tell("\n".join(f"- {line}" for line in lines))
    call.tell(f"The summary\n{summary}")
    if end.open_day is not None:
        call.tell("Follow-up: when shall we call? Type day and the date: day in 2 weeks.")
    call.tell(
        "s saves the summary, c the card, e for the employer, o for the order team, f for the "
        "file; a name may follow: s ada. Enter goes back to the call."
    )
    while typed := call.read():
        word, _, rest = typed.partition(" ")
        if word.casefold() == "day":
            call.tell(end.agree_day(rest) or "The follow-up date is stored.")
        elif word.casefold() in _PAPERS:
            try:
                stem = home_path(rest.strip()) if rest.strip() else end.stem
                call.tell(end.save(stem, _PAPERS[word.casefold()]))
            except CannotKeep as trouble:
                call.tell(f"! {trouble}")
        elif typed in ("/quit", "/hold"):
            call.leave()
            return
        else:
            call.tell("Type s, c, e, o, f or day and a date. Enter goes back to the call.")
    call.ask()


PLAIN_CALL_WORDS: Mapping[str, tuple[str, Callable[[PlainCall], None]]] = {
    "help": ("this help", _help),
    "again": ("the question again", lambda call: call.ask()),
    "unknown": ("the caller does not know", lambda call: call.offer("?")),
    "amend": ("change an answer: /amend height; alone, the last one", _amend),
    "undo": ("ask the last question again", _amend),
    "back": ("back to the question whose turn it is", _back),
    "goto": ("every open question by name", _goto),
    "said": ("what was said so far", _said),
    "setup": ("the set-up and the chair so far", _setup),
    "coach": ("show the coaching or not", _coach),
    "units": ("metric, imperial or both", _units),
    "thorough": (
        "ask everything that may matter; again: only what is worth its time",
        lambda call: call.go_on(call.session.turn_thorough(call.clock()).tell),
    ),
    "signs": ("ask the warning signs now", _signs),
    "cautions": (
        "read the cautions",
        lambda call: call.tell(cautions_text(call.session.now, "/lift and a reason lifts a stop.")),
    ),
    "lift": ("lift a stop, with the reason: /lift her doctor agreed", _lift),
    "note": ("add a note to the last answer: /note prefers mornings", _note),
    "try": ("what an answer would change: /try desk 70", _try),
    "topics": ("topics to go through: /topics 2", _topics),
    "why": ("why this chair; in a follow-up: then and now", _why),
    "price": (
        "what the chair costs",
        lambda call: call.tell(price_line(call.session.whole(), call.session.basis.range)),
    ),
    "when": (
        "when the chair can be delivered",
        lambda call: call.tell(ready_line(call.session.whole())),
    ),
    "sheet": ("write the measuring sheet, to send", _sheet),
    "finish": ("what is missing, the read-back and the summary; save it", finish_plainly),
    "hold": ("put the call on hold and leave", lambda call: call.leave()),
    "quit": ("the same", lambda call: call.leave()),
}
"""What may follow a slash -> what it does, and how. /country is the session's."""
ACTIONS = {word: word for word in PLAIN_CALL_WORDS}
WITH_TEXT: Mapping[str, Callable[[PlainCall, str], None]] = {
    **{"amend": _amend, "lift": _lift, "note": _note},
    **{"try": _try, "topics": _topics},
}
"""Words that do something with the text after them."""
