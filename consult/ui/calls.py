"""The calls at one desk: new ones, those on hold, and those taken up from the records."""

from __future__ import annotations

from typing import TYPE_CHECKING

from consult.call.call import Call
from consult.call.session import Session
from consult.records.call_trees import led_with
from consult.records.desk_calls import BEAT, NOBODY, CallRefused
from consult.tree.placeholders import in_units
from consult.ui.call_screen import CallScreen
from consult.ui.dialogs import AskScreen, ChooseScreen, having

if TYPE_CHECKING:
    from consult.call.basis import Basis
    from consult.records.desk_calls import Begun
    from consult.ui.app import ConsultApp

NEW = "new call"
"""Not the name of any call: those have no space."""


class CallsAtDesk:
    """Several calls, one of them at hand; each is kept for as long as it is here."""

    BEAT = BEAT

    def __init__(self, app: ConsultApp, begun: Begun) -> None:
        self.app, self.kept, self.clock = app, begun.kept, begun.clock
        self.basis, self.firsts, self.live = begun.basis, begun.firsts, begun.live
        self.open_first = begun.open_first
        call = begun.call
        fresh = Call(call.today, call.system, call.country)
        self.fresh = fresh.led_in_full(True) if call.thorough else fresh
        self.open: dict[str, CallScreen] = {}
        self.at_hand = self.kept.new(self.clock())
        """What the call on the screen is kept under."""
        self._open(self.at_hand, call, begun.basis)

    @property
    def screen(self) -> CallScreen:
        return self.open[self.at_hand]

    def leave_all(self) -> None:
        for name in self.open:
            self._leave(name)

    def beat(self) -> None:
        """From a thread: tell the records that the calls are open here, and look for news."""
        for name in list(self.open):
            lost = self.kept.beat(name)
            if lost:
                self.app.call_from_thread(self.open[name].tell, lost)
        news = self.live.news() if self.live else ""
        if news:
            self.app.call_from_thread(self.screen.tell, news, "")

    def tell_notices(self) -> None:
        """The records are open: continue the call named at the start, and say what they told."""
        if self.open_first:
            self.open_kept(self.open_first)
        if self.kept.notices:
            screen, told = self.screen, tuple(self.kept.notices)

            def tell() -> None:
                # What is told already stays: that a first call was stopped may have come before.
                screen.tell("\n".join(filter(None, (screen.told, *told))), "")

            # A call just opened is not drawn yet, and could not say it.
            screen.call_after_refresh(tell)
            self.kept.notices.clear()

    def choose(self) -> None:
        """Put the call on hold and choose another; Escape continues it."""
        self.screen.session.hold(self.clock())
        title = "This call is on hold. Choose a new call or another one, or Esc to continue."
        none = "No call matches that."
        self.app.push_screen(ChooseScreen(title, self._lines, none), self._chosen)

    def _lines(self, typed: str) -> dict[str, str]:
        held = {name: self._held(screen) for name, screen in self.open.items()}
        here = {screen.reference for screen in self.open.values()}
        lines = {call.name: call.text for call in self.kept.find(typed) if call.name not in here}
        return {**having({NEW: "A new call", **held})(typed), **lines}

    def _held(self, screen: CallScreen) -> str:
        now, question = screen.session.now, screen.session.now.current
        where = f"next: {in_units(question.ask, now.call.system)}" if question else "at its end"
        this = "This call" if screen is self.screen else "On hold"
        return f"{this}: {now.caller_name or NOBODY}, {where}"

    def _chosen(self, name: str | None) -> None:
        told = ""
        if name == NEW:
            if self.live:
                self.basis, told = self.live.now()
            name = self.kept.new(self.clock(), self.basis)
            self._open(name, self.fresh, self.basis)
        if name and name not in self.open:
            self.open_kept(name)
        elif name:
            self.turn_to(name)
            if told:
                self.screen.call_after_refresh(self.screen.tell, told, "")
        else:
            self.screen.session.go_on(self.clock())

    def open_kept(self, name: str, *, anyway: bool = False) -> None:
        """Continue a stored call here; with ``anyway`` one that is open elsewhere, too."""
        seen = self.firsts.kept(name) if self.firsts else ""
        if not isinstance(seen, str) and seen.versions.tree != self.basis.tree.name:
            # Its answers belong to the questions of another tree, and so do the rules of what is
            # private.
            self.screen.session.go_on(self.clock())
            self.screen.tell(
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
            self.turn_to(name)
            return
        self.screen.session.go_on(self.clock())
        if call.elsewhere:
            asked = f"{call.text}\n\nWhat was said there is stored."
            self.app.push_screen(
                AskScreen(asked, "y takes it over, Esc cancels."),
                lambda yes: self.open_kept(name, anyway=True) if yes else None,
            )
        else:
            self.screen.tell(call.text)

    def _open(self, name: str, call: Call, basis: Basis) -> None:
        session = Session(basis, call, self.clock())
        self.open[name] = CallScreen(session, self.kept, name, self.clock, self.firsts)

    def turn_to(self, name: str) -> None:
        if name != self.at_hand:
            self._leave(self.at_hand)
            self.at_hand = name
            if not self.app.is_screen_installed(self.screen):
                self.app.install_screen(self.screen, name)
            self.app.switch_screen(name)
            told = self.kept.unsaid(name)
            if told:
                self.screen.call_after_refresh(self.screen.tell, told, "")
        self.screen.session.go_on(self.clock())

    def _leave(self, name: str) -> None:
        """Leave a call: at its end it is finished, before that anybody may continue it."""
        self.kept.leave(name, self.open[name].session, self.firsts)
