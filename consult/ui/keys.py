"""Every key of the call screen, in one table: bindings, the palette and the help are read from it.

Every action has a word too, typed after a slash: "/finish". Letters that a browser keeps for itself
(Ctrl+N, Ctrl+T, Ctrl+W), that tmux does (Ctrl+B) and that edit the answer line are left alone.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from textual.binding import Binding
from textual.content import Content
from textual.reactive import reactive
from textual.style import Style
from textual.widget import Widget

from consult.ui.widgets.part import Settled

if TYPE_CHECKING:
    from textual.events import MouseDown, MouseMove
    from textual.screen import Screen

Hint = tuple[str, str, str]
"""A key at the foot: its name, as people read it, and what it does."""


@dataclass(frozen=True, slots=True)
class Key:
    """One thing the adviser can do, by a key and by a word after a slash."""

    key: str
    action: str
    label: str
    does: str
    word: str = ""
    """Typed after a slash it does the same: terminals and browsers keep many keys to themselves."""

    @property
    def shown(self) -> str:
        """As people read it: F3, Ctrl+G, PgUp."""
        parts = self.key.split(",")[0].split("+")
        return "+".join(_NAMES.get(part, part.capitalize()) for part in parts)


@dataclass(frozen=True, slots=True)
class Word:
    """Something that is done by its word alone."""

    word: str
    action: str
    does: str


_NAMES = {"pageup": "PgUp", "pagedown": "PgDn", "escape": "Esc"}

CALL_KEYS = (
    Key("f1", "help", "Help", "this help", word="help"),
    Key("f2", "unknown", "Unknown", "the caller does not know", word="unknown"),
    Key("f3", "amend", "Amend", "change an answer: Up, Down, Enter", word="amend"),
    Key("f4", "coach", "Coaching", "show or hide the coaching", word="coach"),
    Key("f5", "units", "Units", "metric, imperial or both", word="units"),
    Key("f6", "page('cautions')", "Cautions", "read the cautions; lift a stop", word="cautions"),
    Key(
        "f7",
        "page('why')",
        "Why",
        "why this chair and not another; in a follow-up: then and now",
        word="why",
    ),
    Key("f8", "finish", "Finish", "what is missing, the read-back and the summary", word="finish"),
    Key("f9", "app.calls", "Hold", "put this call on hold; start or open another", word="hold"),
    Key("f12", "warnings", "Signs", "ask the warning signs now", word="signs"),
    Key("ctrl+g", "page('go_to')", "Go to", "go to any open question", word="goto"),
    Key(
        "down",
        "page('topics')",
        "Topics",
        "topics to go through: what they may change, how long they take",
        word="topics",
    ),
    Key("ctrl+r", "page('note')", "Note", "add a note to the chosen or last answer", word="note"),
    Key("alt+t", "page('try_out')", "Try", "show what the typed answer would change", word="try"),
    Key(
        "ctrl+o",
        "page('country')",
        "Country",
        "the caller's country: decides whom to contact",
        word="country",
    ),
    Key(
        "alt+s",
        "page('picture')",
        "Side view",
        "the caller on the chair at the desk, to scale",
        word="picture",
    ),
    Key(
        "ctrl+l", "large", "Large words", "use the whole window for the words to say", word="large"
    ),
    Key("alt+c", "app.contrast", "Contrast", "high contrast on or off", word="contrast"),
    Key("escape", "back", "Back", "back to the current question", word="back"),
    Key("pageup", "scroll_say(-1)", "Scroll up", "up in a long question"),
    Key("pagedown", "scroll_say(1)", "Scroll down", "down in a long question"),
    Key(
        "ctrl+q",
        "app.quit",
        "Quit",
        "quit; the call is stored and you can continue it later",
        word="quit",
    ),
)
"""In the order of the help."""

CALL_FOOT = ("f8", "f12", "f1", "f2", "f3", "f7", "f9", "down")
"""Keys that stand at the foot of the screen too. A narrow one cuts off the last ones: the end of a
call and its warning signs stay there."""


def bindings(keys: Sequence[Key], foot: Sequence[str]) -> list[Binding]:
    """The table as a screen knows it, what stands at its foot first."""
    order = sorted(keys, key=lambda key: foot.index(key.key) if key.key in foot else len(foot))
    return [Binding(key.key, key.action, key.label, show=key.key in foot) for key in order]


SLASH_WORDS = (
    Word(
        "thorough",
        "page('thorough')",
        "ask everything that may matter; again: only what is worth its time",
    ),
    Word("undo", "page('undo')", "ask the last question again and show its answer"),
    Word("price", "page('price')", "what the chair costs"),
    Word("when", "page('when')", "when the chair can be delivered"),
    Word("sheet", "page('sheet')", "the measuring sheet, to send: what is still to be measured"),
)


def actions_by_word(keys: Sequence[Key], more: Sequence[Word] = ()) -> dict[str, str]:
    """Every word that may follow a slash -> its action."""
    pairs = [(key.word, key.action) for key in keys] + [(word.word, word.action) for word in more]
    return {word: action for word, action in pairs if word}


def key_lines(keys: Sequence[Key] = CALL_KEYS) -> str:
    """The keys as lines of the help, each with its word."""
    wide = max(9, *(len(key.shown) + 2 for key in keys))
    worded = max(len(key.word) + 3 for key in keys) if any(key.word for key in keys) else 0
    lines = [
        f"  {key.shown:<{wide}}{f'/{key.word}' if key.word else '':<{worded}}{key.does}"
        for key in keys
    ]
    return "\n".join([*lines, f"  {'Ctrl+P':<{wide}}{'':<{worded}}every action by name"])


class Foot(Settled, Widget):
    """The keys at the foot of a screen, as one line; a click does what the key does.

    A widget for each key, made anew when the keys change, costs more than most answers do.
    """

    ALLOW_SELECT = False
    DEFAULT_CSS = """
    Foot { dock: bottom; height: 1; color: $footer-foreground; background: $footer-background;
        text-wrap: nowrap; text-overflow: clip; }
    """
    over: reactive[str] = reactive("")
    """The key that the mouse is over."""
    hints: reactive[tuple[Hint, ...]] = reactive[tuple[Hint, ...]](())

    def on_mount(self) -> None:
        self.screen.bindings_updated_signal.subscribe(self, self.bindings_changed)

    def bindings_changed(self, screen: Screen[object]) -> None:
        """Show the keys that count now; of those that do the same the first."""
        if screen.app.app_focus and self.is_attached and screen is self.screen:
            hints: dict[str, Hint] = {}
            for _, binding, _, _ in screen.active_bindings.values():
                if binding.show:
                    shown = screen.app.get_key_display(binding)
                    hints.setdefault(binding.action, (binding.key, shown, binding.description))
            self.hints = tuple(hints.values())

    def render(self) -> Content:
        return Content("").join(self._words(*hint) for hint in self.hints)

    def _words(self, key: str, shown: str, does: str) -> Content:
        at = " on $block-hover-background" if key == self.over else ""
        words = Content.assemble(
            (f" {shown} ", f"bold $footer-key-foreground{at}"),
            (f"{does} ", f"$footer-description-foreground{at}"),
        )
        return words.stylize(Style.from_meta({"key": key}))

    def on_mouse_move(self, event: MouseMove) -> None:
        self.over = event.style.meta.get("key", "")

    def on_leave(self) -> None:
        self.over = ""

    def on_mouse_down(self, event: MouseDown) -> None:
        if key := event.style.meta.get("key"):
            self.app.simulate_key(key)


_WORD_LINES = "\n".join(f"  /{word.word:<9}{word.does}" for word in SLASH_WORDS)
CALL_HELP = f"""\
Answers
  Type what the caller says and press Enter: 5ft 2, 157, about 40 cm, 40-42 cm, 9st 4.
  Choices: the number, the name, or its first letters; several with commas between.
  Yes or no: y or n.  Dates: 2 December, in 2 weeks, next Tuesday.
  ? or F2: the caller does not know. The rest is estimated and says how sure it is.
  A number without a unit is in the caller's units. If an answer can mean two things, both are
  shown: Enter chooses the first, Tab the second; or type the answer again.
  consult asks you to check an odd measure. Have it measured again; if it is right, press Enter.
  You can enter an answer early: /desk 73, /lower leg 41, /glasses varifocals. Its question is
  then not asked. /desk alone goes to that question. Type // for a text that starts with /.
  No tape at hand: /tape no. Then nothing is asked that needs one.
  Several in one line, with commas: /leg 41, thigh 47, desk 73. What cannot be read stays in the
  line, selected; the others are stored.
  /country Germany, or /country DE: the caller's country, which decides whom to contact.

Keys and words
{key_lines()}
{_WORD_LINES}
  A word followed by text does it at once: /note prefers mornings, /try 70 cm, /amend height.

Symbols
  »  changed with the last answer      !  needs attention      ?  not known
  ±  nine in ten callers with these measures are within this
  m, meas.  measured    e, est.  estimated    p, part.  partly each    g  given

Large words: the window shows only the words, so you can enlarge the letters of the terminal
or browser until forty fill a line.

This is not medical advice. A warning sign always comes before a chair.
"""
