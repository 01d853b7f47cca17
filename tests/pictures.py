"""Draws the pictures of real screens that README shows: ``python -m tests.pictures``.

Each is drawn from an invented call, in a folder whose name means nothing, at a clock that stands
still, so that drawing again changes only what the screens changed.
"""

from __future__ import annotations

import asyncio
import os
import shutil
import tempfile
from collections.abc import Awaitable, Callable, Mapping
from pathlib import Path

from tests.ui.desk import Desk, before, desk

TO = Path(__file__).resolve().parent.parent / ".pictures"
WIDE, SMALL = (120, 40), (80, 24)


async def measuring(at: Desk) -> None:
    """A measure is coached."""
    await at.settle()


async def trying(at: Desk) -> None:
    """What another desk would change."""
    await at.settle()
    await at.paste("66 cm")
    await at.press("alt+t")
    await at.settle()


async def topics(at: Desk) -> None:
    """What else to go through."""
    await at.settle()
    await at.press("down")
    await at.settle()


async def why(at: Desk) -> None:
    """Why this chair."""
    await at.settle()
    await at.press("f7")
    await at.settle()


async def side_view(at: Desk) -> None:
    """The caller on the chair, drawn to scale."""
    await at.settle()
    await at.press("alt+s")
    await at.settle()


async def finish(at: Desk) -> None:
    """The end of a call."""
    await at.settle()
    await at.press("f8")
    await at.settle()


async def stop(at: Desk) -> None:
    """A warning sign interrupts."""
    await at.paste("both legs")
    await at.press("enter")
    await at.settle()


PICTURES: Mapping[str, tuple[str, tuple[int, int], Callable[[Desk], Awaitable[None]]]] = {
    "measuring": ("desk_height", WIDE, measuring),
    "small": ("desk_height", SMALL, measuring),
    "try": ("desk_height", WIDE, trying),
    "topics": ("agreed", WIDE, topics),
    "why": ("agreed", WIDE, why),
    "side_view": ("agreed", WIDE, side_view),
    "finish": ("", WIDE, finish),
    "stop": ("warning_signs", WIDE, stop),
}
"""Name -> the question that the call is at, the size, and what is done there."""


async def draw(name: str, folder: Path) -> None:
    """One picture."""
    question, size, lead = PICTURES[name]
    async with desk(folder, before(question), size) as at:
        await lead(at)
        drawn = at.app.export_screenshot(title="consult")
    (TO / f"{name}.svg").write_text(drawn, encoding="utf-8")


def main() -> None:
    """Draw all of them."""
    place = Path(tempfile.gettempdir()) / "calls"
    for name in PICTURES:
        shutil.rmtree(place, ignore_errors=True)
        place.mkdir()
        asyncio.run(draw(name, place))
        print(f".pictures/{name}.svg")
    shutil.rmtree(place, ignore_errors=True)


if __name__ == "__main__":
    os.environ.pop("NO_COLOR", None)
    main()
