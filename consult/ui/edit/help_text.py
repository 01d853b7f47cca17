"""The help page of the content desk."""

from consult.ui.edit.keys import KEYS
from consult.ui.keys import key_lines

HELP = f"""\
Rewording a question
  Type a word of it: the outline shows what has it. Enter goes to the form; type there.
  What is typed is taken by itself. Ctrl+Z takes it back, Ctrl+S saves.

The outline
  ?  question   →  runs another tree   ◇  pool      ◆  topic; what is in them is set in
  !  caution   ·  advice   +  need   =  always
  ✗2  two mistakes there               *  not saved yet

The form
  Up, Down or Tab go from field to field. ▾: Enter shows what may be chosen.
  Conditions (When, Skip when): Enter puts one together by choosing.
  Alt+A adds, Ctrl+Delete deletes, Ctrl+Up and Ctrl+Down move what the cursor is on.

The YAML is the same text as the form shows. Nobody needs it; both may be used in turn.

Mistakes are told as you type. A draft with mistakes can be saved, but not published.

Keys
{key_lines(KEYS)}
"""
