"""The arguments of the commands; loads nothing that takes time, so that ``--help`` is quick."""

from __future__ import annotations

import argparse

from consult.commands.records_parser import accept_old, whole
from consult.content.begin_fields import FIELDS


def add_begin(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command to the parser."""
    begin = commands.add_parser(
        "begin",
        help="make consult your own: name, country, money, questions, records in one folder",
        description="Make a folder of your own: settings.yaml (name, country, money, address), "
        "a first draft of the questions, a place for records, and a template for your price list. "
        "Without options it asks. From then on your commands use that folder. On a "
        "second computer, name the same folder: it is used, and nothing in it is changed.",
        epilog="example: consult begin ~/boyne --maker 'Boyne Seating' --country IE",
    )
    begin.add_argument("folder", nargs="?", metavar="FOLDER", help="a new folder, or one begun")
    for one in FIELDS:
        if one.choices:
            begin.add_argument(f"--{one.name}", choices=one.choices, help=one.ask)
        else:
            begin.add_argument(f"--{one.name}", metavar=one.shown, help=one.ask)
    begin.add_argument(
        "--another-product",
        metavar="NAME",
        help="begin with the warning signs and contacts only, to fit something else than chairs, "
        "such as: desk",
    )
    begin.add_argument(
        "--leave", action="store_true", help="stop using the folder; it stays as it is"
    )


# -- ``consult callers`` --------------------------------------------------------------------------

COUNT = 2000
SEED = 1


def _add_seed(command: argparse.ArgumentParser) -> None:
    command.add_argument(
        "--seed",
        type=int,
        default=SEED,
        metavar="S",
        help=f"a different seed gives different callers ({SEED})",
    )


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
    _add_seed(callers)
    callers.add_argument("--json", action="store_true", help="shares from 0 to 1")


# -- ``consult draw`` -----------------------------------------------------------------------------


def add_draw(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command to the others."""
    draw = commands.add_parser(
        "draw",
        help="draw a tree, or write it as a page to read",
        description="Draw a tree as SVG, or with --walk write one HTML page with every "
        "question, where it leads and what depends on it, for people who do not read YAML.",
        epilog="example: consult draw seating --walk --out seating.html",
    )
    draw.add_argument(
        "tree", nargs="?", metavar="TREE", help="tree file, or its name (seating if left out)"
    )
    draw.add_argument(
        "--out", metavar="FILE", help="file to write (TREE.svg or TREE.html if left out)"
    )
    draw.add_argument("--part", metavar="NAME", help="draw this sub-tree only")
    draw.add_argument("--walk", action="store_true", help="write the page instead of the drawing")
    draw.add_argument(
        "--all",
        metavar="OUTFOLDER",
        help="write the page and drawing of every main tree into this folder",
    )


# -- ``consult edit`` -----------------------------------------------------------------------------


def add_edit(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command to the others."""
    edit = commands.add_parser(
        "edit",
        help="edit the question trees, with errors shown as you type",
        description="Open the draft in the editor: outline, form, YAML and errors side by side. "
        "Callers see no change until the draft is published.",
        epilog="example: consult edit",
    )
    edit.add_argument(
        "folder",
        nargs="?",
        metavar="FOLDER",
        help="folder of trees to edit (the draft if left out)",
    )


# -- ``consult impact`` ---------------------------------------------------------------------------

CALLERS = 300


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
    _add_seed(effect)
    effect.add_argument("--json", action="store_true", help="lengths in mm, shares from 0 to 1")
    effect.add_argument("--out", metavar="FILE", help="write the report to this file")
    accept_old(commands, "effect", "impact")


# -- ``consult draft``, ``publish``, ``versions``, ``restore`` and ``changes`` --------------------

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


# -- ``consult range`` ----------------------------------------------------------------------------


def add_range(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command to the others."""
    parser = commands.add_parser(
        "range",
        help="bring in your price list from a spreadsheet, or write it out",
        description="Bring in your price list from a spreadsheet (CSV), or write the range as one.",
        epilog="example: consult range import prices.csv --dry-run",
    )
    actions = parser.add_subparsers(dest="action", metavar="ACTION", required=True)
    read = actions.add_parser(
        "import",
        help="read a price list into the draft",
        description="Read a price list into range.yaml of the draft. Every mistake is listed at "
        "once as file:row:column, and nothing is written then. At the end the range is tried on "
        "simulated callers: which parts nobody gets, and for whom no chair remains.",
        epilog="example: consult range import prices.csv --dry-run",
    )
    read.add_argument("file", metavar="PRICES.csv", help="see: consult range columns")
    read.add_argument("--dry-run", action="store_true", help="tell all, and write nothing")
    read.add_argument(
        "--callers",
        type=int,
        default=CALLERS,
        metavar="N",
        help=f"simulated callers to try it on, 0 for none ({CALLERS})",
    )
    write = actions.add_parser(
        "export",
        help="write the range as a price list",
        description="Write the range in use, or that of the draft, as a price list that can be "
        "changed and imported again.",
        epilog="example: consult range export --out prices.csv --decimal comma",
    )
    write.add_argument("--draft", action="store_true", help="of the draft, not of what is in use")
    write.add_argument("--decimal", choices=("point", "comma"), default="point", help="point")
    write.add_argument("--out", metavar="FILE", help="write it there")
    empty = actions.add_parser("template", help="write a price list to fill in, with examples")
    empty.add_argument("--out", metavar="FILE", help="write it there")
    actions.add_parser("columns", help="what each column of a price list holds")


# -- ``consult sheet`` ----------------------------------------------------------------------------


def add_sheet(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command to the others."""
    sheet = commands.add_parser(
        "sheet",
        help="write the measuring sheet to send before a call",
        description="Write one page that shows how to measure everything a call may ask for, "
        "with a blank for each figure. In the call, enter the figures in one line: /leg 41, "
        "thigh 47, desk 73.",
        epilog="example: consult sheet --units imperial --form pdf --out sheet.pdf",
    )
    # Suppressed, as for a call: "consult --units imperial sheet" keeps what stands before.
    left_out = argparse.SUPPRESS
    sheet.add_argument(
        "--tree", default=left_out, metavar="TREE", help="tree file, or its name (seating)"
    )
    sheet.add_argument(
        "--units", default=left_out, choices=("metric", "imperial"), help="metric if left out"
    )
    sheet.add_argument(
        "--form", choices=("text", "html", "pdf", "eml"), default="text", help="text if left out"
    )
    sheet.add_argument("--paper", choices=("A4", "Letter"), default="A4", help="A4 if left out")
    sheet.add_argument(
        "--known",
        metavar="FACTS",
        default="",
        help='what is already known, in one line as in a call: "height 165, desk type fixed"',
    )
    sheet.add_argument("--out", metavar="FILE", help="write it there")
