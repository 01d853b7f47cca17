"""A call summary written out, in one of several forms."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from consult.summary.document import document
from consult.summary.markdown import to_markdown
from consult.summary.text import to_text

if TYPE_CHECKING:
    from consult.summary.model import Summary
    from consult.units import System

Form = Literal["text", "md"]
FORMS = {"text": to_text, "md": to_markdown}


def render(summary: Summary, form: Form, system: System) -> str:
    """The summary as plain text or Markdown, lengths and masses in the reader's units.

    What the tree said during the call, its blanks filled, stays in the units of the call.
    """
    return FORMS[form](document(summary, system))
