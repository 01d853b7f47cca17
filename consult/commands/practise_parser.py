"""The arguments of ``consult practise``; a module of its own so that ``--help`` is fast."""

from __future__ import annotations

import argparse

from consult.practice.model import LEVELS, level_called

_EXAMPLES = """\
examples:
  consult practise --example                        a whole call to read, every turn explained
  consult practise                                  choose a caller
  consult practise short_and_mixed --level unaided  this caller, without help
  consult practise --course first_week              the calls of a course, in its order
  consult practise --list                           list the callers and courses
  consult practise --record                         strengths, and what comes next
  consult practise --export ann.json                your record, for the trainer
  consult practise --report ann.json bo.json --csv  how a group does, for a spreadsheet
  consult practise --template my_caller.yaml        a new caller, to fill in
  consult practise --check-score 50                 does the score tell good advisers from bad?
  consult practise --from-call K7M-2QX --caller-agreed 2026-11-25 \\
      --agreed-by "Ann Lee" --out quiet_caller.yaml
"""


def add_practise(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command to the parser."""
    practise = commands.add_parser(
        "practise",
        help="practise calls with invented callers, and see your score",
        description="Practise calls on the call screen with invented callers, and see your "
        "score. Only your own record of practice is stored (in CONSULT_PRACTICE, or else "
        "your data folder).",
        epilog=_EXAMPLES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    practise.add_argument(
        "caller", nargs="?", metavar="CALLER", help="name of a caller, or a caller's file"
    )
    practise.add_argument(
        "--level",
        type=level_called,
        choices=LEVELS,
        help="guided: shows the question (if left out); partly_guided: shows the open questions; "
        "unaided: shows only the caller",
    )
    practise.add_argument(
        "--seed", type=int, metavar="N", help="repeat the same caller, body and words"
    )
    # Suppressed, so that "consult --adviser Ann practise" keeps what stands before the command.
    left_out = argparse.SUPPRESS
    practise.add_argument(
        "--learner",
        metavar="NAME",
        help="name of the learner (else --adviser, else your user name)",
    )
    practise.add_argument("--adviser", default=left_out, metavar="NAME", help=argparse.SUPPRESS)
    practise.add_argument("--course", metavar="FILE", help="a course, by its name or its file")
    instead = practise.add_mutually_exclusive_group()
    instead.add_argument("--list", action="store_true", help="list the callers and courses")
    instead.add_argument(
        "--example", action="store_true", help="print a call that plays itself, with a commentary"
    )
    instead.add_argument(
        "--words", action="store_true", help="print the words of the trade, with drawings"
    )
    instead.add_argument(
        "--record",
        action="store_true",
        help="show strengths and what comes next, or progress in a course",
    )
    instead.add_argument(
        "--delete", action="store_true", help="delete the learner's record; asks first"
    )
    # The earlier name of --delete.
    instead.add_argument("--erase", action="store_true", dest="delete", help=argparse.SUPPRESS)
    instead.add_argument(
        "--export",
        metavar="FILE",
        help="export the record as JSON, or as CSV if the name ends in .csv",
    )
    instead.add_argument(
        "--report", nargs="+", metavar="FILE", help="report on a group, from their exports"
    )
    instead.add_argument(
        "--template",
        metavar="FILE",
        help="write a new caller to begin with, every key explained",
    )
    instead.add_argument(
        "--from-call",
        metavar="REF",
        help="make a practice caller from a stored call, without personal data",
    )
    instead.add_argument(
        "--check-score",
        nargs="?",
        type=int,
        const=200,
        metavar="N",
        help="run advisers of known skill through N drawn callers (200 if left out) and compare "
        "their scores with what came of the calls; takes some minutes",
    )
    practise.add_argument(
        "--csv",
        action="store_true",
        help="with --report: CSV, a row for each learner; with --list: a row for each caller",
    )
    practise.add_argument("--json", action="store_true", help="with --report and --list: JSON")
    practise.add_argument(
        "--without-conversations", action="store_true", help="with --export: the scores only"
    )
    practise.add_argument("--yes", action="store_true", help="with --delete: do not ask")
    practise.add_argument(
        "--agreed-by", metavar="NAME", help="with --from-call: the trainer who agrees"
    )
    practise.add_argument(
        "--caller-agreed",
        metavar="DAY",
        help="with --from-call: the day the caller agreed to training use",
    )
    practise.add_argument("--out", metavar="FILE", help="with --from-call: the file to write")
    practise.add_argument(
        "--without-health", action="store_true", help="with --from-call: leave health answers out"
    )
    practise.add_argument(
        "--records",
        default=left_out,
        metavar="PLACE",
        help="with --from-call: where calls are stored",
    )
    practise.add_argument("--population", default=left_out, metavar="ID", help=argparse.SUPPRESS)
