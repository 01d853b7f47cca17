"""The arguments of ``consult edit``, apart so that ``--help`` loads no screens."""

from __future__ import annotations

import argparse


def add_edit(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command to the others."""
    edit = commands.add_parser(
        "edit",
        help="edit the question trees, with errors shown as you type",
        description="Open the draft in the editor: outline, form, YAML and errors side by side. "
        "Callers see no change until the draft is published.",
        epilog="example: consult edit",
    )
    edit.add_argument(
        "folder",
        nargs="?",
        metavar="FOLDER",
        help="folder of trees to edit (the draft if left out)",
    )
