"""Every key of the desk, in one table: bindings, the palette and the help are read from it.

Letters that a browser keeps for itself (Ctrl+N, Ctrl+T, Ctrl+W) and that edit the answer line are
left alone.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from textual.binding import Binding


@dataclass(frozen=True, slots=True)
class Key:
    """One thing the adviser can do."""

    key: str
    action: str
    label: str
    does: str
    footer: bool = False

    @property
    def binding(self) -> Binding:
        """As the screen knows it."""
        return Binding(self.key, self.action, self.label, show=self.footer)

    @property
    def shown(self) -> str:
        """As people read it: F3, Ctrl+G, PgUp."""
        parts = self.key.split(",")[0].split("+")
        return "+".join(_NAMES.get(part, part.capitalize()) for part in parts)


_NAMES = {"pageup": "PgUp", "pagedown": "PgDn", "escape": "Esc"}

KEYS = (
    Key("f1", "help", "Help", "this help", footer=True),
    Key("f2", "unknown", "Unknown", "the caller does not know", footer=True),
    Key("f3", "amend", "Amend", "what was said; Up, Down, Enter amends a line", footer=True),
    Key("f4", "coach", "Coaching", "coaching on or off"),
    Key("f5", "units", "Units", "metric, imperial, both"),
    Key("f6", "cautions", "Cautions", "every caution, word for word; lifting a stop"),
    Key(
        "f7", "why", "Why", "why this chair, why not another; follow-up: then and now", footer=True
    ),
    Key("f8", "finish", "Finish", "what is missing, the read-back, the summary", footer=True),
    Key("f9", "app.calls", "Hold", "hold this call: a new one, or an earlier one", footer=True),
    Key("f12", "warnings", "Signs", "ask the warning signs now", footer=True),
    Key("ctrl+g", "go_to", "Go to", "go to any open question", footer=True),
    Key("ctrl+r", "remark", "Remark", "a note beside the chosen line, or the last answer"),
    Key("ctrl+y", "try_out", "Try", "try what is typed: what would it change?"),
    Key("ctrl+o", "country", "Country", "where the caller is: whose numbers are said"),
    Key("ctrl+s", "picture", "Side view", "the caller on the chair at the desk, to scale"),
    Key("ctrl+l", "large", "Large words", "the whole window for the words"),
    Key("ctrl+b", "app.contrast", "Contrast", "high contrast on or off"),
    Key("escape", "back", "Back", "back to the question at hand"),
    Key("pageup", "scroll_say(-1)", "Scroll up", "up in a long question"),
    Key("pagedown", "scroll_say(1)", "Scroll down", "down in a long question"),
    Key("ctrl+q", "app.quit", "Quit", "quit; the call is kept and can be gone on with"),
)
"""In the order of the help; those with ``footer`` stand at the foot of the screen too."""


def key_lines(keys: Sequence[Key] = KEYS) -> str:
    """The keys as lines of the help."""
    wide = max(9, *(len(one.shown) + 2 for one in keys))
    lines = [f"  {one.shown:<{wide}}{one.does}" for one in keys]
    return "\n".join([*lines, f"  {'Ctrl+P':<{wide}}every action by name"])
