"""What every program of ours has: high contrast, and everything its keys do by name."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import partial
from typing import TYPE_CHECKING, ClassVar

from textual.app import App, SystemCommand
from textual.screen import Screen

from consult.ui.themes import CONTRAST

if TYPE_CHECKING:
    from consult.ui.keys import Key

_USUAL = "textual-dark"


class Program(App[None]):
    """A program with one desk whose keys stand in a table."""

    DESK_KEYS: ClassVar[Sequence[Key]] = ()

    @property
    def desk(self) -> Screen[None] | None:
        """Where the keys of the table mean something; None where it is not open."""
        raise NotImplementedError

    def offers_keys(self, screen: Screen[object]) -> bool:
        """Whether what the keys of the desk do can be chosen by name from this screen."""
        return screen is self.desk

    def on_mount(self) -> None:
        self.register_theme(CONTRAST)

    def action_contrast(self) -> None:
        """High contrast on or off."""
        self.theme = CONTRAST.name if self.theme != CONTRAST.name else _USUAL

    def get_system_commands(self, screen: Screen[object]) -> Iterable[SystemCommand]:
        """Everything the keys do, by name."""
        yield from super().get_system_commands(screen)
        if not self.offers_keys(screen):
            return
        for key in self.DESK_KEYS:
            if "(" not in key.action and key.action != "app.quit":
                run = partial(self._run, key.action)
                yield SystemCommand(key.label, f"{key.does} ({key.shown})", run)

    async def _run(self, action: str) -> None:
        if self.desk is not None:
            await self.desk.run_action(action)
