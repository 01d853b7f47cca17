"""The terminal application: a first question while the rest is loaded, then the calls."""

from __future__ import annotations

from contextlib import suppress
from typing import TYPE_CHECKING

from textual import work
from textual.screen import Screen

from consult.ui.keys import KEYS
from consult.ui.opening import FirstSight, OpeningScreen
from consult.ui.program import Program

if TYPE_CHECKING:
    from consult.records.desk_calls import Begun
    from consult.ui.call_screen import CallScreen
    from consult.ui.calls import CallsAtDesk
    from consult.ui.live_words import LiveWords


class ConsultApp(Program):
    """Several calls, one of them on the screen."""

    TITLE = "consult"
    CSS_PATH = "consult.tcss"
    DESK_KEYS = KEYS

    def __init__(self, start: Begun | FirstSight) -> None:
        """Either all there is to begin with, or a first question and how to come by the rest."""
        super().__init__()
        self._first = start if isinstance(start, FirstSight) else None
        self._words: LiveWords | None = None
        self.at_desk: CallsAtDesk | None = None
        """None until everything is loaded, and where it could not be."""
        if not isinstance(start, FirstSight):
            self._begin(start)

    @property
    def desk(self) -> CallScreen | None:
        """The call at hand."""
        return self.at_desk.screen if self.at_desk else None

    def _begin(self, begun: Begun) -> CallsAtDesk:
        # What a call needs takes longer to load than the first question takes to be shown.
        from consult.ui.calls import CallsAtDesk

        self.at_desk = CallsAtDesk(self, begun)
        return self.at_desk

    def on_mount(self) -> None:
        if self.at_desk is not None:
            self._start(self.at_desk)
        elif self._first is not None:
            self.push_screen(OpeningScreen(self._first.ask))

    def on_ready(self) -> None:
        """Load the rest once the first question is drawn; before this nothing is."""
        if self.at_desk is None and self._first is not None:
            self.screen.refresh().call_after_refresh(self._load, self._first)

    def _load(self, first: FirstSight) -> None:
        begun = first.begin()
        if begun is None:
            self.exit()
            return
        self._start(self._begin(begun))

    def _start(self, calls: CallsAtDesk) -> None:
        self.install_screen(calls.screen, calls.at_hand)
        if self._first is None:
            self.push_screen(calls.at_hand)
        else:
            self.switch_screen(calls.at_hand)
        calls.screen.call_after_refresh(self.all_loaded)
        calls.screen.call_after_refresh(calls.kept.start, self._records_open)
        self.set_interval(calls.BEAT, self.beat)

    def on_unmount(self) -> None:
        """Mark the calls as closed, so that another desk can continue them."""
        if self.at_desk is not None:
            self.at_desk.leave_all()

    def post_display_hook(self) -> None:
        """In a browser, tell its page in words what is drawn now."""
        if self.is_web and self.screen_stack:
            from textual.drivers.web_driver import WebDriver

            from consult.ui.live_words import live_words

            words = live_words(self.screen)
            if words != self._words and isinstance(self._driver, WebDriver):
                self._words = words
                self._driver.write_meta({"type": "words", "words": words})

    def _records_open(self) -> None:
        """Runs in the thread that opened the records; does nothing once the desk is closed."""
        if self.at_desk is not None:
            with suppress(RuntimeError):
                self.call_from_thread(self.at_desk.tell_notices)
                self.call_from_thread(self.all_loaded)

    @work(thread=True, group="beat", exit_on_error=False)
    def beat(self) -> None:
        """Tell the records that the calls are open here, and look for a new version."""
        if self.at_desk is not None:
            self.at_desk.beat()

    def action_calls(self) -> None:
        """Put the call on hold and choose another; Escape continues it."""
        if self.at_desk is not None:
            self.at_desk.choose()

    def offers_keys(self, screen: Screen[object]) -> bool:  # noqa: ARG002 - also from a page
        """The palette may be opened over any screen: the present call lies below."""
        return self.at_desk is not None
