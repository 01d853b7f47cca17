"""Errors of drafts, publishing and restoring."""

from __future__ import annotations


class LibraryTrouble(Exception):  # noqa: N818 - it is shown, not only raised
    """Said to the content lead, in plain sentences."""
