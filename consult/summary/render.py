"""A call summary written out: for one reader, in one of several forms."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal, get_args

from consult.summary.markdown import to_markdown
from consult.summary.readers import HEALTHLESS, Reader, for_reader
from consult.summary.text import to_text
from consult.summary.wordings import wording_for

if TYPE_CHECKING:
    from collections.abc import Mapping

    from consult.call.basis import Basis
    from consult.summary.blocks import Block
    from consult.summary.model import Summary
    from consult.units import System

Form = Literal["text", "md"]
Paper = Literal["caller", "employer", "order", "file", "card"]
"""Each reader's own, and the set-up card, which is the caller's."""
PAPERS: tuple[Paper, ...] = get_args(Paper)
FORMS = {"text": to_text, "md": to_markdown}


def reader_of(paper: Paper) -> Reader:
    """Whose paper it is."""
    return "caller" if paper == "card" else paper


def document(
    basis: Basis,
    summary: Summary,
    system: System,
    paper: Paper = "caller",
    pictures: Mapping[str, str] | None = None,
) -> tuple[Block, ...]:
    """The blocks of a paper, in the reader's units; ``pictures`` are the words of those there are.

    A paper for the employer or the order desk needs a summary made without health
    (``summarise(..., reader=...)``); ValueError for any other.
    """
    reader = reader_of(paper)
    if reader in HEALTHLESS and not summary.healthless:
        raise ValueError(f"this summary holds health and must not become the {paper} paper")
    cut = for_reader(summary, reader)
    return wording_for(basis).blocks(paper, cut, system, pictures or {})


def render(
    basis: Basis, summary: Summary, form: Form, system: System, paper: Paper = "caller"
) -> str:
    """The summary as plain text or Markdown, lengths and masses in the reader's units.

    What the tree said during the call, its blanks filled, stays in the units of the call.
    """
    return FORMS[form](document(basis, summary, system, paper))
