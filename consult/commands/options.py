"""Options that several commands share; loads nothing that takes time."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable
from datetime import date
from functools import partial
from itertools import takewhile
from typing import Any

from consult.summary import PAPERS

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


def option(to: argparse._ActionsContainer, shown: str, does: str, **more: Any) -> None:
    """An option or a word of a command, ``shown`` as its usage shows it: "--out FILE"."""
    name, _, metavar = shown.partition(" ")
    if metavar:
        more["metavar"] = metavar
    to.add_argument(name, help=does, **more)


def flag(to: argparse._ActionsContainer, name: str, does: str) -> None:
    """An option that is given or not."""
    to.add_argument(name, action="store_true", help=does)


def repeated(to: argparse._ActionsContainer, shown: str, does: str, **more: Any) -> None:
    """An option that may be given several times."""
    option(to, shown, does, action="append", default=[], **more)


def either_side(to: argparse._ActionsContainer, shown: str, does: str, **more: Any) -> None:
    """An option that may stand before the command, as in "consult --units imperial batch": where it
    is left out after the command, what stands before counts."""
    option(to, shown, does, default=argparse.SUPPRESS, **more)


def call_options(
    parser: argparse.ArgumentParser, default: str | None = None, *, resumes: bool = True
) -> None:
    """What a call is led with; ``resumes``: and how a stored one is continued."""
    add = partial(option, parser, default=default)
    add("--tree FILE", "question tree (seating.yaml if left out)")
    if resumes:
        add("--about NAME", _ABOUT)
    add("--units", "units to show (metric if left out)", choices=UNITS)
    add(
        "--country COUNTRY",
        "country of the caller (name or code): decides whom cautions tell them to contact",
    )
    add("--population ID", WHOM)
    add("--records PLACE", "where calls are stored (else CONSULT_RECORDS, else your data folder)")
    in_full = "ask every question that may matter, not only what is worth its time"
    add("--thorough", in_full, action="store_true")
    add("--adviser NAME", "name of the adviser (else CONSULT_ADVISER, else your user name)")
    if resumes:
        plain = "in plain lines instead of a screen, for screen readers and slow links"
        add("--plain", plain, action="store_true")
        add("--open REF", "continue a stored call, by its reference")
        add(
            "--follow-up REF",
            "call again about a stored call, by its reference: its follow-up, or with --about "
            "set_up the set-up of its chair",
        )
        add("--from FILE", "start from a call file", dest="start")


def paper_options(parser: argparse.ArgumentParser) -> None:
    """Whom a paper is for, and where it goes."""
    option(
        parser,
        "--for",
        "reader of the document (the caller if left out); card is the set-up card",
        dest="paper",
        choices=PAPERS,
        default="caller",
    )
    option(parser, "--out PATH", "file to write; a folder if there are several calls")


def seed_option(command: argparse.ArgumentParser) -> None:
    """Which simulated callers are drawn."""
    option(command, "--seed S", "a different seed gives different callers (1)", type=int, default=1)


def day(text: str) -> date:
    """A day as written on the command line."""
    try:
        return date.fromisoformat(text)
    except ValueError:
        message = f"{text!r} is not a day. Write it as 2026-11-25."
        raise argparse.ArgumentTypeError(message) from None


def whole_type(of: str = "days", most: int = MOST_DAYS) -> Callable[[str], int]:
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
