"""Options that several commands share; loads nothing that takes time."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable
from datetime import date
from itertools import takewhile
from typing import Any

from consult.summary import FORMS, PAPERS

RUNS = not {"-h", "--help"} & set(takewhile(lambda word: word != "--", sys.argv[1:]))
"""Whether a command may run in this process. Its help is written by the module that runs it, which
imports what it needs for that under ``if RUNS``: for the help alone it would take half a second."""

UNITS = ("metric", "imperial", "both")
WHOM = "whom to estimate from, e.g. british_adults (else CONSULT_POPULATION)"
_ABOUT = (
    "what the call is about: seating (if left out), my_chair, set_up, follow_up, team_order, "
    "or another main tree of your folder"
)
CALLERS = 300
"""Simulated callers that an edit is tried on."""
MOST_DAYS = 36_500
"""A hundred years."""


def call_options(
    parser: argparse.ArgumentParser, default: str | None = None, *, resumes: bool = True
) -> None:
    """What a call is led with; ``resumes``: and how a stored one is continued."""

    def add(flag: str, does: str, metavar: str | None = None, **more: Any) -> None:
        parser.add_argument(flag, default=default, metavar=metavar, help=does, **more)

    add("--tree", "question tree (seating.yaml if left out)", "FILE")
    if resumes:
        add("--about", _ABOUT, "NAME")
    add("--units", "units to show (metric if left out)", choices=UNITS)
    add(
        "--country",
        "country of the caller (name or code): decides whom cautions tell them to contact",
        "COUNTRY",
    )
    add("--population", WHOM, "ID")
    add(
        "--records", "where calls are stored (else CONSULT_RECORDS, else your data folder)", "PLACE"
    )
    in_full = "ask every question that may matter, not only what is worth its time"
    parser.add_argument("--thorough", action="store_true", default=default, help=in_full)
    add("--adviser", "name of the adviser (else CONSULT_ADVISER, else your user name)", "NAME")
    if resumes:
        plain = "in plain lines instead of a screen, for screen readers and slow links"
        parser.add_argument("--plain", action="store_true", default=default, help=plain)
        add("--open", "continue a stored call, by its reference", "REF")
        add(
            "--follow-up",
            "call again about a stored call, by its reference: its follow-up, or with --about "
            "set_up the set-up of its chair",
            "REF",
        )
        add("--from", "start from a call file", "FILE", dest="start")


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


def seed_option(command: argparse.ArgumentParser) -> None:
    """Which simulated callers are drawn."""
    command.add_argument(
        "--seed",
        type=int,
        default=1,
        metavar="S",
        help="a different seed gives different callers (1)",
    )


def day(text: str) -> date:
    """A day as written on the command line."""
    try:
        return date.fromisoformat(text)
    except ValueError:
        said = f"{text!r} is not a day. Write it as 2026-11-25."
        raise argparse.ArgumentTypeError(said) from None


def whole_type(of: str, most: int) -> Callable[[str], int]:
    """Reads a whole number of an option; the error says which ones are right."""

    def read(text: str) -> int:
        try:
            return whole(text, of, most)
        except ValueError as error:
            raise argparse.ArgumentTypeError(str(error)) from None

    return read


def whole(text: str, of: str = "days", most: int = MOST_DAYS) -> int:
    """A whole number from 1; ValueError in words."""
    if text.isascii() and text.isdecimal() and len(text) < 10 and 1 <= int(text) <= most:
        return int(text)
    raise ValueError(f"{text!r} is not a number of {of} from 1 to {most}.")
