"""The arguments of ``consult begin``, apart so that ``--help`` loads nothing."""

from __future__ import annotations

import argparse

OPTIONS = {
    "maker": ("NAME", "the maker's name, as callers know it"),
    "country": ("CODE", "two letters: IE"),
    "currency": ("CODE", "three letters: EUR"),
    "greeting": ("WORDS", "what an adviser says first"),
    "address": ("WORDS", "your address, for documents"),
    "telephone": ("NUMBER", "the number callers ring"),
    "email": ("ADDRESS", "your e-mail address"),
}


def add_begin(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command to the others."""
    begin = commands.add_parser(
        "begin",
        help="make consult your own: name, country, money, questions, records in one folder",
        description="Make a folder of your own: settings.yaml (name, country, money, address), "
        "a first draft of the questions, a place for records, and a template for your price list. "
        "Without options it asks. From then on every command of yours uses that folder. On a "
        "second computer, name the same folder: it is used, and nothing in it is changed.",
        epilog="example: consult begin ~/boyne --maker 'Boyne Seating' --country IE",
    )
    begin.add_argument("folder", nargs="?", metavar="FOLDER", help="a new folder, or one begun")
    for name, (metavar, does) in OPTIONS.items():
        begin.add_argument(f"--{name}", metavar=metavar, help=does)
    begin.add_argument("--units", choices=("metric", "imperial"), help="what callers measure in")
    begin.add_argument(
        "--prices", choices=("with tax", "without tax"), help="what the prices of the list are"
    )
    begin.add_argument(
        "--leave", action="store_true", help="use no folder any more; it stays as it is"
    )
