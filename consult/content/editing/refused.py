"""An edit that cannot be done, said to whoever asked for it."""

from __future__ import annotations


class Refused(Exception):  # noqa: N818 - it is the answer to a request, and its text is shown
    """Why not, in one or two plain sentences."""
