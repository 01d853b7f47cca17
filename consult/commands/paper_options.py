"""The arguments of whatever writes papers; loads nothing that takes time."""

from __future__ import annotations

import argparse

from consult.summary.kinds import FORMS, PAPERS


def form_option(
    options: argparse._ActionsContainer, flag: str, does: str, default: str | None = None
) -> None:
    """In which form a paper is written."""
    options.add_argument(flag, choices=FORMS, default=default, help=does)


def paper_options(parser: argparse.ArgumentParser) -> None:
    """Whom a paper is for, and where it goes."""
    parser.add_argument(
        "--for",
        dest="paper",
        choices=PAPERS,
        default="caller",
        help="reader of the document (the caller if left out); card is the set-up card",
    )
    parser.add_argument(
        "--out", metavar="PATH", help="file to write; a folder if there are several calls"
    )
