"""The help of the practice desk, and what the levels are."""

from __future__ import annotations

from typing import TYPE_CHECKING

from consult.ui.keys import key_lines
from consult.ui.practice.keys import KEYS

if TYPE_CHECKING:
    from consult.practice.log import Level

LEVELS: dict[Level, str] = {
    "guided": "the question to ask and its coaching stand on the desk",
    "loose": "the desk names what is open; you choose, then the words show",
    "bare": "nothing but the caller; you name what to ask",
}

HELP = f"""\
How a practice call goes
  1  Enter on an empty line asks what is on the desk (so does Alt+Q).
     F4 reads the coaching out first.
  2  Listen: the answer comes into the conversation.
  3  Type what you heard, then Enter, as in a real call: 5ft 2, 157, y, 2.

  Said out of turn?  /name and the value: /desk 73. /desk alone puts that
                     question on the desk.
  It sounds odd?     F10 has it measured, or said, once more.
  Not known?         ? or F2.
  A caution comes?   Press s to say it to the caller, word for word.
  At the end         F8 names the chair to the caller, and ends the call.
                     Then come the marks.

The caller is invented and cannot be harmed. Nothing goes into the records
of real calls; the marks go into your record of practice and nowhere else.
A missed warning sign fails the call, whatever else was good in it.

Levels
  guided   {LEVELS["guided"]}
  loose    {LEVELS["loose"]}
  bare     {LEVELS["bare"]}
  A hint (Alt+H) costs a point, at every level.

Keys
{key_lines(KEYS)}
"""
