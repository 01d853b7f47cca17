"""The terminal application: holds the basis and opens the call desk."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from textual.app import App, SystemCommand
from textual.screen import Screen

from consult.ui.call_screen import CallScreen

if TYPE_CHECKING:
    from consult.call.basis import Basis
    from consult.call.call import Call


class ConsultApp(App[None]):
    """One call at a time."""

    TITLE = "consult"
    CSS_PATH = "consult.tcss"

    def __init__(
        self,
        basis: Basis,
        call: Call,
        file: Path,
        clock: Callable[[], datetime] = datetime.now,
    ) -> None:
        super().__init__()
        self.basis = basis
        self.desk = CallScreen(basis, call, file, clock)

    def on_mount(self) -> None:
        self.push_screen(self.desk)

    def get_system_commands(self, screen: Screen[object]) -> Iterable[SystemCommand]:
        """Everything the keys do, by name."""
        yield from super().get_system_commands(screen)
        desk = self.desk
        yield SystemCommand("Not known", "The caller does not know", desk.action_unknown)
        yield SystemCommand("Amend", "Change an earlier answer", desk.action_amend)
        yield SystemCommand("Coaching", "Show or hide coaching", desk.action_coach)
        yield SystemCommand("Units", "Metric, imperial, both", desk.action_units)
        yield SystemCommand("Cautions", "Every caution, word for word", desk.action_cautions)
        yield SystemCommand("Why", "Why this chair and not another", desk.action_why)
        yield SystemCommand("Finish", "Summary and saving", desk.action_finish)
        yield SystemCommand("Help", "Keys and answers", desk.action_help)
