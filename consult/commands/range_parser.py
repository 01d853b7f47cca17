"""The arguments of ``consult range``, apart so that ``--help`` loads nothing."""

from __future__ import annotations

import argparse

CALLERS = 300
"""Simulated callers that a new range is tried on, where no other number is asked for."""


def add_range(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command to the others."""
    parser = commands.add_parser(
        "range",
        help="bring in your price list from a spreadsheet, or write it out",
        description="Bring in your price list from a spreadsheet (CSV), or write the range as one.",
        epilog="example: consult range import prices.csv --dry-run",
    )
    actions = parser.add_subparsers(dest="action", metavar="ACTION", required=True)
    read = actions.add_parser(
        "import",
        help="read a price list into the draft",
        description="Read a price list into range.yaml of the draft. Every mistake is listed at "
        "once as file:row:column, and nothing is written then. At the end the range is tried on "
        "simulated callers: which parts nobody gets, and for whom no chair remains.",
        epilog="example: consult range import prices.csv --dry-run",
    )
    read.add_argument("file", metavar="PRICES.csv", help="see: consult range columns")
    read.add_argument("--dry-run", action="store_true", help="tell all, and write nothing")
    read.add_argument(
        "--callers",
        type=int,
        default=CALLERS,
        metavar="N",
        help=f"simulated callers to try it on, 0 for none ({CALLERS})",
    )
    write = actions.add_parser(
        "export",
        help="write the range as a price list",
        description="Write the range in use, or that of the draft, as a price list that can be "
        "changed and imported again.",
        epilog="example: consult range export --out prices.csv --decimal comma",
    )
    write.add_argument("--draft", action="store_true", help="of the draft, not of what is in use")
    write.add_argument("--decimal", choices=("point", "comma"), default="point", help="point")
    write.add_argument("--out", metavar="FILE", help="write it there")
    empty = actions.add_parser("template", help="write a price list to fill in, with examples")
    empty.add_argument("--out", metavar="FILE", help="write it there")
    actions.add_parser("columns", help="what each column of a price list holds")
