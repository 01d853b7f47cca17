"""An edit that cannot be done, with the reason for the user."""

from __future__ import annotations


class Refused(Exception):  # noqa: N818 - it is the answer to a request, and its text is shown
    """The edit cannot be done; the text says why in one or two sentences."""
