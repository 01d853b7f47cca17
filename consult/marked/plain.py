"""What a scalar of YAML that stands without quotes says, read our own way; what stands where."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from typing import Any

_NUMBER = re.compile(r"[-+]?(0|[1-9][0-9]*)(\.[0-9]+)?([eE][-+]?[0-9]+)?")


def plain_value(text: str) -> str | int | float | bool | None:
    """What a scalar that stands without quotes says."""
    if text in ("true", "false"):
        return text == "true"
    if text in ("", "~", "null"):
        return None
    # Leading zeros (a telephone number) and numbers past all sense stay text.
    if len(text) > 30 or not _NUMBER.fullmatch(text):
        return text
    if text.lstrip("+-").isdigit():
        return int(text)
    number = float(text)
    return number if math.isfinite(number) else text


def value_at(data: Any, steps: Iterable[str | int]) -> Any:
    """What stands at some steps of what a file says; None where nothing does."""
    for step in steps:
        try:
            data = data[step]
        except (KeyError, IndexError, TypeError):
            return None
    return data


def block_at(data: Any, *steps: str | int) -> dict[str, Any]:
    """The block that stands there; an empty one where none does."""
    value = value_at(data, steps)
    return value if isinstance(value, dict) else {}


def list_at(data: Any, *steps: str | int) -> list[Any]:
    """The list that stands there; an empty one where none does."""
    value = value_at(data, steps)
    return value if isinstance(value, list) else []
