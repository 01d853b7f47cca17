"""The terminal application: holds the basis and the calls at the desk."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from datetime import datetime
from functools import partial
from typing import TYPE_CHECKING, Protocol

from textual.app import App, SystemCommand
from textual.screen import Screen

from consult.call.call import Call
from consult.call.session import Session
from consult.ui.call_screen import CallScreen
from consult.ui.choose_screen import ChooseScreen, Line
from consult.ui.keys import KEYS
from consult.ui.themes import CONTRAST

if TYPE_CHECKING:
    from consult.call.basis import Basis
    from consult.call.state import State
    from consult.records.call_file import KeptCall

NEW = "new call"
"""Not the name of any call: those have no space."""


class Keeping(Protocol):
    """Where calls are kept."""

    def new(self, at: datetime) -> str:
        """The name under which a call that begins now will be kept."""

    def keep(self, name: str, now: State) -> str:
        """Keep the call as it stands; what went wrong, in words, or ''."""

    def find(self, typed: str) -> Sequence[KeptCall]:
        """Calls kept earlier, the latest first, by what is typed of name or reference."""

    def open(self, name: str) -> Call | str:
        """A call kept earlier; why it cannot be opened, in words."""


class ConsultApp(App[None]):
    """Several calls, one of them at the desk."""

    TITLE = "consult"
    CSS_PATH = "consult.tcss"

    def __init__(
        self,
        basis: Basis,
        call: Call,
        kept: Keeping,
        clock: Callable[[], datetime] = datetime.now,
    ) -> None:
        super().__init__()
        self.basis = basis
        self.kept = kept
        self.clock = clock
        self.fresh = Call(call.today, call.system, call.country)
        self.calls: dict[str, CallScreen] = {}
        self.at_desk = kept.new(clock())
        self._open(self.at_desk, call)

    @property
    def desk(self) -> CallScreen:
        """The call at hand."""
        return self.calls[self.at_desk]

    def _open(self, name: str, call: Call) -> CallScreen:
        session = Session(self.basis, call, self.clock())
        desk = CallScreen(session, partial(self.kept.keep, name), self.clock)
        self.calls[name] = desk
        return desk

    def on_mount(self) -> None:
        self.register_theme(CONTRAST)
        self.install_screen(self.desk, self.at_desk)
        self.push_screen(self.at_desk)

    def action_calls(self) -> None:
        """Put the call on hold and choose another; Escape goes on with it."""
        self.desk.session.hold(self.clock())
        title = "On hold. A new call, or which one? Esc goes on with this one."
        none = "No call goes with that."
        self.push_screen(ChooseScreen(title, self._lines, none), self._chosen)

    def _lines(self, typed: str) -> list[Line]:
        held = [Line(name, self._held(desk)) for name, desk in self.calls.items()]
        mine = [Line(NEW, "A new call"), *held]
        shown = [one for one in mine if typed.casefold() in one.text.casefold()]
        found = [one for one in self.kept.find(typed) if one.name not in self.calls]
        return [*shown, *(Line(one.name, one.text) for one in found)]

    def _held(self, desk: CallScreen) -> str:
        now = desk.session.now
        question = now.current
        where = f"next: {question.ask}" if question else "at its end"
        this = "This call" if desk is self.desk else "On hold"
        return f"{this}: {now.caller_name or 'no name yet'}, {where}"

    def _chosen(self, name: str | None) -> None:
        if name == NEW:
            name = self.kept.new(self.clock())
            self._open(name, self.fresh)
        elif name is not None and name not in self.calls:
            call = self.kept.open(name)
            if isinstance(call, str):
                self.desk.session.go_on(self.clock())
                self.desk.tell(call)
                return
            self._open(name, call)
        if name is not None and name != self.at_desk:
            self.at_desk = name
            if not self.is_screen_installed(self.desk):
                self.install_screen(self.desk, name)
            self.switch_screen(name)
        self.desk.session.go_on(self.clock())

    def action_contrast(self) -> None:
        """High contrast on or off."""
        usual = "textual-dark"
        self.theme = CONTRAST.name if self.theme != CONTRAST.name else usual

    def get_system_commands(self, screen: Screen[object]) -> Iterable[SystemCommand]:
        """Everything the keys do, by name."""
        yield from super().get_system_commands(screen)
        for key in KEYS:
            if "(" not in key.action and key.action != "app.quit":
                run = partial(self._run, key.action)
                yield SystemCommand(key.label, f"{key.does} ({key.shown})", run)

    async def _run(self, action: str) -> None:
        await self.desk.run_action(action)
