"""Every key of the content desk, in one table: bindings, the palette and the help are read from it.

Keys that edit a text (Ctrl+A, Ctrl+K, Ctrl+W ...) and those a browser keeps are left alone. No key
means anything else at the call screen or in practice.
"""

from __future__ import annotations

from textual.binding import Binding
from textual.content import Content

from consult.ui.keys import Key, key_lines

EDIT_KEYS = (
    Key("f1", "help", "Help", "this help"),
    Key("alt+n", "turn", "Pane", "switch between outline, form, YAML and mistakes"),
    Key(
        "alt+a",
        "add",
        "Add",
        "add a question, pool, topic, sub-tree, choice, route, caution, advice or need",
    ),
    Key("ctrl+delete", "delete", "Delete", "delete what the cursor is on; asks first"),
    Key("alt+r", "rename", "Rename", "rename a question everywhere"),
    Key("ctrl+up,alt+up", "move(-1)", "Move up", "move a question, choice, route or caution up"),
    Key("ctrl+down,alt+down", "move(1)", "Move down", "move it down"),
    Key("ctrl+z", "undo", "Undo", "undo the last change"),
    Key("ctrl+y", "redo", "Redo", "redo the change"),
    Key("ctrl+s", "save", "Save", "save the changes in the draft"),
    Key("alt+m", "next_problem", "Mistake", "go to the next mistake"),
    Key("ctrl+f", "find", "Find", "find in the outline by name or wording"),
    Key("alt+v", "preview", "Preview", "the question as the adviser sees it"),
    Key("alt+e", "rehearse", "Rehearse", "rehearse from this question; nothing is stored"),
    Key("alt+i", "effect", "Impact", "what the draft changes for simulated callers"),
    Key("alt+d", "draw", "Draw", "the tree as a drawing and as a page to walk through"),
    Key("alt+p", "publish", "Publish", "make the draft live, with a reason"),
    Key("alt+y", "yaml", "YAML", "show or hide the YAML"),
    Key("alt+c", "app.contrast", "Contrast", "high contrast on or off"),
    Key("escape", "back", "Back", "back to the outline"),
    Key("ctrl+q", "app.quit", "Quit", "quit; asks if something is not saved"),
)
"""In the order of the help."""
EDIT_FOOT = ("f1", "alt+n", "alt+a", "ctrl+z", "ctrl+s", "alt+v", "alt+e")
"""Keys that stand at the foot of the screen too."""


def edit_bindings() -> list[Binding]:
    """The table as the desk knows it: these come before what a text field would do with them."""
    return [
        Binding(
            key.key, key.action, key.label, show=key.key in EDIT_FOOT, priority=key.key != "escape"
        )
        for key in EDIT_KEYS
    ]


def foot() -> Content:
    """The keys at the foot of the screen; a click does what the key does.

    One line of text: a footer made of a widget for each key would be built anew at every step.
    """
    keys = [key for key in EDIT_KEYS if key.key in EDIT_FOOT]
    parts = [
        f"[@click=screen.{key.action}][b]{key.shown.replace('Ctrl+', '^')}[/b] {key.label}[/]"
        for key in keys
    ]
    return Content.from_markup("  ".join(parts))


EDIT_HELP = f"""\
Rewording a question
  Type a word of it: the outline shows what contains it. Enter opens the nearest; type there.
  The draft changes as you type. Ctrl+Z undoes, Ctrl+S saves.

The outline
  ?  question   →  runs another tree   ◇  pool      ◆  topic; their questions are indented
  !  caution   ·  advice   +  need   =  always
  ✗2  two mistakes there               *  not saved yet

The form
  Up, Down or Tab go from field to field. Ctrl+U empties one. ▾: Enter shows the choices.
  Conditions (When, Skip when): Enter builds one from choices.
  Alt+A adds, Ctrl+Delete deletes, Ctrl+Up and Ctrl+Down move what the cursor is on.

The YAML shows the same text as the form. You can use either.

Mistakes are shown as you type. A draft with mistakes can be saved, but not published.

Keys
{key_lines(EDIT_KEYS)}
"""
