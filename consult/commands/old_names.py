"""Earlier names of commands: still accepted, so that scripts go on working, and not in the help."""

from __future__ import annotations

import argparse


def accept_old(
    commands: argparse._SubParsersAction[argparse.ArgumentParser], old: str, new: str
) -> None:
    """Let ``old`` run the command ``new``, which is parsed under its new name."""
    parser = commands.choices[new]
    parser.set_defaults(**{commands.dest: new})
    commands.choices[old] = parser
