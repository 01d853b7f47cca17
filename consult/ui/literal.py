"""Text as it stands: the one place where text enters the screen, never as markup."""

from __future__ import annotations

from textual.content import Content
from textual.style import Style

from consult.visible import visible


def literal(text: str, style: str = "") -> Content:
    """Text shown exactly as it stands; brackets are only brackets."""
    shown = visible(text)
    return Content.styled(shown, style) if style else Content(shown)


def clickable(text: str | Content, action: str) -> Content:
    """Text, never markup, that does an action of the screen when it is clicked."""
    content = literal(text) if isinstance(text, str) else text
    return content.stylize(Style.from_meta({"@click": f"screen.{action}"}))
