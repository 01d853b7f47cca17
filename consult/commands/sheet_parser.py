"""The arguments of ``consult sheet``, apart so that ``--help`` loads nothing."""

from __future__ import annotations

import argparse


def add_sheet(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command to the others."""
    sheet = commands.add_parser(
        "sheet",
        help="write the measuring sheet to send before a call",
        description="Write one page that shows how to measure everything a call may ask for, "
        "with a blank for each figure. In the call, enter the figures in one line: /leg 41, "
        "thigh 47, desk 73.",
        epilog="example: consult sheet --units imperial --form pdf --out sheet.pdf",
    )
    # Suppressed, as for a call: "consult --units imperial sheet" keeps what stands before.
    left_out = argparse.SUPPRESS
    sheet.add_argument(
        "--tree", default=left_out, metavar="TREE", help="tree file, or its name (seating)"
    )
    sheet.add_argument(
        "--units", default=left_out, choices=("metric", "imperial"), help="metric if left out"
    )
    sheet.add_argument(
        "--form", choices=("text", "html", "pdf", "eml"), default="text", help="text if left out"
    )
    sheet.add_argument("--paper", choices=("A4", "Letter"), default="A4", help="A4 if left out")
    sheet.add_argument(
        "--known",
        metavar="FACTS",
        default="",
        help='what is already known, in one line as in a call: "height 165, desk type fixed"',
    )
    sheet.add_argument("--out", metavar="FILE", help="write it there")
