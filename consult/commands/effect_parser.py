"""The arguments of ``consult effect``, apart so that ``--help`` loads no numbers."""

from __future__ import annotations

import argparse

CALLERS = 300
SEED = 1


def add_effect(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command to the others."""
    effect = commands.add_parser(
        "effect",
        help="see what an edit of a tree would change for callers",
        description="Lead simulated callers and the demo calls through a tree before and after "
        "an edit, and say what is other for them. Exit code 1 where a caution is lost.",
        epilog="example: consult effect trees draft",
    )
    effect.add_argument("old", metavar="OLD", help="tree file, or folder of trees, as it was")
    effect.add_argument("new", metavar="NEW", help="the same after the edit")
    effect.add_argument(
        "--callers", type=int, default=CALLERS, metavar="N", help=f"simulated callers ({CALLERS})"
    )
    effect.add_argument(
        "--seed", type=int, default=SEED, metavar="S", help=f"other callers with another ({SEED})"
    )
    effect.add_argument("--json", action="store_true", help="lengths in mm, shares from 0 to 1")
    effect.add_argument("--out", metavar="FILE", help="write it there instead")
