"""The command line: reads arguments, loads the one command asked for, returns its exit code."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Sequence
from functools import cache
from importlib import import_module
from typing import Any, Literal

from consult import __version__
from consult.commands.options import call_options
from consult.commands.outcome import (
    Outcome,
    OutputLostError,
    complain,
    flush,
    insistent,
    open_streams,
    outcome_of,
    silence,
)

_PASSWORD = (
    "Every user of this machine can read a command line, so the address of the records must have "
    "no password there. Put the address into CONSULT_RECORDS, or into a file that "
    "CONSULT_RECORDS_FILE names."
)
_SCREENS = (None, "call", "edit", "practise")
_OF_LIBRARY = ("draft", "publish", "restore", "versions", "changes")
_COMMANDS = {
    "begin": "make consult your own: name, country, money, questions, records in one folder",
    "call": "take a call",
    "serve": "take calls in a browser",
    "replay": "run call files again and compare with what they expect",
    "sheet": "write the measuring sheet to send before a call",
    "share": "find one chair for several people, from their call files",
    "check": "find every mistake in trees, contacts, range and call files",
    "range": "bring in your price list from a spreadsheet, or write it out",
    "sources": "list where advice, rules and numbers come from",
    "draw": "draw a tree, or write it as a page to read",
    "edit": "edit the question trees, with errors shown as you type",
    "impact": "show what an edit of a tree changes for callers",
    "callers": "run simulated callers through a tree: length of calls, results, errors",
    "practise": "practise calls with invented callers, and see your score",
    "fit": "work out a set-up from a few measures, without a tree",
    "records": "find, export, delete and back up stored calls",
    "batch": "find a chair for each row of a CSV file of answers",
    "draft": "start a draft of the trees, or show where it is",
    "publish": "make the draft live for every new call",
    "restore": "make an earlier version live again",
    "versions": "list the versions of the trees, the newest first",
    "changes": "show in plain words what differs between two versions",
}
"""Command -> what it does."""
_FUNCTIONS = {
    "sheet": ("papers.sheet_arguments", "papers.write_measuring_sheet"),
    "share": ("replay.share_arguments", "replay.share_chair"),
    "range": ("price_range.arguments", "price_range.run"),
    "sources": ("draw.sources_arguments", "draw.tell_sources"),
    "impact": ("callers.impact_arguments", "callers.tell_impact"),
    "records": ("records_parser.arguments", "records.run"),
    "draft": ("publish.draft_arguments", "publish.run"),
    "publish": ("publish.publish_arguments", "publish.run"),
    "restore": ("publish.restore_arguments", "publish.run"),
    "changes": ("versions.changes_arguments", "versions.run"),
}
"""Command -> its arguments and what runs it, where its module in ``commands`` is not named like it
with ``arguments`` and ``run``."""
_EARLIER = {"impact": "effect", "restore": "bring-back"}
"""Earlier names, so that scripts go on working; not in the help."""


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command; the exit codes are those of ``Outcome``."""
    open_streams()
    try:
        try:
            options = _parser().parse_args(argv)
            return int(_checked(options))
        finally:
            flush()
    except OutputLostError as lost:
        silence()
        if lost.is_closed_pipe:
            return int(Outcome.CLOSED_PIPE)
        complain(str(lost))
        return int(Outcome.OUTPUT_LOST)
    except KeyboardInterrupt:
        # Python would end by the signal, not by this code, where it was pressed inside an exec().
        exec("")
        complain("Interrupted.")
        return int(Outcome.BROKEN_OFF)


def _checked(options: argparse.Namespace) -> Outcome:
    """Run the command, unless its line tells others what they must not know."""
    place = getattr(options, "records", None) or ""
    if "://" in place and ":" in place.partition("://")[2].rpartition("@")[0]:
        return complain(_PASSWORD)
    if options.command in _SCREENS:
        return _with_trees(options)
    with insistent():
        return _with_trees(options)


def _with_trees(options: argparse.Namespace) -> Outcome:
    """Run the command, and tell of a damaged library where that may be why it cannot be done."""
    outcome = _run(options)
    if outcome is Outcome.BAD_USE and options.command not in _OF_LIBRARY:
        from consult.commands import versions

        versions.tell_live_trouble()
    return outcome


def _run(options: argparse.Namespace) -> Outcome:
    """Run the command in its module, which is imported only now: the others would take seconds."""
    return outcome_of(_function(options.command or "call", "run"), options)


def _function(name: str, which: Literal["arguments", "run"]) -> Callable[..., Any]:
    arguments, run = _FUNCTIONS.get(name, (f"{name}.arguments", f"{name}.run"))
    module, _, function = (run if which == "run" else arguments).partition(".")
    found: Callable[..., Any] = getattr(import_module(f"consult.commands.{module}"), function)
    return found


class _Command(argparse.ArgumentParser):
    """Learns its arguments from its module once its command is asked for."""

    command = ""
    """Its name; '' once its arguments are known."""

    def parse_known_args(self, args: Any = None, namespace: Any = None) -> Any:
        """As usual, with the arguments of the command; what it does not know ends it here, so that
        its own usage is shown and not that of all commands."""
        if self.command:
            name, self.command = self.command, ""
            _function(name, "arguments")(self)
        known, unknown = super().parse_known_args(args, namespace)
        if unknown:
            self.error(f"unrecognized arguments: {' '.join(unknown)}")
        return known, unknown


@cache
def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="consult",
        description="Advise a caller, by phone, on which work chair fits and how to set it up. "
        "Not medical advice.",
        epilog="example: consult            (the same as: consult call)",
    )
    parser.add_argument("--version", action="version", version=f"consult {__version__}")
    call_options(parser)
    commands = parser.add_subparsers(
        dest="command", title="commands", metavar="COMMAND", parser_class=_Command
    )
    for name, does in _COMMANDS.items():
        command = commands.add_parser(name, help=does, description=f"{does[0].upper()}{does[1:]}.")
        command.command = name
        if earlier := _EARLIER.get(name):
            command.set_defaults(command=name)
            commands.choices[earlier] = command
    return parser
