"""Text somebody typed, shown so that it can do nothing to a terminal, a line or its neighbours."""

from __future__ import annotations

import re

from consult.visible import TURNING

_LINE_END = re.compile("\r\n|[\n\r\t\u2028\u2029]")
_ESCAPE, _DELETE, _REPLACED = "\u241b", "\u2421", "\ufffd"
_TABLE: dict[int, str] = {
    **{code: chr(0x2400 + code) for code in range(0x20)},
    0x7F: _DELETE,
    # Each of these stands for escape and a letter; shown as that, it says what it was.
    **{code: _ESCAPE + chr(code - 0x40) for code in range(0x80, 0xA0)},
    **dict.fromkeys(TURNING, _REPLACED),
    # Half a character cannot be written to a file.
    **dict.fromkeys(range(0xD800, 0xE000), _REPLACED),
}


def harmless(text: str) -> str:
    """The text on one line, control characters shown as symbols."""
    return _LINE_END.sub(" ", text).translate(_TABLE)
