"""Where the trees and the demo calls are: in the checkout, else beside the installed package."""

from __future__ import annotations

from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent


def _shipped(folder: str) -> Path:
    checkout = _PACKAGE.parent / folder
    return checkout if checkout.is_dir() else _PACKAGE / folder


def trees_folder() -> Path:
    """The folder of trees, contacts and the range file."""
    return _shipped("trees")


def demo_folder() -> Path:
    """The folder of invented demo calls."""
    return _shipped("transcripts_demo")


def default_tree() -> Path:
    """The tree a call uses unless told otherwise."""
    return trees_folder() / "seating.yaml"
