"""Text from people made safe to print: control characters shown, never obeyed."""

from __future__ import annotations

_PICTURES = {code: 0x2400 + code for code in range(32) if chr(code) not in "\n\t"} | {0x7F: 0x2421}
_C1 = dict.fromkeys(range(0x80, 0xA0), "\N{REPLACEMENT CHARACTER}")
_SHOWN: dict[int, int | str] = {**_PICTURES, **_C1}


def visible(text: str) -> str:
    """The text with control characters as visible signs; lines and tabs stay."""
    return text.translate(_SHOWN).encode("utf-8", "replace").decode("utf-8")
