"""Text from people made safe to print: what steers a terminal is shown, never obeyed."""

from __future__ import annotations

TURNING = (*range(0x202A, 0x202F), *range(0x2066, 0x206A))
"""Marks that turn the direction of everything after them, which is not theirs."""
_PICTURES = {code: 0x2400 + code for code in range(32) if chr(code) not in "\n\t"} | {0x7F: 0x2421}
_UNSEEN = dict.fromkeys([*range(0x80, 0xA0), *TURNING], "\N{REPLACEMENT CHARACTER}")
_SHOWN: dict[int, int | str] = {**_PICTURES, **_UNSEEN}


def visible(text: str) -> str:
    """The text with control and directional characters as visible signs; lines and tabs stay."""
    return text.translate(_SHOWN).encode("utf-8", "replace").decode("utf-8")
