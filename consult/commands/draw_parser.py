"""The arguments of ``consult draw``, apart so that ``--help`` loads no layout library."""

from __future__ import annotations

import argparse


def add_draw(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command to the others."""
    draw = commands.add_parser(
        "draw",
        help="draw a tree, or write it as a page to read",
        description="Draw a tree as SVG, or with --walk write one HTML page with every "
        "question, where it leads and what depends on it, for people who do not read YAML.",
        epilog="example: consult draw seating --walk --out seating.html",
    )
    draw.add_argument(
        "tree", nargs="?", metavar="TREE", help="tree file, or its name (seating if left out)"
    )
    draw.add_argument(
        "--out", metavar="FILE", help="file to write (TREE.svg or TREE.html if left out)"
    )
    draw.add_argument("--part", metavar="NAME", help="draw this sub-tree only")
    draw.add_argument("--walk", action="store_true", help="write the page instead of the drawing")
    draw.add_argument(
        "--all",
        metavar="OUTFOLDER",
        help="write the page and drawing of every main tree into this folder",
    )
