"""The arguments of ``consult impact``, apart so that ``--help`` loads no numbers."""

from __future__ import annotations

import argparse

from consult.commands.old_names import accept_old

CALLERS = 300
SEED = 1


def add_effect(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command to the others."""
    effect = commands.add_parser(
        "impact",
        help="show what an edit of a tree changes for callers",
        description="Run simulated callers and the demo calls through a tree before and after "
        "an edit, and report what changes for them. Exit code 1 if a warning is removed.",
        epilog="example: consult impact trees draft",
    )
    effect.add_argument("old", metavar="OLD", help="tree file, or folder of trees, before the edit")
    effect.add_argument("new", metavar="NEW", help="the same, after the edit")
    effect.add_argument(
        "--callers", type=int, default=CALLERS, metavar="N", help=f"simulated callers ({CALLERS})"
    )
    effect.add_argument(
        "--seed",
        type=int,
        default=SEED,
        metavar="S",
        help=f"a different seed gives different callers ({SEED})",
    )
    effect.add_argument("--json", action="store_true", help="lengths in mm, shares from 0 to 1")
    effect.add_argument("--out", metavar="FILE", help="write the report to this file")
    accept_old(commands, "effect", "impact")
