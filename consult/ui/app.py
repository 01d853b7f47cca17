"""The terminal programs: what all of them have, and the one of the calls."""

from __future__ import annotations

import gc
from collections.abc import Iterable, Sequence
from contextlib import suppress
from functools import partial
from typing import TYPE_CHECKING, ClassVar

from textual import work
from textual.app import App, SystemCommand
from textual.events import Event
from textual.events import Key as KeyPress
from textual.message import Message
from textual.screen import Screen
from textual.theme import Theme

from consult.ui.keys import CALL_KEYS
from consult.ui.opening import FirstSight, OpeningScreen

if TYPE_CHECKING:
    from consult.records.desk_calls import Begun
    from consult.ui.call_screen import CallScreen
    from consult.ui.calls import CallsAtDesk
    from consult.ui.keys import Key
    from consult.ui.live_words import LiveWords

_USUAL = "textual-dark"
_OFTEN = 700
"""Objects made between two collections of garbage, as Python has it."""


class Program(App[None]):
    """A program with one desk whose keys stand in a table."""

    class Ready(Message):
        """A screen is ready for the keys that were pressed before it was."""

    DESK_KEYS: ClassVar[Sequence[Key]] = ()

    def __init__(self) -> None:
        super().__init__()
        self._early: list[KeyPress] = []
        """Keys pressed before the screen that they were meant for was ready, in order."""

    @property
    def desk(self) -> Screen[None] | None:
        """Where the keys of the table mean something; None where it is not open."""
        raise NotImplementedError

    def offers_keys(self, screen: Screen[object]) -> bool:
        """Whether what the keys of the desk do can be chosen by name from this screen."""
        return screen is self.desk

    def on_mount(self) -> None:
        self.register_theme(CONTRAST)
        self.call_after_refresh(self.all_loaded)

    def all_loaded(self) -> None:
        """What is loaded by now stays to the end: a garbage collection that goes through all of it
        takes 75 ms, and could come between an answer and the next question. Once the desk is
        there they come often, and are short (``__main__`` puts them off while it loads)."""
        if not self.is_headless:
            gc.freeze()
            if self.desk is not None:
                gc.set_threshold(_OFTEN)

    async def on_event(self, event: Event) -> None:
        """Keys wait for a screen that is still opening, and are then delivered in order."""
        if not isinstance(event, KeyPress) or event.is_forwarded or self._for_page_alone():
            await super().on_event(event)
        elif isinstance(event, KeyPress):
            self._early.append(event)
            await self._deliver()

    def wait(self, event: KeyPress) -> None:
        """Deliver a key once the page that opened over its screen has closed."""
        self._early.append(KeyPress(event.key, event.character))

    def ready(self) -> None:
        """Tell that a screen is ready, so that keys pressed earlier are delivered to it."""
        self.post_message(self.Ready())

    async def on_program_ready(self) -> None:
        await self._deliver()

    async def _deliver(self) -> None:
        while self._early and self._accepts(early=True):
            await super().on_event(self._early.pop(0))

    def _for_page_alone(self) -> bool:
        """Whether the page on top takes only what is pressed while it is open."""
        return self._accepts(early=False) and not self._accepts(early=True)

    def _accepts(self, *, early: bool) -> bool:
        """Whether the screen on top is open, not the blank one of a start, and takes such keys."""
        screen = self.screen_stack[-1] if self.screen_stack else None
        if screen is None or type(screen) is Screen or not getattr(screen, "stands", True):
            return False
        return not early or getattr(screen, "EARLY_KEYS", True)

    def action_contrast(self) -> None:
        self.theme = CONTRAST.name if self.theme != CONTRAST.name else _USUAL

    def get_system_commands(self, screen: Screen[object]) -> Iterable[SystemCommand]:
        yield from super().get_system_commands(screen)
        if not self.offers_keys(screen):
            return
        for key in self.DESK_KEYS:
            if not key.action.startswith("scroll") and key.action != "app.quit":
                run = partial(self._run, key.action)
                yield SystemCommand(key.label, f"{key.does} ({key.shown})", run)

    async def _run(self, action: str) -> None:
        if self.desk is not None:
            await self.desk.run_action(action)


# -- high contrast: black and white, and one colour that carries no meaning -----------------------

CONTRAST = Theme(
    name="high-contrast",
    primary="#ffffff",
    secondary="#ffffff",
    accent="#ffff00",
    warning="#ffff00",
    error="#ffffff",
    success="#ffffff",
    foreground="#ffffff",
    background="#000000",
    surface="#000000",
    panel="#000000",
    boost="#000000",
    dark=True,
    text_alpha=1.0,
    variables={
        "text-muted": "#ffffff",
        "text-disabled": "#ffffff",
        "footer-key-foreground": "#ffff00",
        "input-cursor-background": "#ffff00",
        "input-cursor-foreground": "#000000",
        "input-selection-background": "#ffffff 40%",
        "block-cursor-background": "#ffff00",
        "block-cursor-foreground": "#000000",
    },
)
"""Contrast of 21 to 1, white on black (WCAG 2.2 asks for 7 to 1 at its strictest level)."""


class ConsultApp(Program):
    """Several calls, one of them on the screen."""

    TITLE = "consult"
    CSS_PATH = "consult.tcss"
    DESK_KEYS = CALL_KEYS

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
        if self.at_desk is not None:
            self.at_desk.choose()

    def offers_keys(self, screen: Screen[object]) -> bool:  # noqa: ARG002 - also from a page
        """The palette may be opened over any screen: the present call lies below."""
        return self.at_desk is not None
