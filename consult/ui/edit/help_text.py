"""The help page of the content desk."""

from consult.ui.edit.keys import KEYS
from consult.ui.keys import key_lines

HELP = f"""\
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
{key_lines(KEYS)}
"""
