"""High contrast: black and white, and one colour that carries no meaning."""

from textual.theme import Theme

CONTRAST = Theme(
    name="high-contrast",
    primary="#ffffff",
    secondary="#ffffff",
    accent="#ffff00",
    warning="#ffff00",
    error="#ffffff",
    success="#ffffff",
    foreground="#ffffff",
    background="#000000",
    surface="#000000",
    panel="#000000",
    boost="#000000",
    dark=True,
    text_alpha=1.0,
    variables={
        "text-muted": "#ffffff",
        "text-disabled": "#ffffff",
        "footer-key-foreground": "#ffff00",
        "input-cursor-background": "#ffff00",
        "input-cursor-foreground": "#000000",
        "input-selection-background": "#ffffff 40%",
        "block-cursor-background": "#ffff00",
        "block-cursor-foreground": "#000000",
    },
)
"""Contrast of 21 to 1, white on black (WCAG 2.2 asks for 7 to 1 at its strictest level)."""
