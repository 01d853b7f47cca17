"""Every key of the practice desk: those of the call desk, and those that speak to the caller.

What makes no sense in practice, as holding a call, is left out; no key means anything else here.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from consult.ui.keys import CALL_KEYS, Key, key_lines

if TYPE_CHECKING:
    from consult.practice.model import Guidance

_OWN = (
    Key(
        "alt+q",
        "ask_caller",
        "Ask",
        "ask the question on the screen (as Enter on an empty line)",
        word="ask",
    ),
    Key("f4", "coach", "Coach", "read the coaching to the caller, then ask", word="coach"),
    Key("f10", "ask_again", "Again", "ask for it to be said or measured again", word="again"),
    Key("ctrl+g", "go_to", "Choose", "choose what to ask; or type /name and Enter", word="goto"),
    Key("alt+h", "hint", "Hint", "what to do next; costs points, asks first", word="hint"),
    Key("f8", "finish", "End", "recommend the chair, end the call, see the score", word="finish"),
    Key("pageup", "scroll_talk(-1)", "Scroll up", "up in the conversation"),
    Key("pagedown", "scroll_talk(1)", "Scroll down", "down in the conversation"),
    Key("alt+pageup", "scroll_say(-1)", "Words up", "up in a long question"),
    Key("alt+pagedown", "scroll_say(1)", "Words down", "down in a long question"),
    Key("ctrl+q", "app.quit", "Leave", "leave the call without a score; asks first", word="quit"),
)
_NOT_HERE = ("app.calls", "page('country')", "page('topics')")
"""There is one call, its caller stays where they are, and finding what to ask is the exercise."""
_TAKEN = {"f1", *(key.key for key in _OWN)}
_HELP = next(key for key in CALL_KEYS if key.action == "help")

PRACTICE_KEYS = (
    *(_HELP, *_OWN),
    *(key for key in CALL_KEYS if key.key not in _TAKEN and key.action not in _NOT_HERE),
)
"""In the order of the help."""
PRACTICE_FOOT = ("f1", "alt+q", "f4", "f10", "ctrl+g", "alt+h", "f8", "f2")
"""Keys that stand at the foot of the screen too."""


LEVEL_DOES: dict[Guidance, str] = {
    "guided": "shows the question to ask and its coaching",
    "partly_guided": "shows the open questions; you choose one, then see its words",
    "unaided": "shows only the caller; you type what to ask",
}

PRACTICE_HELP = f"""\
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
  guided         {LEVEL_DOES["guided"]}
  partly guided  {LEVEL_DOES["partly_guided"]}
  unaided        {LEVEL_DOES["unaided"]}
  A hint (Alt+H) costs a point, at every level.

Keys
{key_lines(PRACTICE_KEYS)}
"""
