"""The terminal application: holds the basis and the open calls."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextlib import suppress
from datetime import datetime
from typing import TYPE_CHECKING

from textual import work
from textual.screen import Screen

from consult.call.call import Call
from consult.call.session import Session
from consult.records.call_trees import led_with
from consult.records.desk_calls import BEAT, NOBODY, CallRefused
from consult.tree.placeholders import in_units
from consult.ui.call_screen import CallScreen
from consult.ui.dialogs import AskScreen, ChoiceLine, ChooseScreen
from consult.ui.keys import KEYS
from consult.ui.program import Program

if TYPE_CHECKING:
    from consult.call.basis import Basis
    from consult.records.call_trees import FirstCalls, LiveTrees
    from consult.records.desk_calls import DeskCalls
    from consult.ui.live_words import LiveWords

NEW = "new call"
"""Not the name of any call: those have no space."""


class ConsultApp(Program):
    """Several calls, one of them on the screen."""

    TITLE = "consult"
    CSS_PATH = "consult.tcss"
    DESK_KEYS = KEYS

    def __init__(
        self,
        basis: Basis,
        call: Call,
        kept: DeskCalls,
        clock: Callable[[], datetime],
        open_first: str = "",
        firsts: FirstCalls | None = None,
        live: LiveTrees | None = None,
    ) -> None:
        """``open_first`` is the reference of a stored call to continue.

        ``firsts`` looks at the calls that others follow. ``live`` knows what new calls begin with;
        where there is none, as a tree was named, every call at the desk is led with ``basis``.
        """
        super().__init__()
        self.firsts = firsts
        self.live = live
        self.open_first = open_first
        self.basis = basis
        self.kept = kept
        self.clock = clock
        fresh = Call(call.today, call.system, call.country)
        self.fresh = fresh.led_in_full(True) if call.thorough else fresh
        self.calls: dict[str, CallScreen] = {}
        self._live: LiveWords | None = None
        self.at_desk = kept.new(clock())
        self._open(self.at_desk, call, basis)

    @property
    def desk(self) -> CallScreen:
        """The call at hand."""
        return self.calls[self.at_desk]

    def _open(self, name: str, call: Call, basis: Basis) -> None:
        session = Session(basis, call, self.clock())
        self.calls[name] = CallScreen(session, self.kept, name, self.clock, self.firsts)

    def on_mount(self) -> None:
        self.install_screen(self.desk, self.at_desk)
        self.push_screen(self.at_desk)
        self.desk.call_after_refresh(self.kept.start, self._records_open)
        self.set_interval(BEAT, self._beat)

    def on_unmount(self) -> None:
        """Mark the calls as closed, so that another desk can continue them."""
        for name in self.calls:
            self._leave(name)

    def post_display_hook(self) -> None:
        """In a browser, tell its page in words what is drawn now."""
        if self.is_web and self.screen_stack:
            from textual.drivers.web_driver import WebDriver

            from consult.ui.live_words import live_words

            words = live_words(self.screen)
            if words != self._live and isinstance(self._driver, WebDriver):
                self._live = words
                self._driver.write_meta({"type": "words", "words": words})

    def _records_open(self) -> None:
        """Runs in the thread that opened the records; does nothing once the desk is closed."""
        with suppress(RuntimeError):
            self.call_from_thread(self._tell_notices)

    def _tell_notices(self) -> None:
        if self.open_first:
            self._open_kept(self.open_first)
        if self.kept.notices:
            # A call just opened is not drawn yet, and could not say it.
            self.desk.call_after_refresh(self._tell_besides, self.desk, tuple(self.kept.notices))
            self.kept.notices.clear()

    def _tell_besides(self, desk: CallScreen, told: Sequence[str]) -> None:
        # What is told already stays: that a first call was stopped may have come before.
        desk.tell("\n".join(filter(None, (desk.told, *told))), "")

    @work(thread=True, group="beat", exit_on_error=False)
    def _beat(self) -> None:
        for name in list(self.calls):
            lost = self.kept.beat(name)
            if lost:
                self.call_from_thread(self.calls[name].tell, lost)
        news = self.live.news() if self.live else ""
        if news:
            self.call_from_thread(self.desk.tell, news, "")

    # -- several calls ------------------------------------------------------------------------

    def action_calls(self) -> None:
        """Put the call on hold and choose another; Escape continues it."""
        self.desk.session.hold(self.clock())
        title = "This call is on hold. Choose a new call or another one, or Esc to continue."
        none = "No call matches that."
        self.push_screen(ChooseScreen(title, self._lines, none), self._chosen)

    def _lines(self, typed: str) -> list[ChoiceLine]:
        held = [ChoiceLine(name, self._held(desk)) for name, desk in self.calls.items()]
        mine = [ChoiceLine(NEW, "A new call"), *held]
        shown = [one for one in mine if typed.casefold() in one.text.casefold()]
        here = {desk.reference for desk in self.calls.values()}
        found = [one for one in self.kept.find(typed) if one.name not in here]
        return [*shown, *(ChoiceLine(one.name, one.text) for one in found)]

    def _held(self, desk: CallScreen) -> str:
        now = desk.session.now
        question = now.current
        where = f"next: {in_units(question.ask, now.call.system)}" if question else "at its end"
        this = "This call" if desk is self.desk else "On hold"
        return f"{this}: {now.caller_name or NOBODY}, {where}"

    def _chosen(self, name: str | None) -> None:
        told = ""
        if name == NEW:
            if self.live:
                self.basis, told = self.live.now()
            name = self.kept.new(self.clock(), self.basis)
            self._open(name, self.fresh, self.basis)
        if name and name not in self.calls:
            self._open_kept(name)
        elif name:
            self._turn_to(name)
            if told:
                self.desk.call_after_refresh(self.desk.tell, told, "")
        else:
            self.desk.session.go_on(self.clock())

    def _open_kept(self, name: str, *, anyway: bool = False) -> None:
        seen = self.firsts.kept(name) if self.firsts else ""
        if not isinstance(seen, str) and seen.versions.tree != self.basis.tree.name:
            # Its answers belong to the questions of another tree, and so do the rules of what is
            # private.
            self.desk.session.go_on(self.clock())
            self.desk.tell(
                f"{name} was taken with other questions, {seen.versions.tree}. Open it in "
                f"another terminal: consult call --open {name}"
            )
            return
        basis = self.basis
        if self.live and not isinstance(seen, str):
            basis = led_with(seen.versions, basis)
        call = self.kept.open(name, anyway=anyway, basis=basis)
        if not isinstance(call, CallRefused):
            self._open(name, call, basis)
            self._turn_to(name)
            return
        self.desk.session.go_on(self.clock())
        if call.elsewhere:
            asked = f"{call.text}\n\nWhat was said there is stored."
            self.push_screen(
                AskScreen(asked, "y takes it over, Esc cancels."),
                lambda yes: self._open_kept(name, anyway=True) if yes else None,
            )
        else:
            self.desk.tell(call.text)

    def _turn_to(self, name: str) -> None:
        if name != self.at_desk:
            self._leave(self.at_desk)
            self.at_desk = name
            if not self.is_screen_installed(self.desk):
                self.install_screen(self.desk, name)
            self.switch_screen(name)
            told = self.kept.unsaid(name)
            if told:
                self.desk.call_after_refresh(self.desk.tell, told, "")
        self.desk.session.go_on(self.clock())

    def _leave(self, name: str) -> None:
        """Leave a call: at its end it is finished, before that anybody may continue it."""
        self.kept.leave(name, self.calls[name].session, self.firsts)

    def offers_keys(self, screen: Screen[object]) -> bool:  # noqa: ARG002 - also from a page
        """The palette may be opened over any screen: the present call lies below."""
        return True
