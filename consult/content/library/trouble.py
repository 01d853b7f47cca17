"""What stands in the way of a draft, of publishing or of bringing back."""

from __future__ import annotations


class LibraryTrouble(Exception):  # noqa: N818 - it is shown, not only raised
    """Said to the content lead, in plain sentences."""
