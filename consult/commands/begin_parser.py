"""The arguments of ``consult begin``; a module of its own so that ``--help`` is fast."""

from __future__ import annotations

import argparse

from consult.content.begin_fields import FIELDS


def add_begin(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command to the parser."""
    begin = commands.add_parser(
        "begin",
        help="make consult your own: name, country, money, questions, records in one folder",
        description="Make a folder of your own: settings.yaml (name, country, money, address), "
        "a first draft of the questions, a place for records, and a template for your price list. "
        "Without options it asks. From then on your commands use that folder. On a "
        "second computer, name the same folder: it is used, and nothing in it is changed.",
        epilog="example: consult begin ~/boyne --maker 'Boyne Seating' --country IE",
    )
    begin.add_argument("folder", nargs="?", metavar="FOLDER", help="a new folder, or one begun")
    for one in FIELDS:
        if one.choices:
            begin.add_argument(f"--{one.name}", choices=one.choices, help=one.ask)
        else:
            begin.add_argument(f"--{one.name}", metavar=one.shown, help=one.ask)
    begin.add_argument(
        "--leave", action="store_true", help="stop using the folder; it stays as it is"
    )
