"""The command line: reads arguments, loads the one command asked for, returns its exit code."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Sequence
from importlib import import_module
from typing import Any, Literal

from consult import __version__
from consult.commands import streams
from consult.commands.arguments import (
    add_begin,
    add_callers,
    add_draw,
    add_edit,
    add_effect,
    add_publishing,
    add_range,
    add_sheet,
)
from consult.commands.outcome import Outcome, complain
from consult.commands.practise_parser import add_practise
from consult.commands.records_parser import add_actions, form_option, paper_options

_PASSWORD = (
    "Every user of this machine can read a command line, so the address of the records must have "
    "no password there. Put the address into CONSULT_RECORDS, or into a file that "
    "CONSULT_RECORDS_FILE names."
)
_SCREENS = (None, "call", "edit", "practise")
_OF_LIBRARY = ("draft", "publish", "restore", "versions", "changes")
_MODULES = {
    "range": "price_range",
    "impact": "effect",
    "changes": "versions",
    "draft": "publish",
    "restore": "publish",
}
"""Commands whose module is called otherwise."""
_UNITS = ("metric", "imperial", "both")
_WHOM = "whom to estimate from, e.g. british_adults (else CONSULT_POPULATION)"
_ABOUT = (
    "what the call is about: seating (if left out), my_chair, set_up, follow_up, team_order, "
    "or another main tree of your folder"
)
_MEASURES = {
    "stature": "height without shoes, measured",
    "popliteal-height": "floor to the crease behind the knee, barefoot",
    "buttock-popliteal-length": "back of the seat to the crease behind the knee",
    "elbow-rest-height": "seat to the underside of the bent elbow",
    "thigh-clearance": "seat to the top of the thigh",
    "hip-breadth-sitting": "across the hips, sitting",
    "eye-height-sitting": "seat to the eye, sitting",
    "hand-breadth": "across the four knuckles",
}
_DESK = {
    "desk-height": "top of the desk from the floor",
    "desk-thickness": "top of the desk down to the lowest thing above the thighs",
    "desk-lowest": "lowest setting of an adjustable desk",
    "desk-highest": "highest setting of an adjustable desk",
    "heel": "heel of the shoes worn at the desk (25mm if left out)",
}


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command; the exit codes are those of ``Outcome``."""
    streams.open_streams()
    try:
        try:
            options = _parser().parse_args(argv)
            return int(_checked(options))
        finally:
            streams.flush()
    except streams.OutputLostError as lost:
        streams.silence()
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
    with streams.insistent():
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
    name = _MODULES.get(options.command, options.command) or "call"
    command: Callable[[argparse.Namespace], Outcome]
    command = import_module(f"consult.commands.{name}").run
    return command(options)


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="consult",
        description="Advise a caller, by phone, on which work chair fits and how to set it up. "
        "Not medical advice.",
        epilog="example: consult            (the same as: consult call)",
    )
    parser.add_argument("--version", action="version", version=f"consult {__version__}")
    _call_options(parser)
    commands = parser.add_subparsers(dest="command", title="commands", metavar="COMMAND")

    add_begin(commands)
    call = _command(commands, "call", "take a call", "consult call --units imperial --country IE")
    # Suppressed, so that "consult --units imperial call" keeps what stands before the command.
    _call_options(call, argparse.SUPPRESS)

    serve = _command(commands, "serve", "take calls in a browser", "consult serve --country IE")
    _call_options(serve, argparse.SUPPRESS, resumes=False)
    serve.add_argument("--host", default="127.0.0.1", help="address to serve at (this machine's)")
    serve.add_argument("--port", type=int, default=8321, help="port to serve at (8321)")
    serve.add_argument("--cert", metavar="FILE", help="certificate (PEM): serve https")
    serve.add_argument("--key", metavar="FILE", help="its private key, if CERT does not contain it")
    serve.add_argument("--public-url", metavar="URL", help="address of the sign-in in front of it")
    serve.add_argument("--tabs", type=int, default=8, help="most browser tabs at once (8)")
    serve.add_argument(
        "--desks", type=int, dest="tabs", help=argparse.SUPPRESS, default=argparse.SUPPRESS
    )
    serve.add_argument(
        "--no-token",
        action="store_true",
        help="no secret in the address, because a sign-in in front controls access",
    )
    serve.add_argument(
        "--open-to-network",
        action="store_true",
        help="let other machines connect, without sign-in (and without encryption unless --cert)",
    )

    replay = _command(
        commands,
        "replay",
        "run call files again and compare with what they expect",
        "consult replay transcripts_demo/*.yaml --summary text",
    )
    replay.add_argument("files", nargs="+", metavar="FILE")
    replay.add_argument("--population", metavar="ID", help=_WHOM)
    shown = replay.add_mutually_exclusive_group()
    shown.add_argument(
        "--json", action="store_true", help="write all results as JSON, in mm and kg"
    )
    form_option(shown, "--summary", "write the document in this form")
    replay.add_argument(
        "--coverage",
        action="store_true",
        help=(
            "report which questions, cautions, advice and needs the files reach, and which they "
            "do not"
        ),
    )
    paper_options(replay)

    add_sheet(commands)
    share = _command(
        commands,
        "share",
        "find one chair for several people, from their call files",
        "consult share transcripts_demo/01*.yaml transcripts_demo/02*.yaml",
    )
    share.add_argument("files", nargs="+", metavar="FILE")
    share.add_argument("--population", metavar="ID", help=_WHOM)
    share.add_argument("--json", action="store_true", help="in mm and kg")

    check = _command(
        commands,
        "check",
        "find every mistake in trees, contacts, range and call files",
        "consult check trees/seating.yaml",
    )
    check.add_argument(
        "files",
        nargs="*",
        metavar="FILE",
        help="files to check (the whole trees folder if left out)",
    )
    check.add_argument("--json", action="store_true", help="for editors and CI")
    check.add_argument(
        "--prove",
        action="store_true",
        help="prove it for every possible caller (seconds; kept until something changes)",
    )

    add_range(commands)
    sources = _command(
        commands,
        "sources",
        "list where advice, rules and numbers come from",
        "consult sources --out sources.html",
    )
    sources.add_argument("names", nargs="*", metavar="NAME", help="of an entry; all if none")
    written = sources.add_mutually_exclusive_group()
    written.add_argument("--out", metavar="FILE", help="write a page of HTML there")
    written.add_argument("--json", action="store_true", help="for other programs")

    add_draw(commands)
    add_edit(commands)
    add_effect(commands)
    add_callers(commands)
    add_practise(commands)

    _fit_command(commands)

    records = _command(
        commands,
        "records",
        "find, export, delete and back up stored calls",
        "consult records list --from 2026-11-01",
    )
    add_actions(records)

    _batch_command(commands)
    add_publishing(commands)
    return parser


