"""The arguments of ``consult edit``, apart so that ``--help`` loads no screens."""

from __future__ import annotations

import argparse


def add_edit(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command to the others."""
    edit = commands.add_parser(
        "edit",
        help="reword and rearrange the question trees, every mistake told as you type",
        description="The content desk: outline, form, YAML and mistakes of the draft. "
        "Nothing is live before it is published.",
        epilog="example: consult edit",
    )
    edit.add_argument(
        "folder", nargs="?", metavar="FOLDER", help="folder of trees (the draft if left out)"
    )
