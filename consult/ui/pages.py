"""What keys and words do beside the answers: pages over the call, and lines below the answer."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from consult.call.by_name import fact_named
from consult.call.chair_lines import NOTHING_TO_EXPLAIN, price_line, ready_line
from consult.call.offer import LETTERS
from consult.call.state import with_chair
from consult.call.wording import question_label
from consult.sentence import of_thing
from consult.tree.placeholders import in_units
from consult.ui.chair_work import in_thread
from consult.ui.dialogs import ChooseScreen, LineScreen, TextScreen, having
from consult.ui.side_pages import (
    AskedFor,
    CautionReply,
    CautionScreen,
    CautionsScreen,
    FinishScreen,
    PictureScreen,
    SheetScreen,
    TrialScreen,
)
from consult.ui.widgets.answer_line import AnswerInput
from consult.ui.widgets.panels import SaidList
from consult.ui.word_meant import action_meant
from consult.ui.words import NO_NOTE, topic_line
from consult.units import Unclear

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from consult.call.follow_up import FirstCall
    from consult.call.raised import Raised
    from consult.call.state import State
    from consult.records.call_trees import FirstCalls
    from consult.ui.call_screen import CallScreen


_ENDED = "Product advice has ended, so no topic can be opened."


def show_open_questions(call: CallScreen) -> None:
    """Choose any open question, to ask it now."""
    system = call.now.call.system
    asks = {question.name: in_units(question.ask, system) for question in call.session.now.to_ask}
    lines = {name: f"{question_label(name)}: {ask}" for name, ask in asks.items()}

    def go(name: str | None) -> None:
        if name is not None:
            call.action_ask_now(name)

    none = "No open question matches that."
    call.app.push_screen(ChooseScreen("Go to an open question", having(lines), none), go)


def countries(call: CallScreen) -> None:
    """Choose where the caller is: whose numbers are said."""
    contacts = call.session.basis.contacts
    lines = {code: f"{contacts.name(code)} ({code})" for code in contacts.countries}

    def find(typed: str) -> Mapping[str, str]:
        meant = contacts.find(typed)
        return {meant: lines[meant]} if meant in lines else having(lines)(typed)

    def go(code: str | None) -> None:
        # A caution that waits is shown again, also if its words are the same.
        call.changed(call.session.be_in(code, call.clock()).tell if code else "")

    none = "No country matches that. Choose the entry for another country."
    call.app.push_screen(ChooseScreen("Where is the caller?", find, none), go)


def topics(call: CallScreen, typed: str = "") -> None:
    """Choose what else to go through: by its number, by letters, or by a click."""
    topic_lines = call.session.topics()
    lines = {one.name: topic_line(at, one) for at, one in enumerate(topic_lines, 1)}

    def find(said: str) -> Mapping[str, str]:
        said = said.strip()
        if said.isdecimal():
            return {name: text for name, text in lines.items() if text.startswith(f"{said}  ")}
        return having(lines)(said)

    if not lines:
        call.tell("There are no topics in this call." if call.now.stopped is None else _ENDED)
    elif typed and len(find(typed)) == 1:
        go_through(call, next(iter(find(typed))))
    else:
        title = "Which of these would help? A number, letters, or a click"
        screen = ChooseScreen(title, find, "No topic matches that.", typed)
        call.app.push_screen(screen, partial(go_through, call))


def go_through(call: CallScreen, name: str | None) -> None:
    """Ask what is left of a topic now."""
    topic = next((one for one in call.session.topics() if one.name == name), None)
    if topic is not None:
        call.changed(call.session.go_through(topic, call.clock()).tell)


def cautions(call: CallScreen) -> None:
    """Every caution again, with its words; a stop can be lifted there."""

    def then(asked: AskedFor | None) -> None:
        if asked == "signs":
            call.action_warnings()
        elif asked == "lift":
            screen = LineScreen(
                "Lift the stop",
                "Why is it safe to continue, and who said so? Only a clinician can assess the "
                "caller; your reason is stored with the call.",
                needed=True,
            )
            call.app.push_screen(screen, lift)

    def lift(reason: str | None) -> None:
        if reason is not None:
            reply = call.lift(reason)
            (call.changed if reply.taken else call.tell)(reply.tell)

    call.app.push_screen(CautionsScreen(call.now), then)


def interrupt(call: CallScreen) -> None:
    """Show stops and referrals that were not said yet, the gravest on top."""
    shown = [one for one in call.app.screen_stack if isinstance(one, CautionScreen)]
    waiting = {caution_screen.raised.caution.name for caution_screen in shown}
    for raised in reversed(call.session.now.to_say):
        if raised.caution.name not in waiting:
            screen = CautionScreen(raised, call.session.basis.contacts.name(call.now.country))
            call.app.push_screen(screen, partial(_dealt_with, call, raised))


def _dealt_with(call: CallScreen, raised: Raised, done: CautionReply | None) -> None:
    if done == "country":
        countries(call)
        return
    call.say(raised)
    call.changed(call.told.removeprefix("! "))


def note_page(call: CallScreen) -> None:
    """A note beside the chosen line of what was said, else beside the last answer."""
    said = call.query_one(SaidList)
    line = said.highlighted_option if said.has_focus else None
    name = line.id if line else call.session.last_answered
    if name is None:
        call.tell(NO_NOTE)
        return
    question = call.session.basis.tree.questions[name]

    def store(text: str | None) -> None:
        if text is not None:
            call.session.remark(question, text, call.clock())
            call.changed()

    old = call.now.call.latest()[name].note
    ask = in_units(question.ask, call.now.call.system)
    call.app.push_screen(LineScreen(f"A note: {question_label(name)}", ask, old), store)


def trial(call: CallScreen, typed: str = "") -> None:
    """What an answer would change; it is recorded only if the adviser then says so."""
    typed = typed or call.query_one(AnswerInput).value
    found = call.session.trial(typed)
    if isinstance(found, str):
        call.tell(found)
        return

    def then(keep: bool | None) -> None:
        if not keep:
            return
        reply = call.enter(typed)
        if not reply.taken and found.odd:
            # The trial said that the answer is odd, and the adviser recorded it.
            count = len(reply.proposals)
            reply = call.enter(LETTERS[count - 1] if count else typed)
        call.take(reply)

    call.app.push_screen(TrialScreen(found), then)


def why(call: CallScreen) -> None:
    """Why this chair and not another; of a call that follows one, what became of that."""
    now, basis, firsts = call.now, call.session.basis, call.firsts
    if now.first_reference and firsts is not None:
        in_thread(call, "why", partial(_compare, call, firsts, now), alone=True)
    elif not basis.tree.fits:
        call.tell(
            "consult does not know which call this one follows. Type /reference and its "
            "six characters."
        )
    elif now.fit is None or basis.range is None:
        call.tell(of_thing(NOTHING_TO_EXPLAIN, now.thing))
    else:
        in_thread(call, "why", partial(_explain, call, now), alone=True)


def _explain(call: CallScreen, now: State) -> None:
    from consult.ui.follow_up import why_text

    basis = call.session.basis
    text = why_text(basis, now if now.chosen else with_chair(basis, now))
    call.app.call_from_thread(call.app.push_screen, TextScreen(f"Why this {now.thing}", text))


def _compare(call: CallScreen, firsts: FirstCalls, now: State) -> None:
    from consult.ui.follow_up import then_and_now

    text = then_and_now(firsts.beside(now, call.session.basis))
    call.app.call_from_thread(call.app.push_screen, TextScreen("Then and now", text))


def load_first(call: CallScreen) -> None:
    """Read the first call whose chair this one sets up, where it was not read yet."""
    session, firsts = call.session, call.firsts
    wanted = session.first_wanted
    if not wanted or firsts is None:
        return

    def load() -> None:
        from consult.ui.follow_up import first_call

        found = first_call(firsts, wanted, session.basis)
        call.app.call_from_thread(follow, found)

    def follow(first_call: FirstCall) -> None:
        if session.first_wanted == first_call.said:
            session.follow(first_call, call.clock())
            call.changed(first_call.told)

    in_thread(call, "first", load, alone=True)


def finish(call: CallScreen) -> None:
    """What is missing, what is unsure, the read-back, and the summary."""
    from consult.ui.finishing import Finish

    end = Finish(call.session, call.clock, call.changed, call.kept, call.kept_as, call.firsts)
    call.app.push_screen(FinishScreen(end))


def undo(call: CallScreen) -> None:
    """Ask the last question again, with its answer to hand."""
    name = call.session.last_answered
    if name is None:
        call.tell("There is no answer yet to undo.")
    else:
        call.action_ask_now(name)


def sheet(call: CallScreen) -> None:
    """The measuring sheet, for a caller who measures later."""
    from consult.ui.finishing import sheet_of

    found = sheet_of(call.session, call.clock, call.reference)
    if isinstance(found, str):
        call.tell(found)
    else:
        call.app.push_screen(SheetScreen(found))


PAGES: Mapping[str, Callable[[CallScreen], object]] = {
    "cautions": cautions,
    "country": countries,
    "go_to": show_open_questions,
    "note": note_page,
    "picture": lambda call: call.app.push_screen(PictureScreen(call.session.whole())),
    "price": lambda call: call.tell(price_line(call.session.whole(), call.session.basis.range), ""),
    "sheet": sheet,
    "thorough": lambda call: call.changed(call.session.turn_thorough(call.clock()).tell),
    "topics": topics,
    "try_out": trial,
    "undo": undo,
    "when": lambda call: call.tell(ready_line(call.session.whole()), ""),
    "why": why,
}
"""By the name that the keys have for them."""


def do_word(call: CallScreen, said: str) -> bool:
    """Do what a word after a slash names; whether it named something."""
    meant = action_meant(said, call.WORDS, _WITH_TEXT, call.session.basis.tree)
    if meant is None:
        return False
    answer = call.query_one(AnswerInput)
    if meant.trouble:
        call.tell(meant.trouble)
        answer.select_all()
        return True
    answer.value = ""
    if meant.text:
        _WITH_TEXT[meant.action](call, meant.text)
    else:
        call.call_next(call.run_action, meant.action)
    return True


def _note_at_once(call: CallScreen, text: str) -> None:
    """Keep a note beside the last answer."""
    name = call.session.last_answered
    if name is None:
        call.tell(NO_NOTE)
        return
    call.session.remark(call.session.basis.tree.questions[name], text, call.clock())
    call.changed(f"Note added to: {question_label(name)}.")


def _amend(call: CallScreen, name: str) -> None:
    try:
        call.ask(fact_named(call.session.basis.tree, name).question)
    except Unclear as unclear:
        call.tell(str(unclear))


_WITH_TEXT: Mapping[str, Callable[[CallScreen, str], None]] = {
    "page('try_out')": trial,
    "page('note')": _note_at_once,
    "page('topics')": topics,
    "amend": _amend,
}
"""Actions that do something at once with the text after their word."""
