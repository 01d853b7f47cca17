"""The help of the practice screen, and a line about each level."""

from __future__ import annotations

from typing import TYPE_CHECKING

from consult.ui.keys import key_lines
from consult.ui.practice.keys import KEYS

if TYPE_CHECKING:
    from consult.practice.model import Level

LEVELS: dict[Level, str] = {
    "guided": "shows the question to ask and its coaching",
    "partly_guided": "shows the open questions; you choose one, then see its words",
    "unaided": "shows only the caller; you type what to ask",
}

HELP = f"""\
How a practice call goes
  1  Enter on an empty line asks the question on the screen (so does Alt+Q).
     F4 reads the coaching out first.
  2  Listen: the answer appears in the conversation.
  3  Type what you heard, then Enter, as in a real call: 5ft 2, 157, y, 2.

  Answered early?    /name and the value: /desk 73. /desk alone shows that
                     question.
  Does it sound odd? F10 asks for it to be measured or said again.
  Not known?         ? or F2.
  A caution?         Press s to say it to the caller, word for word.
  At the end         F8 recommends the chair and ends the call. Then you
                     see your score.

The caller is invented. Nothing goes into the records of real calls; the score
goes only into your record of practice.
A missed warning sign fails the call, however good the rest was.

Levels
  guided         {LEVELS["guided"]}
  partly guided  {LEVELS["partly_guided"]}
  unaided        {LEVELS["unaided"]}
  A hint (Alt+H) costs a point, at every level.

Keys
{key_lines(KEYS)}
"""
