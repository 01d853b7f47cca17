"""The arguments of ``consult practise``, apart so that ``--help`` loads no screens."""

from __future__ import annotations

import argparse

LEVELS = ("guided", "loose", "bare")

_EXAMPLES = """\
examples:
  consult practise                                  choose a caller
  consult practise short_and_mixed --level loose    this caller, led less
  consult practise --course first_week              the calls of a course, in its order
  consult practise --list                           the callers and courses there are
  consult practise --record                         strengths, and what comes next
  consult practise --export ann.json                your record, for the trainer
  consult practise --report ann.json bo.json --csv  how a group does, for a spreadsheet
  consult practise --from-call K7M-2QX --caller-agreed 2026-11-25 \\
      --agreed-by "Ann Lee" --out quiet_caller.yaml
"""


def add_practise(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command to the others."""
    practise = commands.add_parser(
        "practise",
        help="practise calls with invented callers, and see your marks",
        description="Practise calls at the desk with invented callers, and see your marks. Nothing "
        "is kept but your own record of practice (its place: CONSULT_PRACTICE, else your data "
        "folder).",
        epilog=_EXAMPLES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    practise.add_argument(
        "caller", nargs="?", metavar="CALLER", help="name of a caller, or a caller's file"
    )
    practise.add_argument(
        "--level",
        choices=LEVELS,
        help="guided: the question stands on the desk (if left out); loose: only what is open; "
        "bare: nothing but the caller",
    )
    practise.add_argument(
        "--seed", type=int, metavar="N", help="the same caller, body and words each time"
    )
    # Suppressed, so that "consult --adviser Ann practise" keeps what stands before the command.
    left_out = argparse.SUPPRESS
    practise.add_argument(
        "--learner", metavar="NAME", help="who practises (else --adviser, else your user name)"
    )
    practise.add_argument("--adviser", default=left_out, metavar="NAME", help=argparse.SUPPRESS)
    practise.add_argument("--course", metavar="FILE", help="a course, by its name or its file")
    instead = practise.add_mutually_exclusive_group()
    instead.add_argument("--list", action="store_true", help="the callers and courses there are")
    instead.add_argument(
        "--record", action="store_true", help="strengths, what comes next; of a course: how far"
    )
    instead.add_argument(
        "--erase", action="store_true", help="erase the learner's record; asks first"
    )
    instead.add_argument(
        "--export", metavar="FILE", help="write the record: JSON, or CSV where it ends in .csv"
    )
    instead.add_argument(
        "--report", nargs="+", metavar="FILE", help="how a group does, from their exports"
    )
    instead.add_argument(
        "--from-call", metavar="REF", help="make a caller of a kept call, nothing personal left"
    )
    practise.add_argument("--csv", action="store_true", help="of --report: a row a learner")
    practise.add_argument("--json", action="store_true", help="of --report and --list: as data")
    practise.add_argument(
        "--without-conversations", action="store_true", help="of --export: the marks alone"
    )
    practise.add_argument("--yes", action="store_true", help="of --erase: without asking")
    practise.add_argument(
        "--agreed-by", metavar="NAME", help="of --from-call: the trainer who agrees"
    )
    practise.add_argument(
        "--caller-agreed", metavar="DAY", help="of --from-call: when the caller agreed to training"
    )
    practise.add_argument("--out", metavar="FILE", help="of --from-call: the caller's file")
    practise.add_argument(
        "--without-health", action="store_true", help="of --from-call: leave health out"
    )
    practise.add_argument(
        "--records", default=left_out, metavar="PLACE", help="of --from-call: where calls are kept"
    )
    practise.add_argument("--population", default=left_out, metavar="ID", help=argparse.SUPPRESS)
