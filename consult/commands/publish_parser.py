"""The arguments of ``consult draft``, ``publish``, ``versions``, ``restore`` and ``changes``."""

from __future__ import annotations

import argparse

from consult.commands.old_names import accept_old
from consult.commands.records_parser import whole

CALLERS = 300
"""Simulated callers, where no other number is asked for."""
_MOST_CALLERS = 100_000
_SIDE = "a version, live, draft, shipped, begun (what the folder began with), or a folder of trees"


def add_publishing(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Every command about drafts and versions."""

    def add(name: str, does: str, example: str, more: str = "") -> argparse.ArgumentParser:
        return commands.add_parser(
            name,
            help=does,
            description=f"{does[0].upper()}{does[1:]}. {more}".strip(),
            epilog=f"example: consult {example}",
        )

    draft = add(
        "draft",
        "start a draft of the trees, or show where it is",
        "draft",
        "A draft is a copy of the live version. Calls do not use it until it is published.",
    )
    either = draft.add_mutually_exclusive_group()
    either.add_argument("--discard", action="store_true", help="delete the draft")
    either.add_argument(
        "--build-on-live",
        action="store_true",
        help="base the draft on the live version, although it was started from another",
    )
    draft.add_argument("--yes", action="store_true", help="do not ask")

    publish = add(
        "publish",
        "make the draft live for every new call",
        'publish --reason "Ask about stairs" --by Ann',
        "Refused if the draft has errors or breaks a promise, or if something protects callers "
        "less than before and no reason is given.",
    )
    _making_live(publish)

    back = add(
        "restore",
        "make an earlier version live again",
        'restore 2026.11.25 --reason "The new question confuses callers"',
        "The draft does not change.",
    )
    back.add_argument("version", metavar="VERSION", help="listed by consult versions")
    _making_live(back)

    versions = add("versions", "list the versions of the trees, the newest first", "versions")
    versions.add_argument("show", nargs="?", metavar="VERSION", help="show what it changed")
    versions.add_argument(
        "--verify", action="store_true", help="check that every version is as it was published"
    )
    versions.add_argument("--json", action="store_true", help="write JSON")

    changes = add(
        "changes",
        "show in plain words what differs between two versions",
        "changes live draft",
        "After an upgrade of consult, begun shipped --merge puts into the draft what came anew: "
        "what you never changed is taken, and of what you changed too you are asked.",
    )
    changes.add_argument("old", metavar="OLD", help=_SIDE)
    changes.add_argument("new", metavar="NEW", help=_SIDE)
    changes.add_argument(
        "--taken",
        action="store_true",
        help="with begun shipped: what you want of it is in your draft; it is not told again",
    )
    changes.add_argument(
        "--merge",
        action="store_true",
        help="with begun shipped: take it into the draft, safety first; asks in a terminal",
    )
    changes.add_argument(
        "--take",
        action="append",
        default=[],
        metavar="PIECE",
        help="with --merge: the new wording of a piece that you changed too; may be repeated",
    )
    changes.add_argument(
        "--keep",
        action="append",
        default=[],
        metavar="PIECE",
        help="with --merge: your own wording of such a piece; may be repeated",
    )
    changes.add_argument("--json", action="store_true", help="write JSON")

    accept_old(commands, "bring-back", "restore")


def _making_live(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--reason", required=True, metavar="TEXT", help="reason, for the journal")
    parser.add_argument(
        "--by", metavar="NAME", help="your name (else CONSULT_ADVISER, else your user name)"
    )
    parser.add_argument(
        "--accept",
        action="append",
        default=[],
        type=_loss,
        metavar="WHAT=REASON",
        help="reason why something may protect callers less; may be repeated",
    )
    parser.add_argument("--dry-run", action="store_true", help="only show what would happen")
    parser.add_argument(
        "--callers",
        type=_callers,
        default=CALLERS,
        metavar="N",
        help=f"simulated callers run through the old and the new trees ({CALLERS})",
    )
    parser.add_argument("--json", action="store_true", help="write JSON")


def _callers(text: str) -> int:
    try:
        return whole(text, "callers", _MOST_CALLERS)
    except ValueError as error:
        raise argparse.ArgumentTypeError(str(error)) from None


def _loss(text: str) -> tuple[str, str]:
    name, sign, reason = text.partition("=")
    if not sign or not name.strip() or not reason.strip():
        example = 'caution.under_eighteen="Said by the shop now"'
        said = f"{text!r} gives no reason. Write it as {example}."
        raise argparse.ArgumentTypeError(said)
    return name.strip(), reason.strip()
