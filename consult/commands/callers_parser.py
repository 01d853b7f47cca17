"""The arguments of ``consult callers``, apart so that ``--help`` loads no numbers."""

from __future__ import annotations

import argparse

COUNT = 2000
SEED = 1


def add_callers(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command to the others."""
    callers = commands.add_parser(
        "callers",
        help="run simulated callers through a tree: length of calls, results, errors",
        description="Run simulated callers through a tree and report how long calls are, how "
        "often each question is asked and each caution said, and what no caller meets. Exit "
        "code 1 if any caller gets stuck or is given contradictory advice.",
        epilog="example: consult callers trees/seating.yaml --count 500",
    )
    callers.add_argument("tree", metavar="TREE", help="a main tree file")
    callers.add_argument(
        "--count", type=int, default=COUNT, metavar="N", help=f"simulated callers ({COUNT})"
    )
    callers.add_argument(
        "--seed",
        type=int,
        default=SEED,
        metavar="S",
        help=f"a different seed gives different callers ({SEED})",
    )
    callers.add_argument("--json", action="store_true", help="shares from 0 to 1")