def _command(
    commands: argparse._SubParsersAction[argparse.ArgumentParser],
    name: Literal[
        "call", "replay", "share", "check", "fit", "serve", "records", "batch", "sources"
    ],
    does: str,
    example: str,
) -> argparse.ArgumentParser:
    return commands.add_parser(
        name, help=does, description=f"{does[0].upper()}{does[1:]}.", epilog=f"example: {example}"
    )


def _call_options(
    parser: argparse.ArgumentParser, default: str | None = None, *, resumes: bool = True
) -> None:
    def add(flag: str, does: str, metavar: str | None = None, **more: Any) -> None:
        parser.add_argument(flag, default=default, metavar=metavar, help=does, **more)

    add("--tree", "question tree (seating.yaml if left out)", "FILE")
    if resumes:
        add("--about", _ABOUT, "NAME")
    add("--units", "units to show (metric if left out)", choices=_UNITS)
    add(
        "--country",
        "country of the caller (name or code): decides whom cautions tell them to contact",
        "COUNTRY",
    )
    add("--population", _WHOM, "ID")
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


def _fit_command(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    fit = _command(
        commands,
        "fit",
        "work out a set-up from a few measures, without a tree",
        'consult fit --sex female --stature "5ft 2" --popliteal-height 37cm --mass 9st '
        "--desk fixed --desk-height 73cm --json",
    )
    fit.add_argument("--sex", choices=("female", "male", "unknown"), default="unknown")
    fit.add_argument("--mass", help="body weight; a number without a unit is kg")
    for flag, what in _MEASURES.items():
        fit.add_argument(
            f"--{flag}", metavar="LENGTH", help=f"{what}; a number without a unit is cm"
        )
    fit.add_argument("--desk", choices=("fixed", "adjustable", "none"), help="kind of desk")
    for flag, what in _DESK.items():
        fit.add_argument(
            f"--{flag}", metavar="LENGTH", help=f"{what}; a number without a unit is cm"
        )
    fit.add_argument("--close-to-desk", action="store_true", help="sits close to the desk edge")
    fit.add_argument("--lenses", choices=("none", "single", "varifocal"))
    fit.add_argument(
        "--confirm",
        action="append",
        default=[],
        metavar="MEASURE",
        help="measure that was checked and is right, e.g. popliteal_height; may be repeated",
    )
    fit.add_argument("--range", metavar="FILE", help="range file (the demo range if left out)")
    fit.add_argument(
        "--request",
        metavar="CODES",
        help="part codes the caller asks for: show what is against them",
    )
    fit.add_argument("--population", metavar="ID", help=_WHOM)
    fit.add_argument("--units", choices=_UNITS, default="metric", help="units of the text")
    fit.add_argument("--json", action="store_true", help="lengths in mm, mass in kg")


def _batch_command(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    batch = _command(
        commands,
        "batch",
        "find a chair for each row of a CSV file of answers",
        "consult batch transcripts_demo/team/people.csv --out results.csv",
    )
    batch.add_argument(
        "people",
        metavar="FILE",
        help="CSV: each column a question by its name, or reference, note, units, country",
    )
    batch.add_argument("--out", required=True, metavar="FILE", help="file for the results")
    # Suppressed, as for a call: "consult --units imperial batch" keeps what stands before.
    left_out = argparse.SUPPRESS
    batch.add_argument("--tree", default=left_out, metavar="FILE", help="seating.yaml if left out")
    batch.add_argument(
        "--units", default=left_out, choices=_UNITS, help="for rows without units (metric)"
    )
    batch.add_argument(
        "--country", default=left_out, metavar="CC", help="for rows without a country"
    )
    batch.add_argument("--population", default=left_out, metavar="ID", help=_WHOM)
    for flag, does in {
        "--stand": "accept odd measures as checked",
        "--with-health": "read health columns of those who consent; never in the results",
        "--fresh": "start again instead of continuing from FILE.part",
        "--quiet": "report only rows with errors",
        "--json": "results as JSON lines, in mm",
    }.items():
        batch.add_argument(flag, action="store_true", help=does)
